"""`halfsplit history stock`: the parts that a site should hold for the next quarter."""

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
    about = "Tell which parts a site should hold for the next quarter, and how many."
    parser = below.add_parser("stock", help=about, description=about)
    add_store(parser)
    add_book(parser)
    parser.add_argument("--site", metavar="NAME", default="", help="this site; not needed when there is one")
    parser.add_argument(
        "--enough",
        metavar="PERCENT",
        type=float,
        default=95.0,
        help="how surely they are to last, 50 to 99.9 (default: 95)",
    )
    add_forms(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the parts."""
    with mistakes() as outcome, open_store(args) as history:
        from diagnose.events import SCHEMA_VERSION
        from diagnose.history.stock import stock_of
        from diagnose.wording import titles_of
        from knowledge.problems import InputProblems, Problem
        from tui.commands.common import the_book
        from tui.statistics import plain, site_of, table, teacher
        from tui.statistics_lines import stock_lines

        if not 50 <= args.enough <= 99.9:
            what = f"{args.enough:g} is no chance from 50 to 99.9"
            raise InputProblems([Problem("--enough", "", what, "Write it as --enough 95.")])
        book, enough = the_book(args), args.enough / 100
        taught = teacher(history, book)
        site = site_of(args, taught)
        callouts = taught.ledger.callouts(site)
        parts = stock_of(book, taught.taught.everywhere, site, callouts, taught.now, enough)
        if args.json:
            shown = {"schema_version": SCHEMA_VERSION, "site": site, "enough": enough, "parts": plain(parts)}
            print(json.dumps(shown, indent=2))
        elif args.csv:
            print(table([plain(part) for part in parts]), end="")
        else:
            print("\n".join(stock_lines(site, parts, enough, titles_of(book))))
    return outcome.code
