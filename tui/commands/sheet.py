"""`halfsplit sheet`: check a unit sheet, or make a new one by asking."""

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from tui.commands.common import mistakes

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from diagnose.sheet_check import SheetReport

ABOUT = "Check a unit sheet, or make a new one by asking."


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("sheet", help=ABOUT, description=ABOUT)
    verbs = parser.add_subparsers(dest="verb", required=True, metavar="VERB")
    checking = verbs.add_parser(
        "check", help="what is wrong, missing, does not fit, and what the loop would do"
    )
    checking.add_argument("file", help="the unit sheet, or the name of an example")
    checking.add_argument("--json", action="store_true", help="print as JSON")
    checking.set_defaults(run=run, action=_check)
    new = verbs.add_parser("new", help="make a sheet by asking; every field may stay unknown")
    new.add_argument("file", help="where to write it")
    new.add_argument("--plain", action="store_true", help="line by line, without a screen")
    new.set_defaults(run=run, action=_new)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        outcome.code = args.action(args)
    return outcome.code


def _check(args: argparse.Namespace) -> int:
    from diagnose.sheet import read_sheet
    from diagnose.sheet_check import check_sheet, report_json

    sheet, document = read_sheet(args.file)
    report = check_sheet(sheet, lambda field: document.place(tuple(field.split("."))))
    if args.json:
        print(json.dumps(report_json(report), indent=2))
    else:
        _show(report)
    for problem in report.misfits:
        print(problem, file=sys.stderr)
    return 2 if report.misfits else 0


def _show(report: "SheetReport") -> None:
    from diagnose.calculators.run import value_text

    print(report.unit)
    for sentence in report.will_do:
        print(f"Loop: {sentence}")
    for fact in report.worked.facts:
        print(f"Worked out: {fact.fact} is {fact.value} (calculator {fact.calculation.calculator})")
    for name, calculation in report.worked.calculations.items():
        numbers = [a for a in calculation.answers if not isinstance(a.value, str | bool)]
        if numbers:
            print(f"{name}: " + ", ".join(f"{a.name} {value_text(a.value, a.unit)}" for a in numbers))
    for name, why in report.worked.refused.items():
        print(f"{name}: cannot be worked out: {'; '.join(why)}")
    for name, lacking in report.worked.missing.items():
        print(f"{name}: needs {', '.join(lacking)}")
    print(f"{len(report.unknown)} fields are not known.")


def _new(args: argparse.Namespace) -> int:
    from knowledge.problems import InputProblems, Problem

    path = Path(args.file)
    if path.exists():
        raise InputProblems([Problem(args.file, "", "is there already", "Name a new file.")])
    if args.plain or not (sys.stdin.isatty() and sys.stdout.isatty()):
        from tui.sheet_plain import ask_sheet

        return ask_sheet(path, iter(sys.stdin), sys.stdout)
    from tui.screen.sheet_form import run_form

    return run_form(path)
