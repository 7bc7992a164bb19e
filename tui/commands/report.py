"""`halfsplit report`: a callout handed over, as one HTML file, as text, or as JSON."""

import argparse
import json
import sys
from typing import TYPE_CHECKING

from tui.commands.common import add_book, mistakes, the_book, write_out
from tui.stores import add_store

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from diagnose.handover import Handover

ABOUT = "Hand a callout over: what was wrong, what was done, what to watch; as HTML, text or JSON."


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("report", help=ABOUT, description=ABOUT)
    parser.add_argument(
        "callout", metavar="CALLOUT", help="its name or key, as halfsplit history list shows it; or: newest"
    )
    parser.add_argument("--html", metavar="FILE", help="write one HTML file that prints on two pages")
    parser.add_argument("--text", metavar="FILE", help="write it as text")
    parser.add_argument("--json", action="store_true", help="print as JSON")
    add_store(parser)
    add_book(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        _report(args)
    return outcome.code


def _report(args: argparse.Namespace) -> None:
    from diagnose.handover import as_json
    from tui.handover_page import handover_html, handover_text

    handover = _handover(args)
    for name, made in ((args.html, handover_html), (args.text, handover_text)):
        if name:
            write_out(name, made(handover))
            print(f"Written: {name}", file=sys.stderr)
    if args.json:
        print(json.dumps(as_json(handover), indent=2))
    elif not (args.html or args.text):
        print(handover_text(handover), end="")


def _handover(args: argparse.Namespace) -> "Handover":
    from diagnose.callout import BadEvent
    from diagnose.handover import handover_of
    from knowledge.problems import InputProblems, Problem
    from tui.folder import kept
    from tui.stores import open_store

    book = the_book(args)
    with open_store(args) as history:
        if args.callout == "newest":
            found = history.callouts(most=1)
            if not found:
                raise InputProblems([Problem("report", "newest", "there is no callout yet", "")])
            key = found[0].key
        else:
            key = history.find(args.callout).key
        record = history.record(key)
    notes = [event.text for event in record.remarks if event.kind == "note"]
    try:
        return handover_of(book, record.events, notes, kept())
    except BadEvent as error:
        what = f"this callout cannot be told with this book: {error}"
        raise InputProblems(
            [Problem(args.callout, "", what, "Name the one it was worked with: --book.")]
        ) from error
