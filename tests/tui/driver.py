"""What the tests of the faces share: the small book, walks on it, the screen as plain text.

The faces are tested apart from the reasoning: a question is forced with `now`, a whole callout is
answered by the truth about it (`script`), and golden screens show fixed views (`stage`), so that a
better advice changes no test here.
"""

import os
import sys
from collections.abc import AsyncIterator, Callable, Iterable, Mapping
from contextlib import asynccontextmanager
from functools import cache
from itertools import count
from pathlib import Path

from textual.pilot import Pilot

from diagnose.events import Event
from diagnose.help_step import help_step
from diagnose.opening import open_callout
from diagnose.proof_step import prove_step
from diagnose.sheet import Unit
from diagnose.steps import Step, check_step, hold_step, repair_step
from diagnose.walk import Walk
from diagnose.walk_view import Leader, View
from knowledge.book import Book, load_book
from knowledge.words import SECTIONS
from tui.screen.app import WalkApp
from tui.screen.plate import Plate
from tui.screen.walk_screen import WalkScreen

ROOT = Path(__file__).parents[2]
SMALL_BOOK = ROOT / "tests" / "data" / "small_book"
SHEET = ROOT / "tests" / "data" / "unit.yaml"
GOLDENS = Path(__file__).parent / "goldens"
RENEW = "HALFSPLIT_RENEW_GOLDENS"
"""Set to 1 in the environment, the golden screens are written anew instead of compared; read the diff."""
RECORD = "history.sqlite, callout 20260131T120000Z-V-101-3f9c2a"
RUNNER = (
    "import argparse, sys; from tui.commands.walk import add_parser; "
    "parser = argparse.ArgumentParser(); add_parser(parser.add_subparsers()); "
    "args = parser.parse_args(); sys.exit(args.run(args))"
)
TRUTH = {
    "danger": "steady",
    "complaint": "floods",
    "lift_arm": "nothing",
    "output_gauge": "none",
    "supply_gauge": "99 psi",
    "stem_moves": "still",
    "blow_down_glass": "same",
    "soap": "dry",
    "listen_valve": "quiet",
    "valve_fails": "closed",
}
"""What is seen at a unit with its pilot plugged."""
NO_TRUTH = dict.fromkeys(TRUTH, "could_not_tell") | {"danger": "steady", "complaint": "floods"}


@cache
def small_book() -> Book:
    """The small book, read once."""
    return load_book(SMALL_BOOK)


def command(*args: str) -> list[str]:
    """The command line of `walk` on the small book."""
    return [sys.executable, "-c", RUNNER, "walk", "--book", str(SMALL_BOOK), *args]


def new_walk(
    answers: Iterable[str] = (), *, unit: Unit | None = None, now: str = "", **findings: str
) -> Walk:
    """A walk with some answers given, then some findings, and with the question ``now`` being asked."""
    book = small_book()
    first = open_callout("test", unit or Unit("V-101"), book, "2026-01-31T12:00:00Z")
    walk = Walk(book, [first], lambda event: None, lambda: "2026-01-31T12:00:01Z")
    for answer in answers:
        walk.answer(answer)
    for question, answer in findings.items():
        walk.ask(question)
        walk.answer(answer)
    if now:
        walk.ask(now)
    return walk


def walk_of(*events: tuple[str, str, str]) -> Walk:
    """A walk with these events (kind, id, answer) behind it, after the complaint."""
    start = new_walk(["1", "1"]).events
    more = [
        Event(at="2026-01-31T12:00:01Z", kind=kind, id=name, answer=answer) for kind, name, answer in events
    ]
    return Walk(small_book(), [*start, *more], lambda event: None, lambda: "2026-01-31T12:00:02Z")


ON_BYPASS = [("caution", "on bypass", "watch_level"), ("hold", "on bypass", "done")]
SUPPLY_OFF = [*ON_BYPASS, ("caution", "supply off", "valve_moves"), ("hold", "supply off", "done")]
REPAIRED = [
    *SUPPLY_OFF,
    ("repair", "pilot_plugged", "done"),
    ("hold", "on bypass", "done"),
    ("hold", "running", "done"),
]
CURED = [*REPAIRED, ("prove", "pilot_plugged", "cured")]


def wish(step: Step, truth: Mapping[str, str], cause: str) -> str:
    """What somebody answers who sees the truth, puts ``cause`` right and finds all else in order."""
    keys = {choice.answer: choice.key for choice in step.choices}
    match step.kind:
        case "triage" | "complaint" | "check":
            return keys.get(truth[step.id], truth[step.id])
        case "repair" if cause:
            return keys["done" if step.id == cause else "in_order"]
        case "prove":
            return keys["cured" if step.id == cause else "not_cured"]
        case "repair" | "hold" | "caution":
            return keys.get("cannot", "1") if not cause else "1"
        case _:
            return "1"


def script(truth: Mapping[str, str], *causes: str) -> list[str]:
    """Answers of a whole callout as they are typed. All ``causes`` are put right; the last one cures."""
    walk, typed = new_walk(), []
    left = list(causes)
    while step := walk.view().step:
        cause = left[0] if left else ""
        answer = wish(step, truth, cause)
        if step.kind == "prove" and len(left) > 1:
            answer = "2"
            left.pop(0)
        typed.append(answer)
        walk.answer(answer)
        assert len(typed) < 200
    return typed


@cache
def cure() -> tuple[str, ...]:
    """Through two holds to the pilot, put right, back, and cured."""
    return tuple(script(TRUTH, "pilot_plugged"))


@cache
def call_for_help() -> tuple[str, ...]:
    """Nobody can tell anything, nothing can be put right: help is called."""
    return tuple(script(NO_TRUTH))


@cache
def two_repairs() -> tuple[str, ...]:
    """The first repair does not cure it, the second does."""
    return tuple(script(TRUTH, "pilot_plugged", "regulator_plugged"))


LEADERS = (
    Leader("pilot_plugged", "Pilot inlet plugged", 0.41, 0.22),
    Leader("regulator_plugged", "Regulator plugged", 0.22, 0.11),
    Leader("stem_seized", "Valve stem seized", 0.2, 0.2),
    Leader("supply_shut", "Supply valve shut", 0.05, 0.09),
    Leader("trim_worn", "Seat cut through", 0.004, 0.16),
)
SHARES = tuple(zip(SECTIONS, (0.02, 0.0, 0.004, 0.25, 0.38, 0.06, 0.0, 0.19, 0.0), strict=True))


def stage(walk: Walk, step: Step) -> Walk:
    """The walk showing this step beside fixed beliefs."""
    walk._view = View(walk.state.unit, step, walk.state, LEADERS, SHARES, 0.1)
    return walk


def checking(name: str) -> Walk:
    """The walk asking this check beside fixed beliefs."""
    why = "It parts the one half from the other. Expect: nothing 46%, opens 44%. Saves about 47 min."
    return stage(new_walk(["1", "1"]), check_step(small_book(), name, why, small_book().quantities))


def holding(*events: tuple[str, str, str]) -> Walk:
    """The walk on its way to the next hold."""
    walk = walk_of(*events)
    state, why = walk.state, "Needed for: Pilot inlet plugged."
    return stage(walk, hold_step(small_book(), state.hold, "on bypass", state.cautions_read, why))


def asking_help() -> Walk:
    """The walk that calls for help."""
    walk = new_walk(["1", "1"], lift_arm="nothing", soap="could_not_tell")
    return stage(walk, help_step(small_book(), walk.state, [("Pilot inlet plugged", 0.4)]))


MOMENTS: dict[str, Callable[[], Walk]] = {
    "triage": new_walk,
    "notice": lambda: new_walk(["2"]),
    "complaint": lambda: new_walk(["1"]),
    "check": lambda: checking("lift_arm"),
    "reading": lambda: checking("output_gauge"),
    "caution": lambda: holding(),
    "hold": lambda: holding(ON_BYPASS[0]),
    "repair": lambda: stage(
        walk_of(*SUPPLY_OFF), repair_step(small_book(), "pilot_plugged", "Likely enough.")
    ),
    "prove": lambda: stage(walk_of(*REPAIRED), prove_step(small_book(), "pilot_plugged")),
    "cured": lambda: walk_of(*CURED),
    "help_step": asking_help,
}
"""A walk at each kind of page."""


def told(events: Iterable[Event]) -> list[tuple[str, str, str, str]]:
    """Events without their times."""
    return [(event.kind, event.id, event.answer, event.text) for event in events]


def patient_clock() -> Callable[[], float]:
    """A clock by which a second passes between any two keys."""
    ticks = count()
    return lambda: float(next(ticks))


@asynccontextmanager
async def on_screen(
    walk: Walk,
    size: tuple[int, int] = (80, 24),
    monotonic: Callable[[], float] | None = None,
    note: str = "",
    ahead: bool = False,
) -> AsyncIterator[Pilot[int]]:
    """The walk on a screen of that size, with its first question shown; it does not look further ahead."""
    app = WalkApp(walk, RECORD, [note] if note else [], monotonic or patient_clock(), ahead)
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        yield pilot


def walk_screen(pilot: Pilot[int]) -> WalkScreen:
    """The screen of the walk, also when a dialog lies over it."""
    assert isinstance(pilot.app, WalkApp)
    return pilot.app.walk_screen


async def settle(pilot: Pilot[int]) -> None:
    """Wait until the next question is worked out and drawn."""
    await pilot.pause()
    while walk_screen(pilot).busy:
        await pilot.pause()
    await pilot.pause()


async def press(pilot: Pilot[int], *keys: str) -> None:
    """Press keys one by one, each after the screen has settled."""
    for key in keys:
        await pilot.press(key)
        await settle(pilot)


def dump(app: Plate) -> str:
    """The screen as plain text, without the blanks at the ends of lines."""
    strips = app.screen._compositor.render_strips()
    return "\n".join(strip.text.rstrip() for strip in strips) + "\n"


def same_as_golden(app: Plate, name: str) -> None:
    """The screen equals `goldens/<name>.txt` (or is written there, see `RENEW`)."""
    path = GOLDENS / f"{name}.txt"
    seen = dump(app)
    if os.environ.get(RENEW):
        path.write_text(seen, encoding="utf-8")
    assert seen == path.read_text(encoding="utf-8")
