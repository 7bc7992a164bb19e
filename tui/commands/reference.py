"""`halfsplit reference WHAT`: the reference of the commands, or of a book's file."""

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from argparse import _SubParsersAction


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add `reference` to the command line."""
    parser = subparsers.add_parser(
        "reference",
        help="print the reference of the commands, or of a book's file",
        description="Print the reference of all commands, or of the kinds and fields of a book's file.",
    )
    parser.add_argument("what", choices=("commands", "book"), metavar="WHAT", help="commands or book")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print it."""
    from tui.reference import book_text, commands_text

    if args.what == "commands":
        from tui.__main__ import parser

        print(commands_text(parser()), end="")
    else:
        from knowledge.schema import BookFile

        print(book_text(BookFile.model_json_schema()), end="")
    return 0
