"""`halfsplit walk`: find the fault of one unit, one question at a time."""

import argparse
import sys
from typing import TYPE_CHECKING

from tui.commands.common import add_book, add_language, add_prices, mistakes
from tui.looks import add_looks
from tui.stores import add_store

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from tui.session import Beginning

ABOUT = "Find the fault of one unit, one question at a time."
NEEDS_TERMINAL = "The screen needs a terminal at every end. For pipes and screen readers use --plain."


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("walk", help=ABOUT, description=ABOUT)
    parser.add_argument("--unit", metavar="FILE", help="the unit sheet, or the name of an example")
    parser.add_argument("--plain", action="store_true", help="line by line, without a screen")
    parser.add_argument(
        "--caller", metavar="NAME", default="", help="who called, to be kept with a new callout"
    )
    parser.add_argument("--by", metavar="NAME", default="", help="your name, to be kept with your answers")
    add_store(parser)
    add_book(parser)
    add_prices(parser)
    add_language(parser)
    add_looks(parser)
    parser.add_argument(
        "--no-history",
        dest="history",
        action="store_const",
        const="none",
        default="",
        help="begin a new callout with the book's rates, whatever earlier callouts have taught",
    )
    parser.add_argument(
        "--ahead",
        action=argparse.BooleanOptionalAction,
        help="look further ahead for the next step; on the screen it is done while you read, by lines it is "
        "waited for (default: on the screen alone)",
    )
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--resume", action="store_true", help="go on with the newest open callout")
    which.add_argument("--new", action="store_true", help="start a new callout without asking")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    # The screen is drawn on stderr, so that stream counts too.
    if not args.plain and not all(end.isatty() for end in (sys.stdin, sys.stdout, sys.stderr)):
        print(NEEDS_TERMINAL, file=sys.stderr)
        return 2
    with mistakes() as outcome:
        outcome.code = _in_lines(args) if args.plain else _on_screen(args)
    return outcome.code


def _in_lines(args: argparse.Namespace) -> int:
    # The arithmetic takes a second to load, which no other command's help should wait for.
    from tui.session import Left, walk

    try:
        return walk(args)
    except Left:
        return 0


def _on_screen(args: argparse.Namespace) -> int:
    from tui.looks import looks_of
    from tui.screen.begin import run_from_start

    def begin() -> "Beginning":
        from tui.session import Beginning

        return Beginning(args)

    return run_from_start(begin, looks_of(args), args.ahead is not False, args.lang)
