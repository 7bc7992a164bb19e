"""`halfsplit drill`: practise on a simulated vessel with something wrong in it."""

import argparse
import json
import sys
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from tui.commands.common import add_language, mistakes, speaking

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from diagnose.trial.drill import Drill
    from diagnose.trial.drill_outcome import Outcome
    from diagnose.trial.drill_vessel import Vessel
    from diagnose.trial.policies import Desk
    from knowledge.book import Book

ABOUT = "Practise: find the fault of a simulated vessel, and see the tool's own walk beside yours."


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("drill", help=ABOUT, description=ABOUT)
    parser.add_argument("--fault", metavar="ID", default="hidden", help="what is wrong (default: hidden)")
    parser.add_argument("--severity", type=float, default=1.0, help="how bad it is, up to 1 (default: 1)")
    parser.add_argument("--set-up", metavar="NAME", default="", help="one of the eight set-ups")
    parser.add_argument(
        "--level",
        choices=("easy", "hard"),
        default="easy",
        help="easy: six checks are offered, and nobody looks wrong; hard: none is offered, looks can be "
        "wrong, and there may be two faults (default: easy)",
    )
    parser.add_argument("--seed", type=int, help="the same number gives the same vessel")
    parser.add_argument("--plain", action="store_true", help="line by line, without a screen")
    parser.add_argument("--watch", action="store_true", help="watch the tool work it alone")
    parser.add_argument("--json", action="store_true", help="print what came of it as JSON")
    add_language(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        outcome.code = _drill(args)
    return outcome.code


def _drill(args: argparse.Namespace) -> int:
    from diagnose.spoken import known_language
    from diagnose.trial.drill import Drill, desk_for
    from diagnose.trial.drill_vessel import Wanted, drawn
    from knowledge.book import SHIPPED, load_book
    from tui.clock import utc_now
    from tui.drill_lines import SETTING_UP
    from tui.folder import kept

    seed = seed_of(utc_now()) if args.seed is None else args.seed
    if sys.stderr.isatty():
        print(SETTING_UP, file=sys.stderr)
    english = load_book(SHIPPED, kept())
    book = speaking(args, english, known_language(english, args.lang))
    vessel = drawn(book, Wanted(seed, args.fault, args.severity, args.set_up, args.level))
    desk = desk_for(book, vessel.ready.unit, kept())
    lines = args.plain or not all(end.isatty() for end in (sys.stdin, sys.stdout, sys.stderr))
    if args.watch:
        return _watch(args, desk, vessel, lines)
    return _play(args, Drill(desk, vessel), lines)


def seed_of(moment: str) -> int:
    """A seed of six digits at most, from a moment in ISO 8601.

    >>> seed_of("2026-01-31T09:05:07Z")
    90507
    """
    return int("".join(c for c in moment if c.isdigit())[-6:])


def _watch(args: argparse.Namespace, desk: "Desk", vessel: "Vessel", lines: bool) -> int:
    from diagnose.trial.drill_outcome import tools_walk
    from tui.drill_plain import watch_plain

    side, code = tools_walk(desk, vessel), 0
    if not lines:
        from tui.screen.drill_watch import run_watch

        code = run_watch(desk.book, vessel, side)
    elif not args.json:
        watch_plain(desk.book, vessel, side, sys.stdout)
    if args.json:
        _print({**_vessel(desk.book, vessel), "tool": asdict(side)})
    return code


def _play(args: argparse.Namespace, drill: "Drill", lines: bool) -> int:
    code = 0
    if lines:
        from tui.drill_plain import PlainDrill

        # What is printed as JSON has the output to itself.
        came = PlainDrill(drill, sys.stdin, sys.stderr if args.json else sys.stdout).play()
    else:
        from tui.screen.drill_screen import run_drill

        came, code = run_drill(drill)
    if args.json:
        _print({**_vessel(drill.book, drill.vessel), **_outcome(drill, came)})
    return code


def _vessel(book: "Book", vessel: "Vessel") -> dict[str, Any]:
    wanted, faults = vessel.wanted, vessel.case.faults
    return {
        "seed": wanted.seed,
        "level": wanted.level,
        "set_up": vessel.ready.name,
        "complaint": vessel.complaint,
        "faults": [
            {"id": name, "title": book.causes[name].title, "severity": how} for name, how in faults.items()
        ],
    }


def _outcome(drill: "Drill", came: "Outcome | None") -> dict[str, Any]:
    """Both sides; the tool's is null for a drill that was left, which is not worked out then."""
    from diagnose.trial.drill_outcome import own_side

    return {
        "own": asdict(came.own if came else own_side(drill)),
        "tool": asdict(came.tool) if came else None,
        "minutes_more": came.minutes_more if came else None,
    }


def _print(data: dict[str, Any]) -> None:
    from diagnose.events import SCHEMA_VERSION

    print(json.dumps({"schema_version": SCHEMA_VERSION, **data}, indent=2))
