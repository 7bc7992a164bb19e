"""`halfsplit procedure`: how a job is done, step by step, fitted to a unit."""

import argparse
import json
import sys
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from tui.commands.common import add_book, add_language, mistakes, the_book

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from diagnose.procedures import Fitted

ABOUT = "Do a job step by step, fitted to a unit: set point, span, conversions, bleeding down and the rest."


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("procedure", help=ABOUT, description=ABOUT)
    verbs = parser.add_subparsers(dest="verb", required=True, metavar="VERB")
    listing = verbs.add_parser("list", help="list the procedures")
    showing = verbs.add_parser("show", help="show one, fitted to a unit")
    showing.add_argument("name")
    showing.add_argument("--unit", metavar="FILE", help="the unit sheet, or the name of an example")
    for verb, action in ((listing, _list), (showing, _show)):
        add_book(verb)
        add_language(verb)
        how = verb.add_mutually_exclusive_group()
        how.add_argument("--json", action="store_true", help="print as JSON")
        if verb is showing:
            how.add_argument("--steps", action="store_true", help="one line at a time, to be ticked off")
        verb.set_defaults(run=run, action=action)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        args.action(args)
    return outcome.code


def _list(args: argparse.Namespace) -> None:
    procedures = the_book(args).procedures
    if args.json:
        _json({"procedures": [{"name": name, "title": entry.title} for name, entry in procedures.items()]})
        return
    for name, entry in procedures.items():
        print(f"{name}\t{entry.title}")


def _show(args: argparse.Namespace) -> None:
    from tui.procedure_lines import head_lines, line_text, tick_off, words_in

    procedure = _fitted(args)
    if args.json:
        _json(asdict(procedure))
    elif args.steps:
        tick_off(procedure, sys.stdin, sys.stdout)
    else:
        caution = words_in(procedure).caution
        print("\n".join([*head_lines(procedure), *(line_text(line, caution) for line in procedure.lines)]))


def _fitted(args: argparse.Namespace) -> "Fitted":
    from diagnose.procedures import fitted
    from diagnose.sheet import Unit, read_unit
    from knowledge.problems import InputProblems, Problem, nearest

    book = the_book(args)
    if args.name not in book.procedures:
        mend = nearest(args.name, book.procedures) or "See them with: halfsplit procedure list."
        raise InputProblems([Problem("procedure show", "", f"there is no procedure {args.name!r}", mend)])
    unit = read_unit(args.unit, book) if args.unit else Unit()
    return fitted(book, args.name, unit.facts, unit.values)


def _json(data: dict[str, Any]) -> None:
    from diagnose.events import SCHEMA_VERSION

    print(json.dumps({"schema_version": SCHEMA_VERSION, **data}, indent=2))
