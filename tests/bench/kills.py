"""How many kills a store stands: ``python -m tests.bench.kills [TIMES] [--what KIND] [--postgresql]``.

Kills a scripted shift, a merge and a migration TIMES times each (200), at a random moment, and looks after
each kill whether the store opens, is whole and holds all that was acknowledged. Stops at the first that does
not. A dot on stderr stands for ten kills.
"""

import argparse
import os
import tempfile
import time
from contextlib import ExitStack
from itertools import count
from pathlib import Path
from typing import Final

from diagnose.history.store import History
from diagnose.history.travel import Merged, merge, merge_records
from tests.diagnose.history.kills import NOW, kill_merges, kill_migrations, kill_shifts
from tests.diagnose.history.server import database, running
from tests.diagnose.history.test_kills import many
from tests.diagnose.history.test_merge import file_of, text_of

KINDS: Final = ("shift", "merge", "migration")


class Places:
    """Names of stores that are not there yet."""

    def __init__(self, folder: Path, url: str) -> None:
        self.folder, self.url = folder, url
        self._numbers = count(1)

    def __call__(self) -> str:
        """The next one."""
        name = f"kills_{os.getpid()}_{next(self._numbers)}"
        return database(self.url, name) if self.url else str(self.folder / f"{name}.sqlite")


def shift(place: Places, times: int) -> str:
    """Three callouts answered in turn, all on one store."""
    answers = kill_shifts(place(), times, seed=1)
    return f"{answers} acknowledged answers, none lost, none doubled"


def merging(place: Places, times: int) -> str:
    """Five files, 600 callouts, into a new store each time."""
    callouts = many(600)
    files = [file_of(place.folder, *callouts[n::5], name=f"{n}.jsonl") for n in range(5)]
    with History.open(place(), lambda: NOW) as history:
        merge(history, files)
        wanted = text_of(history)
    found = kill_merges(place, files, wanted, times, seed=2)
    return (
        f"{found.hit} before it was done: {found.before} with nothing there, {found.midway} with some of the "
        f"callouts, each whole, {found.after} with all; all the same store when it was made again"
    )


def migration(place: Places, times: int) -> str:
    """A table, a copy of all events, an index and a mark, with the store's copy before it."""
    name = place()
    with History.open(name, lambda: NOW) as history:
        merge_records(history, many(300), Merged())
    found = kill_migrations(name, place.folder, times, seed=3)
    return (
        f"{found.hit} before it was done: {found.before} with nothing of it, {found.after} with all of it, "
        "none by half; whole at the next start, the copy before it whole"
    )


def main() -> None:
    """Kill, look, count."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("times", type=int, nargs="?", default=200)
    parser.add_argument("--what", choices=KINDS, action="append", help="one kind alone; may be said twice")
    parser.add_argument("--postgresql", action="store_true", help="a database of PostgreSQL, not a file")
    args = parser.parse_args()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        place = Places(folder, stack.enter_context(running()) if args.postgresql else "")
        for kind in args.what or KINDS:
            begun = time.perf_counter()
            said = {"shift": shift, "merge": merging, "migration": migration}[kind](place, args.times)
            seconds = time.perf_counter() - begun
            print(f"{kind:10} {args.times} kills in {seconds:.0f} s: {said}", flush=True)


if __name__ == "__main__":
    main()
