"""How long until the vessel trips, from what was said, what a person read, and the unit sheet.

The answer to the question about the trip says at least or at most how long; a typed number of minutes says
it outright, and so does a typed level where the sheet tells the vessel's size, its trip and the inflow. All
is counted from the time of the answer, so that it holds over a kill and a resume.
"""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final, Literal

from diagnose.callout import State
from diagnose.events import Event, standing
from diagnose.units import NotAQuantity, from_si, parse
from knowledge.book import Book
from knowledge.problems import InputProblems
from knowledge.schema import Triage
from knowledge.words import HOLDS

Bound = Literal["over", "under", "about"]

MARKS: Final = (30.0, 15.0, 5.0, 0.0)
"""Minutes left at which what a person is told becomes more urgent (judgement, no source): time to tell
somebody, to bypass it, to shut it in, and none."""
HOW_TO_TYPE: Final = "or the minutes, like 25 min"
HOW_TO_TYPE_LEVEL: Final = "or the minutes, like 25 min, or the level now, like 26 in"
NO_LEVEL: Final = (
    "The minutes cannot be worked out from a level: the sheet does not give the vessel, its high trip and "
    "the inflow. Type the minutes, like 25 min."
)
LOW_LEVEL: Final = "From a level that falls the minutes cannot be worked out. Type the minutes, like 25 min."


@dataclass(frozen=True)
class Trip:
    """The time to the trip as it was last known."""

    minutes: float
    """At ``since``."""
    since: str
    """ISO 8601 in UTC."""
    bound: Bound
    """Whether it is at least so long, at most so long, or about so long."""

    def left(self, now: str) -> "Left":
        """What is left of it at a moment."""
        minutes = self.minutes - minutes_between(self.since, now)
        return Left(minutes, self.bound, sum(minutes <= mark for mark in MARKS))


@dataclass(frozen=True)
class Left:
    """The minutes that are left to the trip."""

    minutes: float
    """Below zero when it is overdue."""
    bound: Bound
    mark: int
    """How many of `MARKS` are passed: 0 while there is time, 4 when there is none."""


def minutes_between(earlier: str, later: str) -> float:
    """Minutes between two moments in ISO 8601; 0 when the clock was set back, or where one is no moment.

    >>> minutes_between("2026-01-31T12:00:00Z", "2026-01-31T13:30:30Z")
    90.5
    """
    try:
        passed = datetime.fromisoformat(later) - datetime.fromisoformat(earlier)
    except (ValueError, TypeError):
        return 0.0
    return max(0.0, passed.total_seconds() / 60)


def trip_of(book: Book, state: State, events: Sequence[Event]) -> Trip | None:
    """What is known of the time to the trip; None when nothing is, and while the unit is out of service.

    A unit that was taken back into service holds another level: then it must be asked again.
    """
    if state.hold != HOLDS[0] or state.ended:
        return None
    said: Trip | None = None
    for event in standing(events):
        if event.kind == "hold":
            said = None
        elif event.kind == "triage" and (question := book.triage[event.id]).minutes:
            said = _said(question, event, state.sheet)
    if said is None or said.bound != "under":
        return said
    # From its meant level it takes longest: it stands higher by now, if it stands shut.
    low = any(book.complaints[name].level == "low" for name in state.complaints)
    worked = None if low else minutes_to_high_trip(state.sheet)
    minutes = min(said.minutes, worked) if worked is not None else said.minutes
    return replace(said, minutes=minutes) if minutes < float("inf") else None


def _said(question: Triage, event: Event, sheet: Mapping[str, float | str]) -> Trip:
    with suppress(NotAQuantity):
        if event.text:
            return Trip(minutes_typed(event.text, sheet), event.at, "about")
    rows = sorted(question.minutes.values())
    if event.answer not in question.minutes:
        return Trip(float("inf"), event.at, "under")
    least = question.minutes[event.answer]
    longer = [minutes for minutes in rows if minutes > least]
    return Trip(longer[0], event.at, "under") if longer else Trip(least, event.at, "over")


def minutes_typed(text: str, sheet: Mapping[str, float | str]) -> float:
    """The minutes to the trip that a typed time, or a typed level, means. Raises `NotAQuantity`."""
    quantity = parse(text, as_unit="min")
    if quantity.dimension != "length":
        return quantity.to("min")
    minutes = minutes_to_high_trip(sheet, quantity.value)
    if minutes is None:
        raise NotAQuantity(NO_LEVEL)
    meant = sheet.get("vessel.level")
    if meant is not None and quantity.value < float(meant):
        raise NotAQuantity(LOW_LEVEL)
    return minutes


def outcome_of(question: Triage, minutes: float) -> str:
    """The answer to the question about the trip that so many minutes are."""
    fitting = {least: name for name, least in question.minutes.items() if least <= minutes}
    return fitting[max(fitting)]


def how_to_type(question: Triage, sheet: Mapping[str, float | str]) -> str:
    """What can be typed at the question about the trip; empty for any other question."""
    if not question.minutes:
        return ""
    return HOW_TO_TYPE if minutes_to_high_trip(sheet) is None else HOW_TO_TYPE_LEVEL


def minutes_to_high_trip(sheet: Mapping[str, float | str], level: float | None = None) -> float | None:
    """Minutes until the level is at the high trip with nothing going out; None where the sheet does not tell.

    ``level``: m from the bottom; the level that is meant when it is left out.
    """
    from diagnose.calculators.run import from_sheet, work  # not needed on a unit that nobody knows
    from diagnose.calculators.vessel import VESSEL

    given = from_sheet(VESSEL, sheet)
    if level is not None:
        given["level"] = level
    if not float(given.get("inflow", 0.0)):
        return None
    try:
        answers = work(VESSEL, given).answers
    except InputProblems:
        return None
    found = next((answer.value for answer in answers if answer.name == "to_high_trip"), None)
    return None if found is None else from_si(float(found), "min")
