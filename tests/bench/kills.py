"""How many kills a store stands: ``python -m tests.bench.kills [TIMES] [--postgresql]``.

Kills a scripted shift TIMES times (200), a merge and a migration a quarter as often, each at a random
moment, and looks after each kill whether the store opens, is whole and holds all that was
acknowledged. Stops at the first that does not.
"""

import argparse
import os
import tempfile
from contextlib import ExitStack
from pathlib import Path

from diagnose.history.store import History
from diagnose.history.travel import Merged, merge, merge_records
from tests.diagnose.history.kills import NOW, kill_merges, kill_migrations, kill_shifts
from tests.diagnose.history.server import database, running
from tests.diagnose.history.test_kills import many
from tests.diagnose.history.test_merge import file_of, text_of


def main() -> None:
    """Kill, look, count."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("times", type=int, nargs="?", default=200)
    parser.add_argument("--postgresql", action="store_true", help="a database of PostgreSQL, not a file")
    args = parser.parse_args()
    few = max(1, args.times // 4)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        url = stack.enter_context(running()) if args.postgresql else ""

        def place(name: str) -> str:
            return database(url, f"{name}_{os.getpid()}") if url else str(folder / f"{name}.sqlite")

        answers = kill_shifts(place("shift"), args.times, seed=1)
        print(f"shift      {args.times} kills, {answers} acknowledged answers, none lost, none doubled")
        files = [
            file_of(folder, *many(1000), name="a.jsonl"),
            file_of(folder, *many(1500, 2), name="b.jsonl"),
        ]
        with History.open(place("whole"), lambda: NOW) as history:
            for path in files:
                merge(history, [path])
            wanted = text_of(history)
        left = 0
        for number in range(few):
            left += kill_merges(place(f"merge{number}"), files, wanted, 1, seed=number, longest=0.6)
        print(f"merge      {few} kills, {left / few:.0f} of 2,500 callouts there after one on average,")
        print("           all whole, and the same store as without a kill when it was made again")
        name = place("migration")
        with History.open(name, lambda: NOW) as history:
            merge_records(history, many(1000), Merged())
        made, not_made = kill_migrations(name, few, seed=3, longest=0.2)
        print(f"migration  {few} kills, {made} made whole before it, {not_made} not at all, none by half")


if __name__ == "__main__":
    main()
