"""`halfsplit history trend`: which units get worse, what comes back, when in the year, at what cost."""

import argparse
import json
from typing import TYPE_CHECKING

from tui.commands.common import add_book, mistakes
from tui.commands.history_rates import add_forms
from tui.stores import add_store, open_store

if TYPE_CHECKING:
    from argparse import _SubParsersAction


def add_parsers(below: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add it to `history`."""
    about = "Tell which units get worse, which faults come back, when in the year, and what it cost."
    parser = below.add_parser("trend", help=about, description=about)
    add_store(parser)
    add_book(parser)
    parser.add_argument("--site", metavar="NAME", help="of this site only")
    parser.add_argument("--unit", metavar="NAME", help="of this unit only")
    add_forms(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the trends."""
    with mistakes() as outcome, open_store(args) as history:
        from diagnose.events import SCHEMA_VERSION
        from diagnose.history.site_trends import site_trends
        from diagnose.wording import titles_of
        from tui.commands.common import the_book
        from tui.statistics import plain, table, teacher
        from tui.statistics_lines import NOTHING, trend_lines

        book = the_book(args)
        taught = teacher(history, book)
        found = site_trends(taught.ledger.callouts(args.site, args.unit), taught.now)
        if args.json:
            print(json.dumps({"schema_version": SCHEMA_VERSION, **plain(found)}, indent=2))
        elif args.csv:
            print(table([plain(unit) for unit in (*found.units, *found.by_cause)]), end="")
        elif not found.callouts:
            print(NOTHING)
        else:
            print("\n".join(trend_lines(found, titles_of(book))))
    return outcome.code
