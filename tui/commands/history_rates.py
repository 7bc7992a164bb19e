"""`halfsplit history rates`: how often each fault comes on a unit, and what was learned of the work."""

import argparse
import json
from typing import TYPE_CHECKING

from tui.commands.common import add_book, mistakes
from tui.stores import add_store, open_store

if TYPE_CHECKING:
    from argparse import _SubParsersAction


def add_parsers(below: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add it to `history`."""
    about = "Tell how often each fault comes on a unit: the book, all sites, the site and the unit together."
    parser = below.add_parser("rates", help=about, description=about)
    add_store(parser)
    add_book(parser)
    parser.add_argument("--unit", metavar="NAME", default="", help="this unit (without it: a new one)")
    parser.add_argument("--site", metavar="NAME", default="", help="at this site")
    parser.add_argument("--sheet", metavar="FILE", help="the unit sheet, or the name of an example")
    add_forms(parser)
    parser.set_defaults(run=run)


def add_forms(parser: argparse.ArgumentParser) -> None:
    """Add `--json` and `--csv`."""
    how = parser.add_mutually_exclusive_group()
    how.add_argument("--json", action="store_true", help="print all as JSON")
    how.add_argument("--csv", action="store_true", help="print a table for a spreadsheet")


def run(args: argparse.Namespace) -> int:
    """Print the rates."""
    with mistakes() as outcome, open_store(args) as history:
        from diagnose.events import SCHEMA_VERSION
        from diagnose.wording import titles_of
        from tui.commands.common import the_book
        from tui.statistics import place_of, plain, table, teacher
        from tui.statistics_lines import NOTHING, rates_lines

        book = the_book(args)
        taught = teacher(history, book)
        found = taught.unit(*place_of(args, taught))
        rows = [
            {**plain(rate), "times": rate.times, "rests_on": found.rests_on(rate)} for rate in found.rates
        ]
        if args.json:
            shown = {
                "schema_version": SCHEMA_VERSION,
                **plain(found),
                "rates": rows,
                "minutes": plain(taught.taught.minutes),
                "takes": plain(taught.taught.takes),
            }
            print(json.dumps(shown, indent=2))
        elif args.csv:
            print(table(rows), end="")
        elif not found.callouts_everywhere:
            print(NOTHING)
        else:
            titles = titles_of(book)
            print("\n".join(rates_lines(found, taught.taught.minutes, taught.taught.takes, titles)))
    return outcome.code
