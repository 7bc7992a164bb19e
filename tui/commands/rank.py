"""`halfsplit rank`: findings in, likely causes and the next check out."""

import argparse
import json
import sys
from typing import TYPE_CHECKING, Any

from tui.commands.common import add_book, mistakes

if TYPE_CHECKING:
    from argparse import _SubParsersAction

ABOUT = "Rank the causes for some findings, and say what to do next."
SHOWN = 8
"""Causes shown to a person; `--json` gives all of them."""


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("rank", help=ABOUT, description=ABOUT)
    parser.add_argument("--unit", metavar="FILE", help="the unit sheet, or the name of an example")
    parser.add_argument("--set", metavar="FACT=VALUE", action="append", default=[], help="a fact of the unit")
    parser.add_argument(
        "--saw",
        metavar="CHECK=OUTCOME",
        action="append",
        default=[],
        help="a finding; a reading with its unit, like output_gauge=12psi; or complaint=…",
    )
    parser.add_argument("--hold", default="running", help="the state that the unit is in (default: running)")
    add_book(parser)
    parser.add_argument("--json", action="store_true", help="print everything as JSON")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        from diagnose.report import rank, understand
        from diagnose.sheet import Unit, read_unit
        from tui.commands.common import the_book

        book = the_book(args)
        unit = read_unit(args.unit, book) if args.unit else Unit()
        found = rank(book, unit, understand(book, unit, args.set, args.saw, args.hold))
        if args.json:
            print(json.dumps(found, indent=2))
        else:
            _show(found)
    return outcome.code


def _show(found: dict[str, Any]) -> None:
    from diagnose.words import minutes_text, percent_text

    for cause in found["causes"][:SHOWN]:
        print(f"{percent_text(cause['probability']):>4}  {cause['title']}  [{cause['id']}]")
        for worked in cause["because"]:
            print(f"      {worked['fact']} is {worked['value']}, by calculator {worked['calculator']}")
    advice = found["advice"]
    print(f"\nNext: {advice['title']}  [{advice['kind']} {advice['id']}]")
    if advice["say"]:
        print(f"Say: {advice['say']}")
    for caution in advice["cautions"]:
        print(f"Caution: {caution}")
    print(f"Takes: {minutes_text(advice['minutes'])}, {advice['hold']}")
    print(f"Why: {advice['why']}")
    for note in found["notes"]:
        print(note, file=sys.stderr)
    if not found["fit"]["together"]:
        print(
            f"These findings do not fit together. Look again at: {found['fit']['look_again']}",
            file=sys.stderr,
        )
