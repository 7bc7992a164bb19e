"""`halfsplit history backup`, `restore` and `rebuild`: all safe while the history is in use."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from tui.commands.common import mistakes, writing
from tui.stores import add_store, named_store, open_store, opened, working_on

if TYPE_CHECKING:
    from argparse import _SubParsersAction


def add_parsers(below: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add them to `history`."""
    about = "Write a copy of the whole history, names of people included."
    parser = below.add_parser("backup", help=about, description=about)
    parser.add_argument("file", metavar="FILE", help="the copy")
    add_store(parser)
    parser.set_defaults(run=run_backup)

    about = "Bring back what is in a copy. What was answered since stays; a damaged history is set aside."
    parser = below.add_parser("restore", help=about, description=about)
    parser.add_argument("file", metavar="FILE", help="the copy")
    add_store(parser)
    parser.set_defaults(run=run_restore)

    about = "Make all lists and counts anew from the events."
    parser = below.add_parser("rebuild", help=about, description=about)
    add_store(parser)
    parser.set_defaults(run=run_rebuild)


def run_backup(args: argparse.Namespace) -> int:
    """Write a copy."""
    with mistakes() as outcome, open_store(args) as history, writing(args.file):
        from diagnose.history.backup import back_up
        from tui.progress import bar

        back_up(history, Path(args.file), bar("Copying"))
        print(f"Copied to {args.file}.", file=sys.stderr)
    return outcome.code


def run_restore(args: argparse.Namespace) -> int:
    """Bring a copy back; 2 when something of it could not be."""
    with mistakes() as outcome:
        from diagnose.history.backup import restore
        from diagnose.history.engine import shown, url_of
        from tui.history_lines import merged_line
        from tui.progress import bar

        named = named_store(args)
        with working_on(shown(url_of(named))):
            merged = restore(named, opened, Path(args.file), bar("Bringing back"))
        for problem in merged.problems:
            print(problem, file=sys.stderr)
        print(merged_line(merged))
        outcome.code = 2 if merged.problems else 0
    return outcome.code


def run_rebuild(args: argparse.Namespace) -> int:
    """Make everything that follows from the events anew."""
    with mistakes() as outcome, open_store(args) as history, working_on(history.name):
        from diagnose.history.rebuild import rebuild
        from tui.progress import bar

        print(f"{rebuild(history, bar('Rebuilding'))} callouts read.")
    return outcome.code
