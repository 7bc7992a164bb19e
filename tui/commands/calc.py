"""`halfsplit calc`: the calculators, each with its units, its range and its source."""

import argparse
import json
import sys
from typing import TYPE_CHECKING

from tui.commands.common import mistakes, write_out

if TYPE_CHECKING:
    from argparse import _SubParsersAction
    from collections.abc import Mapping

    from diagnose.calculators.base import Calculation

ABOUT = "Calculate: displacer, actuator, valve, vessel, lift, supply, cold, gauge, density, loop."


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("calc", help=ABOUT, description=ABOUT)
    parser.add_argument("name", nargs="?", help="the calculator; --list names them")
    parser.add_argument("inputs", nargs="*", metavar="KEY=VALUE", help="its inputs, with their units")
    parser.add_argument("--unit", metavar="FILE", help="take what is not given from this unit sheet")
    parser.add_argument("--list", action="store_true", help="list the calculators with their inputs")
    parser.add_argument("--screen", action="store_true", help="type on the screen, with the answers beside")
    parser.add_argument("--plot", action="store_true", help="print the curves instead of the numbers")
    parser.add_argument("--svg", metavar="FILE", help="write the curves as a picture")
    parser.add_argument("--json", action="store_true", help="print as JSON")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        from knowledge.problems import InputProblems, Problem

        if args.list:
            _list(as_json=args.json)
        elif args.screen:
            outcome.code = _screen(args)
        elif args.name is None:
            raise InputProblems([Problem("calc", "", "no calculator is named", "Try: halfsplit calc --list")])
        else:
            _calculate(args)
    return outcome.code


def _screen(args: argparse.Namespace) -> int:
    from knowledge.problems import InputProblems, Problem

    if args.inputs or args.json or args.plot or args.svg:
        options = {"--json": args.json, "--plot": args.plot, "--svg": args.svg}
        asked = next((name for name, given in options.items() if given), "") or args.inputs[0]
        raise InputProblems([Problem("calc", asked, "does not go with --screen", "Leave one of them out.")])
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        mend = "Without one: halfsplit calc NAME KEY=VALUE ..."
        raise InputProblems([Problem("calc", "--screen", "needs a terminal", mend)])
    from tui.screen.calc_screen import run_calculators

    return run_calculators(args.name, _sheet_values(args))


def _calculate(args: argparse.Namespace) -> None:
    from diagnose.calculators.run import as_json, calculate

    values = _sheet_values(args)
    result = calculate(args.name, args.inputs, values)
    if args.plot or args.svg:
        _draw(args, result, values)
    elif args.json:
        print(json.dumps(as_json(result), indent=2))
    else:
        show(result)


def _draw(args: argparse.Namespace, result: "Calculation", values: "Mapping[str, float | str]") -> None:
    from dataclasses import asdict

    from diagnose.calculators.curves import DRAWN, charts_of
    from diagnose.events import SCHEMA_VERSION
    from knowledge.problems import InputProblems, Problem

    charts = charts_of(result, values)
    if not charts:
        what, mend = "these inputs give no curve", "Run it without --plot: the notes tell what is missing."
        if result.calculator not in DRAWN:
            what, mend = f"{result.calculator} has no curve", f"Those that have one: {', '.join(DRAWN)}."
        raise InputProblems([Problem("calc", "--plot", what, mend)])
    if args.svg:
        from tui.curves_svg import charts_svg

        write_out(args.svg, charts_svg(charts))
        print(f"Written: {args.svg}", file=sys.stderr)
    elif args.json:
        told = {"calculator": result.calculator, "charts": [asdict(chart) for chart in charts]}
        print(json.dumps({"schema_version": SCHEMA_VERSION, **told}, indent=2))
    else:
        from tui.plots import chart_lines

        print("\n\n".join("\n".join(chart_lines(chart)) for chart in charts))


def _sheet_values(args: argparse.Namespace) -> "Mapping[str, float | str]":
    from diagnose.derived import derived
    from diagnose.sheet import read_sheet

    return derived(read_sheet(args.unit)[0].values()) if args.unit else {}


def show(result: "Calculation") -> None:
    """Print a calculation for a person."""
    from diagnose.calculators.run import value_text

    for answer in result.answers:
        print(f"{value_text(answer.value, answer.unit):>18}  {answer.about}  [{answer.name}]")
    for note in result.notes:
        print(f"Note: {note}")
    for source in result.sources:
        print(f"Source: {source}")


def _list(*, as_json: bool) -> None:
    from diagnose.calculators.run import CALCULATORS, calculator_json
    from diagnose.events import SCHEMA_VERSION

    if as_json:
        listed = [calculator_json(calculator) for calculator in CALCULATORS.values()]
        print(json.dumps({"schema_version": SCHEMA_VERSION, "calculators": listed}, indent=2))
        return
    for calculator in CALCULATORS.values():
        print(f"{calculator.name}: {calculator.about}")
        for entry in calculator.inputs:
            kind = " | ".join(entry.words) or entry.unit or "number"
            must = "" if entry.usual is not None or entry.optional else " (must be given)"
            print(f"    {entry.name}: {entry.about} [{kind}]{must}")
