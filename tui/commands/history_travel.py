"""`halfsplit history export` and `history merge`: callouts that go to another laptop by file."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from tui.commands.common import mistakes, writing
from tui.stores import add_store, open_store, working_on

if TYPE_CHECKING:
    from argparse import _SubParsersAction


def add_parsers(below: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add both to `history`."""
    about = "Write callouts to a file that another laptop can merge."
    parser = below.add_parser("export", help=about, description=about)
    add_store(parser)
    parser.add_argument(
        "--callouts", metavar="FILE", required=True, help="the file, one callout a line; - prints"
    )
    parser.add_argument("--only", metavar="ID", action="append", help="only this callout; may be repeated")
    parser.add_argument("--with-names", action="store_true", help="with the names of people")
    parser.set_defaults(run=run_export)

    about = "Take in callouts from files of other laptops, in any order and any number of times."
    parser = below.add_parser("merge", help=about, description=about)
    parser.add_argument(
        "files", metavar="FILE", nargs="+", help="a file that export wrote, or an old callout"
    )
    add_store(parser)
    parser.set_defaults(run=run_merge)


def run_export(args: argparse.Namespace) -> int:
    """Write callouts to a file."""
    with mistakes() as outcome, open_store(args) as history:
        from diagnose.history.backup import taking_place
        from diagnose.history.travel import export_callouts
        from tui.progress import bar

        keys = [history.find(named).key for named in args.only] if args.only else None
        if args.callouts == "-":
            export_callouts(history, sys.stdout, args.with_names, keys)
            return 0
        path = Path(args.callouts)
        with writing(args.callouts), taking_place(path) as out:
            count = export_callouts(history, out, args.with_names, keys, bar("Writing"))
        print(f"{count} callouts written to {path}.", file=sys.stderr)
    return outcome.code


def run_merge(args: argparse.Namespace) -> int:
    """Take in callouts; 2 when a line was left out, which is named."""
    with mistakes() as outcome, open_store(args) as history, working_on(history.name):
        from diagnose.history.travel import merge
        from tui.history_lines import merged_line
        from tui.progress import bar

        merged = merge(history, map(Path, args.files), bar("Merging"))
        for problem in merged.problems:
            print(problem, file=sys.stderr)
        print(merged_line(merged))
        outcome.code = 2 if merged.problems else 0
    return outcome.code
