"""`halfsplit desk`: several callouts open at once, for the voice on the phone."""

import argparse
import sys
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from tui.commands.common import ENGLISH, add_book, add_language, add_prices, mistakes, speaking, the_book
from tui.commands.walk import NEEDS_TERMINAL
from tui.looks import add_looks, looks_of
from tui.stores import add_store, open_store

if TYPE_CHECKING:
    from argparse import _SubParsersAction

ABOUT = "Work several callouts at once, as the voice on the phone does."


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("desk", help=ABOUT, description=ABOUT)
    parser.add_argument("--plain", action="store_true", help="line by line, without a screen")
    parser.add_argument("--by", metavar="NAME", default="", help="your name, to be kept with your answers")
    parser.add_argument(
        "--sheets", metavar="FOLDER", help="where your unit sheets are (default: sheets in the data folder)"
    )
    add_store(parser)
    add_book(parser)
    add_prices(parser)
    add_language(parser)
    add_looks(parser)
    parser.add_argument(
        "--no-ahead",
        dest="ahead",
        action="store_false",
        help="do not look further ahead while a question stands on the screen",
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    # The screen is drawn on stderr, so that stream counts too.
    if not args.plain and not all(end.isatty() for end in (sys.stdin, sys.stdout, sys.stderr)):
        print(NEEDS_TERMINAL, file=sys.stderr)
        return 2
    with mistakes() as outcome:
        outcome.code = _desk(args)
    return outcome.code


def _desk(args: argparse.Namespace) -> int:
    from diagnose.spoken import known_language
    from knowledge.book import Book
    from tui.clock import utc_now
    from tui.desk import Desk
    from tui.folder import data_folder
    from tui.settings import setting

    language, args.lang = args.lang, ENGLISH

    @cache
    def in_english() -> Book:
        return the_book(args)

    @cache
    def books(spoken: str) -> Book:
        return speaking(args, in_english(), known_language(in_english(), spoken))

    folder = data_folder(args.data)
    with open_store(args) as history:
        desk = Desk(books, history, utc_now, language, args.by or setting("by"))
        if args.plain:
            from tui.desk_plain import DeskTalk

            return DeskTalk(desk, iter(sys.stdin), sys.stdout, folder).run()
        from tui.screen.desk_app import run_desk

        sheets = Path(args.sheets) if args.sheets else folder / "sheets"
        return run_desk(desk, folder, sheets, looks_of(args), args.ahead)
