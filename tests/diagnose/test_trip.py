"""The minutes to the trip: from what was said, what was typed, the sheet, and the clock."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.callout import replay
from diagnose.events import Event
from diagnose.opening import open_callout
from diagnose.sheet import Unit, read_unit
from diagnose.trip import MARKS, Left, Trip, minutes_to_high_trip, minutes_typed, outcome_of, trip_of
from diagnose.units import NotAQuantity
from diagnose.walk import Walk
from knowledge.book import SHIPPED, Book, load_book
from tui.texts.english import ENGLISH
from tui.trip_lines import trip_short, trip_warning

START = "2026-01-31T12:00:00Z"


@pytest.fixture(scope="module")
def book() -> Book:
    """The shipped book, whose question about the trip has minutes."""
    return load_book(SHIPPED)


@pytest.fixture(scope="module")
def unit(book) -> Unit:
    """An invented separator with its size, trips and inflow known: 300 bbl/d into 48 in by 10 ft."""
    return read_unit("willow-flat-v210", book)


def known(book, unit, *events, at=START):
    """The trip after these (kind, id, answer, text) answers."""
    told = [Event(at=at, kind=kind, id=name, answer=answer, text=text) for kind, name, answer, text in events]
    line = [open_callout("c", unit, book, START), *told]
    return trip_of(book, replay(book, line), line)


def said(answer, text=""):
    """An answer to the question about the trip."""
    return ("triage", "trip", answer, text)


def test_from_the_sheet_the_minutes_are_those_of_the_vessel_by_hand(unit):
    """A cylinder on its side, 4 ft by 10 ft with 2:1 heads, from 20 in to 32 in at 300 bbl/d.

    By the circle's segment: area below h is r2 acos((r-h)/r) - (r-h) sqrt(2rh-h2), so 4.93 ft2 at 20 in and
    8.90 ft2 at 32 in; times 10 ft, and heads of pi/12 h2 (3r-h) together, 2:1: 39.7 + 4.0 ft3 = 7.8 bbl,
    which 300 bbl/d brings in 37 to 39 min.
    """
    assert minutes_to_high_trip(unit.values) == pytest.approx(38, abs=1.5)
    assert minutes_to_high_trip({}) is None
    assert minutes_to_high_trip({**unit.values, "vessel.inflow": 0.0}) is None


def test_what_was_said_is_a_bound(book):
    """An hour or more is at least that; less than an hour at most that; could not tell says nothing."""
    nobody = Unit("V-1")
    assert known(book, nobody, said("hours")) == Trip(60, START, "over")
    assert known(book, nobody, said("soon")) == Trip(60, START, "under")
    assert known(book, nobody, said("now")) == Trip(10, START, "under")
    assert known(book, nobody, said("could_not_tell")) is None
    assert known(book, nobody) is None


def test_the_sheet_makes_an_upper_bound_tighter_and_gives_one_where_nobody_could_tell(book, unit):
    """From the meant level it takes longest; not where the level falls."""
    worked = minutes_to_high_trip(unit.values)
    assert known(book, unit, said("soon")) == Trip(worked, START, "under")
    assert known(book, unit, said("could_not_tell")) == Trip(worked, START, "under")
    assert known(book, unit, said("hours")).bound == "over"
    falling = next(name for name, entry in book.complaints.items() if entry.level == "low")
    assert known(book, unit, said("could_not_tell"), ("complaint", "complaint", falling, "")) is None


def test_typed_minutes_and_a_typed_level_say_it_outright(book, unit):
    """The level by the sheet; the answer is the one that so many minutes are."""
    assert known(book, unit, said("soon", "25 min")) == Trip(25, START, "about")
    by_level = minutes_typed("26 in", unit.values)
    assert 0 < by_level < minutes_to_high_trip(unit.values)
    question = book.triage["trip"]
    assert [outcome_of(question, minutes) for minutes in (0, 9, 10, 59, 60, 500)] == [
        "now",
        "now",
        "soon",
        "soon",
        "hours",
        "hours",
    ]
    with pytest.raises(NotAQuantity, match="the sheet does not give the vessel"):
        minutes_typed("26 in", {})
    with pytest.raises(NotAQuantity, match="level that falls"):
        minutes_typed("10 in", unit.values)
    with pytest.raises(NotAQuantity):
        minutes_typed("12 psi", unit.values)


def test_out_of_service_nothing_is_counted_and_back_in_service_it_is_asked_again(book, unit):
    """The level is then another one."""
    down = [("caution", "on bypass", name, "") for name in book.holds["on bypass"].cautions]
    down.append(("hold", "on bypass", "done", ""))
    assert known(book, unit, said("soon"), *down) is None
    back = [*down, ("hold", "running", "done", "")]
    assert known(book, unit, said("soon"), *back) is None
    assert known(book, unit, said("soon"), *back, said("now")).minutes == 10


def test_a_text_that_no_walk_would_take_does_no_harm(book, unit):
    """From a file that somebody else wrote."""
    assert known(book, unit, said("soon", "in a while")).bound == "under"


def test_it_is_counted_from_the_answer_over_a_kill_and_a_resume(book, unit):
    """A walk made anew from the events, by a later clock, has as many minutes less."""
    now = START
    walk = Walk(book, [open_callout("c", unit, book, START)], lambda event: None, lambda: now)
    walk.answer("1")
    walk.answer("40 min")
    assert walk.trip() == Left(40, "about", 0)
    now = "2026-01-31T12:31:00Z"
    again = Walk(book, walk.events, lambda event: None, lambda: now)
    assert again.trip() == Left(9, "about", 2)


@given(st.floats(0, 600), st.floats(0, 600))
def test_less_time_is_never_less_urgent(one, other):
    """By its mark, and what is said of it has a word at every mark."""
    trip = Trip(60, START, "about")
    marks = [sum(60 - passed <= mark for mark in MARKS) for passed in sorted((one, other))]
    assert marks == sorted(marks)
    left = trip.left("2026-01-31T12:45:00Z")
    assert left == Left(15, "about", 2)


def test_the_words_become_more_urgent_at_each_mark_and_never_tell_to_defeat_a_trip():
    """Five different things to do, all by site procedure."""
    said = [trip_warning(Left(minutes, "about", mark)) for mark, minutes in enumerate((40, 25, 12, 4, -1))]
    assert said[0] == ""
    assert len(set(said)) == 5
    assert all("by site procedure" in warning or not warning for warning in said)
    assert trip_short(Left(-1, "under", 4)) == ENGLISH.trip.due
    assert trip_short(Left(-1, "over", 4)) == ENGLISH.trip.ask_again
    assert "again" in trip_warning(Left(-1, "over", 4))
