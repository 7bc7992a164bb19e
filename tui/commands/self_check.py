"""`halfsplit self-check`: versions, folders, terminal, and what is wrong with them."""

import argparse
import json
from typing import TYPE_CHECKING

from tui.commands.common import add_book, mistakes, the_book

if TYPE_CHECKING:
    from argparse import _SubParsersAction


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add `self-check` to the command line."""
    parser = subparsers.add_parser(
        "self-check",
        help="tell versions, folders and what the terminal can do, and what is wrong",
        description="Tell versions, folders and what the terminal can do, and what is wrong with them.",
    )
    add_book(parser)
    parser.add_argument("--data", metavar="FOLDER", help="where the callouts are kept")
    parser.add_argument("--json", action="store_true", help="print everything as JSON")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print what was found."""
    from diagnose.events import SCHEMA_VERSION
    from tui.self_check import self_check

    with mistakes() as outcome:
        facts = self_check(the_book(args), args.data)
        if args.json:
            found = [vars(fact) for fact in facts]
            print(json.dumps({"schema_version": SCHEMA_VERSION, "facts": found}, indent=2))
            return outcome.code
        for fact in facts:
            print(f"{fact.name:14} {fact.value}")
            if fact.wrong:
                print(f"{'':14} ! {fact.wrong}")
    return outcome.code
