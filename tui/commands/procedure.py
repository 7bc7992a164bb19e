"""`halfsplit procedure`: set point and span, step by step, fitted to a unit."""

import argparse
import json
from typing import TYPE_CHECKING, Any

from tui.commands.common import mistakes

if TYPE_CHECKING:
    from argparse import _SubParsersAction

ABOUT = "Set the set point or the span, step by step, fitted to a unit."
NAMES = {"set_point": "Set the level at which it acts", "span": "Set how much level it takes"}


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("procedure", help=ABOUT, description=ABOUT)
    verbs = parser.add_subparsers(dest="verb", required=True, metavar="VERB")
    listing = verbs.add_parser("list", help="list the procedures")
    showing = verbs.add_parser("show", help="show one, fitted to a unit")
    showing.add_argument("name", choices=list(NAMES))
    showing.add_argument("--unit", metavar="FILE", help="the unit sheet, or the name of an example")
    for verb, action in ((listing, _list), (showing, _show)):
        verb.add_argument("--json", action="store_true", help="print as JSON")
        verb.set_defaults(run=run, action=action)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        args.action(args)
    return outcome.code


def _list(args: argparse.Namespace) -> None:
    if args.json:
        _json({"procedures": [{"name": name, "title": title} for name, title in NAMES.items()]})
        return
    for name, title in NAMES.items():
        print(f"{name}\t{title}")


def _show(args: argparse.Namespace) -> None:
    from diagnose.procedures import fitted
    from diagnose.sheet import read_sheet

    procedure = fitted(args.name, read_sheet(args.unit)[0].values() if args.unit else {})
    if args.json:
        variants = [{"when": variant.when or None, "steps": variant.steps} for variant in procedure.variants]
        _json({"title": procedure.title, "cautions": procedure.cautions, "variants": variants})
        return
    for sentence in procedure.sentences():
        print(sentence)


def _json(data: dict[str, Any]) -> None:
    from diagnose.events import SCHEMA_VERSION

    print(json.dumps({"schema_version": SCHEMA_VERSION, **data}, indent=2))
