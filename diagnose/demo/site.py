"""Three years of callouts of the demo site, the same ones for the same seed."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from diagnose.demo.story import Teller, usual_causes
from diagnose.demo.units import UNITS, DemoUnit, Habit
from diagnose.events import Event
from knowledge.book import Book

YEARS: Final = 3
IN_VAIN: Final = 0.12
"""Share of the callouts on which something else was put right first."""
HELP: Final = frozenset({"V-102 test separator", "V-112 water leg"})
"""Units where somebody once had to call for help."""
OPEN: Final = "V-104 cold bench scrubber"
"""The unit that somebody is at now."""


def demo_callouts(book: Book, now: datetime, seed: int = 1, years: int = YEARS) -> Iterator[list[Event]]:
    """The events of each callout, unit by unit, the last of them some days before ``now``."""
    for number, unit in enumerate(UNITS):
        draw = np.random.default_rng([seed, number])
        teller = Teller(book, unit.unit(book), draw)
        usual = {name: base for name, base in usual_causes(book, teller.unit.facts) if teller.can_be(name)}
        names, weights = list(usual), np.array(list(usual.values()))
        for begins, cause in _calls(unit, draw, now, years):
            about = cause or str(draw.choice(names, p=weights / weights.sum()))
            wrong = str(draw.choice(names)) if draw.random() < IN_VAIN else ""
            yield teller.cured(about, begins, wrong if wrong != about else "")
        if unit.name in HELP:
            yield teller.helped(str(draw.choice(names)), now - timedelta(days=float(draw.uniform(40, 300))))
        if unit.name == OPEN:
            yield teller.begun(unit.habits[0].cause, now - timedelta(hours=2))


def _calls(
    unit: DemoUnit, draw: np.random.Generator, now: datetime, years: int
) -> Iterator[tuple[datetime, str]]:
    """(When, the habit's cause or nothing) of each callout, in the order of time."""
    found = [(day, "") for day in _days(Habit("", unit.a_year), draw, years)]
    for habit in unit.habits:
        found += [(day, habit.cause) for day in _days(habit, draw, years)]
    begins = now - timedelta(days=365 * years)
    for day, cause in sorted(found):
        moment = begins + timedelta(days=day)
        months = next((habit.months for habit in unit.habits if habit.cause == cause), None)
        if (months is None or moment.month in months) and moment < now - timedelta(days=3):
            yield moment, cause


def _days(habit: Habit, draw: np.random.Generator, years: int) -> list[float]:
    """Days of a habit's callouts: at random, or for one that grows rarely at first and often at the end.

    One with months of its own is drawn all year at the rate of its season, and thinned.
    """
    whole = 365.0 * years
    a_day = habit.a_year / 365 * (12 / len(habit.months))
    days = draw.uniform(0, whole, draw.poisson(a_day * whole))
    if habit.grows:
        days = days[draw.random(len(days)) < (days / whole) ** 2]
    return [float(day) for day in np.sort(days)]
