"""The demo site: plausible, the same for the same seed, and with the habits that it tells of."""

from collections import Counter
from datetime import UTC, datetime
from functools import cache

import pytest

from diagnose.callout import replay
from diagnose.demo.site import HELP, OPEN, YEARS, demo_callouts
from diagnose.demo.story import Teller
from diagnose.demo.units import SITE, UNITS, WINTER
from diagnose.events import opening_of
from diagnose.history.overview import ending_of
from knowledge.book import load_book

NOW = datetime(2026, 1, 31, 12, tzinfo=UTC)


@cache
def book():
    return load_book()


@cache
def made(seed: int = 1):
    return tuple(tuple(events) for events in demo_callouts(book(), NOW, seed))


def causes_of(unit: str) -> list[tuple[str, str]]:
    """(When, what cured it) of a unit's callouts."""
    return [
        (events[0].at, events[-1].id)
        for events in made()
        if opening_of(list(events)).unit == unit and events[-1].kind == "prove"
    ]


def test_the_same_seed_makes_the_same_callouts_and_another_one_others():
    """Event by event."""
    again = tuple(tuple(events) for events in demo_callouts(book(), NOW, 1))
    assert again == made()
    other = next(iter(demo_callouts(book(), NOW, 2)))
    assert tuple(other) != made()[0]


def test_every_callout_can_be_followed_by_the_book():
    """Each event may follow those before it, and the times run on; most end cured."""
    endings = Counter()
    for events in made():
        state = replay(book(), events)
        endings[state.ended] += 1
        times = [event.at for event in events]
        assert times == sorted(times)
        assert times[-1] <= "2026-01-31T12:00:00Z"
    assert endings["help"] == len(HELP)
    assert endings[None] == 1
    assert endings["cured"] > 100
    assert len({opening_of(list(events)).callout for events in made()}) == len(made())


def test_there_are_a_dozen_units_of_several_set_ups_over_three_years():
    """All at one site, each with callouts."""
    openings = [opening_of(list(events)) for events in made()]
    assert {opening.site for opening in openings} == {SITE}
    assert {opening.unit for opening in openings} == {unit.name for unit in UNITS}
    assert len(UNITS) == 12
    assert len({tuple(sorted(opening.facts.items())) for opening in openings}) >= 6
    years = {events[0].at[:4] for events in made()}
    assert len(years) >= YEARS


def test_the_cold_unit_freezes_in_winter_alone():
    """Often, and never in summer."""
    frozen = [at for at, cause in causes_of(OPEN) if cause == "ice_in_supply"]
    assert len(frozen) >= 8
    assert {int(at[5:7]) for at in frozen} <= WINTER


def test_the_old_treater_gets_worse():
    """More callouts in its last year than in the two before."""
    ats = [at for at, _ in causes_of("V-110 old treater")]
    last = sum(at >= "2025-01-31" for at in ats)
    assert last > len(ats) - last


def test_the_sandy_unit_has_sand_trouble():
    """More than half of its callouts."""
    causes = [cause for _, cause in causes_of("V-107 sand knockout")]
    sandy = sum(cause in {"trash_under_seat", "trim_washed_out", "solids_in_vessel"} for cause in causes)
    assert sandy > len(causes) / 2


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.name)
def test_a_habit_is_a_fault_that_the_unit_can_have(unit):
    """Somebody would complain of it there."""
    import numpy as np

    teller = Teller(book(), unit.unit(book()), np.random.default_rng(0))
    assert all(teller.can_be(habit.cause) for habit in unit.habits)


def test_the_open_callout_is_open():
    """One, on the cold unit."""
    still = [opening_of(list(events)).unit for events in made() if not ending_of(list(events))]
    assert still == [OPEN]
