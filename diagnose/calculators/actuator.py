"""The spring and diaphragm actuator: can it move the plug against the liquid, and back again?

Forces along the stem, each in N, counted as pushing the plug open (+) or shut (-). ``y`` is how far the
valve is open, 0 to 1; A the diaphragm's area; the spring pushes with A times the bench pressure b(y), the
pressure that holds the stem there with nothing else on it.

- fails closed: the air pushes open, +p A; the spring shut, -b A; b runs from `bench_low` shut to
  `bench_high` open.
- fails open: the air pushes shut, -p A; the spring open, +b A; b runs from `bench_high` shut to
  `bench_low` open.
- flow under the plug: the drop pushes it open, +dP S; flow over the plug: shut, -dP S. S is the seat's
  area. The plug is unbalanced and single seated, and the drop is taken as the same all the way.
- packing friction holds against whichever way it moves.

So friction parts the opening from the shutting pressure, and the drop shifts both the same way: with flow
under, a valve that fails closed opens at less pressure, and one that fails open takes more to shut.
"""

import math
from collections.abc import Mapping
from typing import Final, NamedTuple

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input, Value
from diagnose.units import Gauge, from_si

FORCE_BALANCE: Final = "force balance on the stem: pressure times area, spring, friction"
USUAL_FRICTION: Final = 133.4
"""N, about 30 lbf: a clean small stem in soft packing; common practice, no source."""


class Stroke(NamedTuple):
    """Diaphragm pressures at the ends of the stroke, Pa gauge; below zero: it never gets there."""

    starts_to_open: float
    fully_open: float
    starts_to_close: float
    fully_shut: float


def plug_force(drop: float, seat: float, flow: str) -> float:
    """Force of the pressure drop on the plug, N, pushing it open (+) or shut (-).

    ``drop``: Pa; ``seat``: diameter of the seat's port, m; ``flow``: under or over the plug. Holds for an
    unbalanced single-seated plug whose stem is thin against the port. Source: pressure times area.

    >>> round(plug_force(1e6, 0.025, "under"), 1), round(plug_force(1e6, 0.025, "over"), 1)
    (490.9, -490.9)
    """
    return (1 if flow == "under" else -1) * drop * math.pi / 4 * seat**2


def stroke(
    fails: str, area: float, bench_low: Gauge, bench_high: Gauge, plug: float, friction: float
) -> Stroke:
    """Pressures at which the valve starts and ends each of its two ways, Pa gauge.

    ``fails``: closed or open; ``area`` of the diaphragm: m2; ``plug``: N, from `plug_force`; ``friction``:
    N. Holds for a spring that is straight over the bench range. Source: force balance.

    A valve that fails closed, 0.01 m2, bench 20 to 100 kPa, 100 N holding it shut and 50 N of friction:
    it takes 150 N, or 15 kPa, more to open, and comes back where the plug adds 100 N and friction takes 50.

    >>> [round(each) for each in stroke("closed", 0.01, Gauge(20e3), Gauge(100e3), -100.0, 50.0)]
    [35000, 115000, 105000, 25000]
    """
    rub = friction / area
    if fails == "closed":
        shut, wide = bench_low - plug / area, bench_high - plug / area
        return Stroke(shut + rub, wide + rub, wide - rub, shut - rub)
    shut, wide = bench_high + plug / area, bench_low + plug / area
    return Stroke(shut - rub, wide - rub, wide + rub, shut + rub)


def opening_push(fails: str, area: float, bench: Gauge, supply: Gauge, friction: float) -> float:
    """Force left to lift the plug off its seat when no drop helps or hinders, N.

    ``bench``: the bench pressure with the valve shut, which is the low one when it fails closed and the high
    one when it fails open. The whole ``supply`` opens a valve that fails closed, the spring alone one that
    fails open. ``area``: m2; ``friction``: N. Source: force balance.

    >>> round(opening_push("closed", 0.01, Gauge(20e3), Gauge(140e3), 50.0))
    1150
    >>> round(opening_push("open", 0.01, Gauge(100e3), Gauge(140e3), 50.0))
    950
    """
    return (supply - bench if fails == "closed" else bench) * area - friction


def shutting_push(fails: str, area: float, bench: Gauge, supply: Gauge, friction: float) -> float:
    """Force left to hold the plug on its seat when no drop helps or hinders, N.

    The least that it can be: friction has held it back as it shut. Inputs as in `opening_push`; the spring
    alone shuts a valve that fails closed, the whole supply one that fails open. Source: force balance.

    >>> round(shutting_push("closed", 0.01, Gauge(20e3), Gauge(140e3), 50.0))
    150
    >>> round(shutting_push("open", 0.01, Gauge(100e3), Gauge(140e3), 50.0))
    350
    """
    return (bench if fails == "closed" else supply - bench) * area - friction


def opens_to(fails: str, marks: Stroke, supply: Gauge) -> float:
    """How far it opens, a share from 0 to 1, with ``supply`` (fails closed) or nothing (fails open) on it.

    Source: the spring is straight between the two ends of ``marks``.

    >>> round(opens_to("closed", Stroke(35e3, 115e3, 105e3, 25e3), Gauge(75e3)), 3)
    0.5
    """
    pressure = supply if fails == "closed" else 0.0
    way = (pressure - marks.starts_to_open) / (marks.fully_open - marks.starts_to_open)
    return min(max(way, 0.0), 1.0)


def _verdict(fails: str, marks: Stroke, supply: Gauge) -> tuple[bool, bool]:
    """(Whether it can leave its seat, whether it can come back to it), the controller giving 0 to supply."""
    if fails == "closed":
        return marks.starts_to_open <= supply, marks.fully_shut >= 0
    return marks.starts_to_open >= 0, marks.fully_shut <= supply


def _answers(given: Mapping[str, Value]) -> tuple[list[Answer], bool, bool, float]:
    """(Answers, whether it can open, whether it can shut, how far it opens)."""
    fails, flow = str(given["fails"]), str(given["flow"])
    area, friction, seat = float(given["area"]), float(given["friction"]), float(given["seat"])
    low, high = Gauge(float(given["bench_low"])), Gauge(float(given["bench_high"]))
    supply, plug = Gauge(float(given["supply"])), plug_force(float(given["drop"]), seat, flow)
    marks = stroke(fails, area, low, high, plug, friction)
    can_open, can_shut = _verdict(fails, marks, supply)
    shut_at, way = low if fails == "closed" else high, opens_to(fails, marks, supply)
    push_open = opening_push(fails, area, shut_at, supply, friction)
    push_shut = shutting_push(fails, area, shut_at, supply, friction)
    end, last = ("fully open", marks.fully_open) if fails == "closed" else ("fully shut", marks.fully_shut)
    answers = [
        Answer("starts_to_open", "pressure on the diaphragm where it starts to open", marks[0], "psi"),
        Answer("fully_open", "where it is fully open", marks.fully_open, "psi"),
        Answer("starts_to_close", "where it starts to close", marks.starts_to_close, "psi"),
        Answer("fully_shut", "where it is fully shut", marks.fully_shut, "psi"),
        Answer("margin", f"supply over what it takes to be {end}", supply - last, "psi"),
        Answer("opens_to", "how far it opens", way, "%"),
        Answer("plug_force", "push of the liquid on the plug, open (+) or shut (-)", plug, "lbf"),
        Answer("seat_load", "least force on the seat when shut", push_shut - plug, "lbf"),
    ]
    port = math.pi / 4 * seat**2
    if flow == "over":
        most = max(push_open, 0.0) / port
        answers.append(Answer("largest_drop_open", "largest drop that it can open against", most, "psi"))
    else:
        most = max(push_shut, 0.0) / port
        answers.append(Answer("largest_drop_shut", "largest drop that it can shut against", most, "psi"))
    can = "cannot_open" if not can_open else "opens" if can_shut else "cannot_shut"
    answers.append(Answer("can", "opens, cannot_open or cannot_shut", can))
    return answers, can_open, can_shut, way


def _notes(given: Mapping[str, Value], can_open: bool, can_shut: bool, way: float) -> list[str]:
    notes: list[str] = []
    fails, flow = str(given["fails"]), str(given["flow"])
    driver = {"open": "spring", "closed": "supply"}
    if not can_open:
        notes.append(
            f"It stays shut: the {driver[fails]} is too weak for the drop, the spring and the packing."
        )
    elif way < 1:
        notes.append("It opens only part of the way.")
    if not can_shut:
        weak = "spring" if fails == "closed" else "supply"
        notes.append(f"It does not come back to its seat: the {weak} is too weak. It passes.")
    if flow == "under":
        helped = float(given["drop"]) * (float(given["seat"]) / 2) ** 2 * math.pi / float(given["area"])
        notes.append(
            "Flow under the plug: the drop helps it open and works against shutting. The drop falls as it "
            f"opens: to be fully open can take up to {from_si(helped, 'psi'):.3g} psi more."
            if fails == "closed"
            else "Flow under the plug: the drop helps it open and works against shutting."
        )
    else:
        notes.append("Flow over the plug: the drop holds it shut and works against opening. It may slam.")
    notes.append(
        "Before you load the diaphragm by hand: it moves the valve, which can flood the vessel or blow gas "
        "through. Somebody watches the glass, and site procedure comes first."
    )
    return notes


def _work(given: Mapping[str, Value]) -> Calculation:
    if float(given["bench_high"]) <= float(given["bench_low"]):
        raise CannotWork(
            "bench_high must be more than bench_low: change the two round, or read the plate again"
        )
    answers, can_open, can_shut, way = _answers(given)
    notes = _notes(given, can_open, can_shut, way)
    likely = math.pi / 4 * float(given["seat"]) ** 2 < float(given["area"])
    if not likely:
        notes.append(
            "The port is larger than the diaphragm. Such a plug is balanced: this sum is not for it."
        )
    return Calculation("actuator", given, tuple(answers), likely, tuple(notes), (FORCE_BALANCE,))


ACTUATOR: Final = Calculator(
    "actuator",
    "Spring and diaphragm actuator: can it open the valve, and shut it",
    (
        Input("fails", "where the spring puts it", words=("closed", "open"), sheet="valve.fails"),
        Input("area", "area of the diaphragm", "in2", least=1e-4, most=1.0, sheet="valve.actuator_area"),
        Input("bench_low", "lower end of the bench set", "psi", most=1e6, sheet="valve.bench_low"),
        Input("bench_high", "upper end of the bench set", "psi", most=1e6, sheet="valve.bench_high"),
        Input("seat", "diameter of the seat's port", "in", least=1e-3, most=0.5, sheet="valve.seat"),
        Input("flow", "which way the liquid goes past the plug", words=("under", "over"), sheet="valve.flow"),
        Input("drop", "pressure drop over the valve when it is shut", "psi", most=1e8, sheet="derived.drop"),
        Input(
            "supply", "pressure that the controller can give", "psi", most=1e6, sheet="controller.supply_set"
        ),
        Input("friction", "packing friction (usual: common practice)", "lbf", usual=USUAL_FRICTION, most=1e5),
    ),
    _work,
)
