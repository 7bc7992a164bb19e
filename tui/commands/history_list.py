"""`halfsplit history list` and `history show`."""

import argparse
import json
from typing import TYPE_CHECKING

from tui.commands.common import mistakes
from tui.stores import add_store, open_store

if TYPE_CHECKING:
    from argparse import _SubParsersAction
    from collections.abc import Iterable

    from diagnose.events import Event

MOST = 40
"""Callouts that a list for people shows unless more are asked for."""


def add_parsers(below: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add both to `history`."""
    about = "List callouts, the one opened last first."
    parser = below.add_parser("list", help=about, description=about)
    add_store(parser)
    parser.add_argument("--unit", metavar="NAME", default="", help="of this unit only")
    parser.add_argument("--site", metavar="NAME", default="", help="of this site only")
    parser.add_argument("--open", action="store_true", help="only those that somebody can go on with")
    parser.add_argument("--since", metavar="DAY", default="", help="opened on this day or later: 2026-01-31")
    parser.add_argument("--until", metavar="DAY", default="", help="opened before this day")
    parser.add_argument("--struck", action="store_true", help="with those that were struck")
    parser.add_argument("--most", type=int, metavar="N", help=f"so many at most (for reading: {MOST})")
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--json", action="store_true", help="print all as JSON")
    how.add_argument("--csv", action="store_true", help="print a table for a spreadsheet")
    parser.set_defaults(run=run_list)

    about = "Show all that is kept of one callout."
    parser = below.add_parser("show", help=about, description=about)
    parser.add_argument("callout", metavar="ID", help="its key, the first letters of it, or its name")
    add_store(parser)
    parser.add_argument("--json", action="store_true", help="print all as JSON, without names of people")
    parser.set_defaults(run=run_show)


def run_list(args: argparse.Namespace) -> int:
    """List callouts."""
    with mistakes() as outcome, open_store(args) as history:
        from diagnose.events import SCHEMA_VERSION
        from diagnose.history.store import Wanted
        from tui.csv_text import csv_text
        from tui.history_lines import COLUMNS, NONE, ids_of, list_line

        wanted = Wanted(args.unit, args.site, args.open, args.since, args.until, args.struck)
        found = history.callouts(wanted, args.most or (None if args.json or args.csv else MOST))
        if args.json:
            print(json.dumps({"schema_version": SCHEMA_VERSION, "callouts": ids_of(found)}, indent=2))
        elif args.csv:
            print(csv_text(COLUMNS, ids_of(found)), end="")
        else:
            print("\n".join(map(list_line, found)) or NONE)
    return outcome.code


def run_show(args: argparse.Namespace) -> int:
    """Show one callout."""
    with mistakes() as outcome, open_store(args) as history:
        from diagnose.events import SCHEMA_VERSION
        from diagnose.history.record import without_names
        from tui.history_lines import ids_of, record_lines

        item = history.find(args.callout)
        record = history.record(item.key)
        if not args.json:
            print("\n".join(record_lines(item, record)))
            return outcome.code

        def plain(events: "Iterable[Event]") -> list[object]:
            return [json.loads(without_names(event).line()) for event in events]

        shown = {
            "schema_version": SCHEMA_VERSION,
            **ids_of([item])[0],
            "struck": item.struck,
            "events": plain(record.events),
            "as_written": plain(record.written),
            "apart": [{"after": b.after, "events": plain(b.events)} for b in record.branches()],
            "remarks": plain(record.remarks),
        }
        print(json.dumps(shown, indent=2))
    return outcome.code
