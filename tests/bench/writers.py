"""How many writers at once a store stands: ``python -m tests.bench.writers [SECONDS] [--postgresql]``.

Two processes on SQLite, eight on PostgreSQL, for so many seconds (60): each answers callouts of its own
and one that all share, remarks on it and merges the same file. Then all that was acknowledged must be there,
once.
"""

import argparse
import os
import tempfile
from contextlib import ExitStack
from pathlib import Path

from tests.diagnose.history.server import database, running
from tests.diagnose.history.writers import write_at_once


def main() -> None:
    """Write, look, count."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("seconds", type=float, nargs="?", default=60)
    parser.add_argument("--postgresql", action="store_true", help="a database of PostgreSQL, not a file")
    parser.add_argument("--writers", type=int, help="so many processes")
    args = parser.parse_args()
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        url = stack.enter_context(running(durable=True)) if args.postgresql else ""
        name = database(url, f"writers_{os.getpid()}") if url else str(folder / "writers.sqlite")
        writers = args.writers or (8 if url else 2)
        found = write_at_once(name, folder, writers, args.seconds)
        print(
            f"{writers} writers for {args.seconds:g} s: {found.own} answers on callouts of their own, "
            f"{found.shared} on one together, {found.merges} merges; {found.refused} refused as somebody "
            "else was quicker, and given again; all there once, none lost"
        )


if __name__ == "__main__":
    main()
