"""`halfsplit rig`: a simulated unit, healthy and with faults in it, side by side."""

import argparse
import json
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from tui.commands import rig_compare, rig_sweep
from tui.commands.common import mistakes, write_out

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from diagnose.rig.seeing import Seen

ABOUT = "Play a simulated unit, healthy and with faults in it, side by side."


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("rig", help=ABOUT, description=ABOUT)
    verbs = parser.add_subparsers(dest="verb", required=True, metavar="VERB")
    playing = verbs.add_parser("run", help="play a unit and show its level, output, stem and flow over time")
    playing.add_argument("--unit", metavar="FILE", help="the unit sheet, or the name of an example")
    playing.add_argument(
        "--fault", metavar="ID", action="append", default=[], help="a fault to put in; see rig faults"
    )
    playing.add_argument("--severity", type=float, default=1.0, help="how bad it is, up to 1 (default: 1)")
    playing.add_argument("--minutes", type=float, default=30.0, help="how long (default: 30)")
    playing.add_argument("--seed", type=int, default=0, help="another seed, another inflow (default: 0)")
    playing.add_argument("--svg", metavar="FILE", help="write the curves as a picture too")
    listing = verbs.add_parser("faults", help="list the faults that can be put in")
    sweeping, comparing = rig_sweep.add_parser(verbs), rig_compare.add_parser(verbs)
    for verb, action in (
        (playing, _run),
        (listing, _faults),
        (sweeping, rig_sweep.sweep),
        (comparing, rig_compare.compare),
    ):
        verb.add_argument("--json", action="store_true", help="print as JSON")
        verb.set_defaults(run=run, action=action)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        args.action(args)
    return outcome.code


def _faults(args: argparse.Namespace) -> None:
    from diagnose.rig.seeing import fault_table

    table = fault_table()
    if args.json:
        _json({"faults": [{"id": name, "about": about} for name, about in table.items()]})
        return
    for name, about in table.items():
        print(f"{name}\t{about}")


def _run(args: argparse.Namespace) -> None:
    from diagnose.rig.plant import CannotBuild
    from diagnose.rig.seeing import played
    from diagnose.sheet import read_sheet
    from knowledge.problems import InputProblems, Problem

    values = read_sheet(args.unit)[0].values() if args.unit else {}
    try:
        seen = played(values, args.fault, args.severity, args.minutes, args.seed)
    except CannotBuild as error:
        raise InputProblems([Problem(args.unit or "rig run", "", str(error))]) from error
    if args.svg:
        from tui.curves_svg import seen_svg

        write_out(args.svg, seen_svg(seen, _title(seen)))
    if args.json:
        _json(asdict(seen))
    else:
        print("\n".join(_lines(seen)))


def _lines(seen: "Seen") -> list[str]:
    """The plots, the healthy plant at the left."""
    from tui.plots import side_by_side

    dumps = " and ".join(str(count) for count in seen.dumps)
    lines = [_title(seen), f"Dumps: {dumps}"]
    for curve in seen.curves:
        title = f"{curve.title}, {curve.unit}" if curve.unit else curve.title
        lines += ["", *side_by_side(title, curve.healthy, curve.faulted or None)]
    return lines


def _title(seen: "Seen") -> str:
    faults = ", ".join(seen.faults)
    return f"{seen.minutes:g} minutes, healthy" + (f" and with {faults} (at the right)" if faults else "")


def _json(data: dict[str, Any]) -> None:
    from diagnose.events import SCHEMA_VERSION

    print(json.dumps({"schema_version": SCHEMA_VERSION, **data}, indent=2))
