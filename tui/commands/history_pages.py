"""`halfsplit history` as a screen, `history unit`, `history site` and `history report`."""

import argparse
import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

from tui.commands.common import add_book, mistakes, the_book, write_out
from tui.folder import kept
from tui.progress import bar
from tui.stores import add_store, open_store

if TYPE_CHECKING:
    from argparse import _SubParsersAction
    from collections.abc import Sequence

    from diagnose.history.closed import ClosedCallout
    from diagnose.history.teacher import Teacher
    from knowledge.book import Book

COLUMNS: Final = (
    "callout",
    "site",
    "unit",
    "opened",
    "complaint",
    "ending",
    "cause",
    "told",
    "minutes",
    "failure_mode",
    "mechanism",
    "detection",
    "activity",
)
"""Of the table for a spreadsheet; the last four are classes of ISO 14224, to be verified."""


def add_parsers(below: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add all of them to `history`."""
    about = "The units of a site and the file of each, on the screen."
    parser = below.add_parser("screen", help=about, description=about)
    _options(parser)
    parser.set_defaults(run=run_screen)

    about = "One unit: what to look at next time, its faults over time, its trend, its callouts."
    parser = below.add_parser("unit", help=about, description=about)
    parser.add_argument("unit", metavar="UNIT", help="its name, or a part that no other unit's name has")
    _options(parser)
    _forms(parser)
    parser.set_defaults(run=run_unit)

    about = "A site: its units, the one that cost most first, and its faults over time."
    parser = below.add_parser("site", help=about, description=about)
    _options(parser)
    _forms(parser)
    parser.set_defaults(run=run_site)

    about = "A month of a site as one HTML file."
    parser = below.add_parser("report", help=about, description=about)
    parser.add_argument("--month", metavar="MONTH", required=True, help="like 2026-01")
    parser.add_argument("--html", metavar="FILE", required=True, help="the file to write")
    _options(parser)
    parser.set_defaults(run=run_report)


def _options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--site", metavar="NAME", help="of this site only")
    add_store(parser)
    add_book(parser)


def _forms(parser: argparse.ArgumentParser) -> None:
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--json", action="store_true", help="print as JSON")
    how.add_argument(
        "--csv",
        action="store_true",
        help="print its callouts as a table for a spreadsheet, with ISO 14224 classes",
    )


def run_screen(args: argparse.Namespace) -> int:
    """The history on the screen."""
    with mistakes() as outcome:
        from knowledge.problems import InputProblems, Problem

        if not (sys.stdin.isatty() and sys.stdout.isatty()):
            mend = "Without one: halfsplit history site, or halfsplit history list."
            raise InputProblems([Problem("history", "", "the screen needs a terminal", mend)])
        with _teacher(args) as teacher:
            from tui.screen.history_screen import run_history

            outcome.code = run_history(teacher, args.site)
    return outcome.code


def run_unit(args: argparse.Namespace) -> int:
    """One unit."""
    with mistakes() as outcome, _teacher(args) as teacher:
        from diagnose.history.pages import find_unit, unit_file
        from tui.history_pages import unit_lines

        book = teacher.ledger.book
        file = unit_file(teacher, *find_unit(teacher.ledger, args.unit, args.site))
        _print(args, book, file, file.callouts, lambda: unit_lines(book, file))
    return outcome.code


def run_site(args: argparse.Namespace) -> int:
    """One site, or all."""
    with mistakes() as outcome, _teacher(args) as teacher:
        from diagnose.history.pages import site_page
        from tui.history_pages import site_lines

        ledger = teacher.ledger
        callouts = ledger.callouts(args.site)
        page = site_page(ledger.book, callouts, teacher.now, args.site)
        _print(args, ledger.book, page, callouts, lambda: site_lines(page))
    return outcome.code


def run_report(args: argparse.Namespace) -> int:
    """A month as HTML."""
    with mistakes() as outcome, _teacher(args) as teacher:
        from diagnose.history.month import month_report
        from tui.month_page import month_html

        report = month_report(teacher.ledger, args.month, args.site)
        write_out(args.html, month_html(teacher.ledger.book, report))
        print(f"Written: {args.html}", file=sys.stderr)
    return outcome.code


@contextmanager
def _teacher(args: argparse.Namespace) -> "Iterator[Teacher]":
    """The store's teacher, with all that has ended read."""
    from diagnose.history.ledger import Ledger
    from diagnose.history.teacher import teacher_of

    book = the_book(args)
    with open_store(args) as history:
        ledger = Ledger(history, book, kept())
        waiting, tell = ledger.waiting(), bar("Reading the callouts that ended")
        yield teacher_of(ledger, None, lambda done: tell(done, waiting))


def _print(
    args: argparse.Namespace, book: "Book", page: object, callouts: "Sequence[ClosedCallout]", lines: Any
) -> None:
    from dataclasses import asdict

    from diagnose.events import SCHEMA_VERSION
    from tui.csv_text import csv_text
    from tui.month_page import callout_row

    rows = [callout_row(book, closed) for closed in callouts]
    if args.csv:
        print(csv_text(COLUMNS, rows), end="")
    elif args.json:
        told = {**asdict(page), "callouts": rows}  # type: ignore[call-overload]
        print(json.dumps({"schema_version": SCHEMA_VERSION, **told}, indent=2, default=str))
    else:
        print("\n".join(lines()))
