"""`halfsplit demo`: an invented site with three years of callouts, in a store of its own."""

import argparse
import sys
from typing import TYPE_CHECKING, Final

from tui.clock import utc_now
from tui.commands.common import add_book, mistakes, the_book
from tui.folder import data_folder, kept

if TYPE_CHECKING:
    from argparse import _SubParsersAction
    from collections.abc import Iterator

    from diagnose.history.store import History
    from diagnose.history.teacher import Teacher
    from knowledge.book import Book

ABOUT = "Show the history's pages on an invented site with three years of callouts."
FILE: Final = "demo.sqlite"
"""The demo's store, beside the real one and never mixed with it."""
SAID: Final = "Everything in it is invented. It is kept apart from real callouts in"


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("demo", help=ABOUT, description=ABOUT)
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="another site history (default: 1)")
    parser.add_argument("--plain", action="store_true", help="print the pages instead of opening the screen")
    parser.add_argument("--data", metavar="FOLDER", help="the folder where the demo's store is kept")
    add_book(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        outcome.code = _demo(args)
    return outcome.code


def _demo(args: argparse.Namespace) -> int:
    from diagnose.history.ledger import Ledger
    from diagnose.history.store import History
    from diagnose.history.teacher import teacher_of

    book = the_book(args)
    path = data_folder(args.data) / (FILE if args.seed == 1 else f"demo-{args.seed}.sqlite")
    path.parent.mkdir(parents=True, exist_ok=True)
    new = not path.exists()
    with History.open(str(path), utc_now, demo=True) as history:
        if new:
            print("Making the demo's callouts ...", file=sys.stderr)
            _fill(history, book, args.seed)
        teacher = teacher_of(Ledger(history, book, kept()), None)
        print(f"{SAID} {path}", file=sys.stderr)
        if args.plain or not (sys.stdin.isatty() and sys.stdout.isatty()):
            print("\n".join(pages(book, teacher)))
            return 0
        from tui.screen.history_screen import run_history

        return run_history(teacher)


def _fill(history: "History", book: "Book", seed: int) -> None:
    """Put the callouts in, as they would come from a file."""
    from datetime import datetime

    from diagnose.demo.site import demo_callouts
    from diagnose.history.record import Record
    from diagnose.history.travel import Merged, merge_records

    now = datetime.fromisoformat(utc_now())
    merge_records(history, [Record.in_a_row(events) for events in demo_callouts(book, now, seed)], Merged())


def pages(book: "Book", teacher: "Teacher") -> "Iterator[str]":
    """The site's page, then the file of every unit."""
    from diagnose.demo.units import SITE
    from diagnose.history.pages import places_of, site_page, unit_file
    from tui.history_pages import site_lines, unit_lines

    yield from site_lines(site_page(book, teacher.ledger.callouts(SITE), teacher.now, SITE))
    for site, unit in places_of(teacher.ledger):
        yield ""
        yield "=" * 80
        yield from unit_lines(book, unit_file(teacher, site, unit))
