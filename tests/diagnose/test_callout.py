"""A callout is its events replayed: what may follow what, undo, holds and answers."""

import random
import re
from dataclasses import replace
from functools import partial, reduce

import pytest

from diagnose.callout import BadEvent, Finding, apply, replay
from diagnose.events import COULD_NOT_TELL, Event, page_of, standing
from diagnose.evidence import Evidence
from diagnose.steps import CANNOT, Step
from diagnose.walk import Walk
from knowledge.book import Book
from knowledge.words import HOLDS
from tests.diagnose.callout_events import BOOK, CLOCK, OPENED, down_to, event, state_after
from tests.helpers import tiny_book


def possible(step: Step) -> list[str]:
    """The answers of a step; refusing a caution has a test of its own."""
    return [choice.answer for choice in step.choices if (step.kind, choice.answer) != ("caution", CANNOT)]


def random_callout(book: Book, seed: int, steps: int) -> list[Event]:
    """The events of a walk whose answers are picked at random, undo among them."""
    draw = random.Random(seed)
    opening = OPENED.model_copy(update={"opening": OPENED.opening.model_copy(update={"book": book.digest})})
    saved = [opening]
    walk = Walk(book, saved, saved.append, lambda: CLOCK)
    for _ in range(steps):
        step = walk.view().step
        if step is None:
            break
        if draw.random() < 0.1:
            walk.undo()
        else:
            walk.answer(draw.choice(possible(step)))
    assert walk.events == saved
    return saved


@pytest.mark.parametrize("seed", range(12))
def test_replaying_is_applying_one_event_after_another(seed):
    """For every prefix of a callout: the standing events, folded, give the replayed state."""
    events = random_callout(BOOK, seed, 40)
    assert len(events) > 5
    for length in range(1, len(events) + 1):
        kept = standing(events[:length])
        folded = reduce(lambda state, one: apply(BOOK, state, one), kept[1:], replay(BOOK, [OPENED]))
        assert replay(BOOK, events[:length]) == folded


@pytest.mark.parametrize("seed", range(4))
def test_undoing_everything_leads_back_to_the_opening(seed):
    """Step by step, each undo leads to the state one event earlier."""
    events = standing(random_callout(BOOK, seed, 30))
    for count in range(len(events) + 2):
        undone = replay(BOOK, [*events, *[event("undo")] * count])
        assert undone == replay(BOOK, events[: max(1, len(events) - count)])


@pytest.mark.parametrize("seed", range(6))
def test_no_walk_reaches_a_hold_without_its_cautions_read_just_before(seed):
    """In what a walk advises, every way down has all its cautions between it and the hold before."""
    events = standing(random_callout(BOOK, seed, 60))
    read: set[str] = set()
    state = replay(BOOK, events[:1])
    for one in events[1:]:
        after = apply(BOOK, state, one)
        if HOLDS.index(after.hold) > HOLDS.index(state.hold):
            assert read >= set(BOOK.holds[after.hold].cautions)
        if one.kind == "hold":
            read = set()
        if one.kind == "caution":
            read.add(one.answer)
        state = after


def test_a_hold_is_refused_until_all_its_cautions_are_read():
    """One of two is not enough; both are."""
    first = event("caution", "on bypass", "read_it")
    second = event("caution", "on bypass", "shut_first")
    step = event("hold", "on bypass", "done")
    for read in ([], [first], [second]):
        with pytest.raises(BadEvent, match="the cautions of 'on bypass' have not all been read"):
            state_after(*read, step)
    assert state_after(second, first, step).hold == "on bypass"


def test_cautions_read_for_one_hold_do_not_count_for_the_next():
    """The same caution has to be read again."""
    with pytest.raises(BadEvent, match="the cautions of 'supply off' have not all been read"):
        state_after(*down_to("on bypass"), event("hold", "supply off", "done"))


def test_a_caution_that_cannot_be_met_refuses_its_hold():
    """The caution's step offers "It cannot be done now"; taking it makes the present hold the highest."""
    state = state_after(event("caution", "on bypass", CANNOT))
    assert (state.hold, state.highest) == ("running", "running")


def test_no_hold_is_skipped():
    """Not on the way down, not on the way back."""
    with pytest.raises(BadEvent, match="from 'running' the unit cannot go straight to 'open'"):
        state_after(event("caution", "open", "read_it"), event("hold", "open", "done"))
    with pytest.raises(BadEvent, match="from 'open' the unit cannot go straight to 'running'"):
        state_after(*down_to("open"), event("hold", "running", "done"))


def test_a_hold_that_cannot_be_reached_is_the_limit_from_then_on():
    """The unit stays where it is, and the hold before becomes the highest."""
    state = state_after(*down_to("on bypass"), event("hold", "supply off", "cannot"))
    assert (state.hold, state.highest) == ("on bypass", "on bypass")


def test_the_way_back_cannot_be_refused():
    """A unit is never left out of service for good."""
    with pytest.raises(BadEvent, match="the way back to service cannot be refused"):
        state_after(*down_to("on bypass"), event("hold", "running", "cannot"))


def test_steps_are_ticked_until_their_page_is_answered():
    """What is ticked is no evidence, survives other answers and goes with the page."""
    page = page_of("repair", "supply_lost")
    ticks = [event("tick", page, "1"), event("tick", page, "3")]
    state = state_after(*ticks, event("check", "drop_seen", "no"))
    assert state.ticks == {page: {1, 3}}
    assert state.evidence == state_after(event("check", "drop_seen", "no")).evidence
    assert state_after(*ticks, event("repair", "supply_lost", "in_order")).ticks == {}
    with pytest.raises(BadEvent, match="a tick names the number of a step, not 'one'"):
        state_after(event("tick", page, "one"))


def test_could_not_tell_is_no_evidence():
    """It is remembered as asked, and says nothing."""
    state = state_after(event("check", "supply_gauge", COULD_NOT_TELL), event("check", "drop_seen", "no"))
    assert state.evidence == Evidence((), {"drop_seen": "no"})
    assert state.not_told == ["supply_gauge"]


def test_an_answer_given_again_replaces_the_first():
    """The last word counts."""
    state = state_after(event("check", "drop_seen", "no"), event("check", "drop_seen", "yes"))
    assert state.evidence.findings == {"drop_seen": "yes"}


def test_what_is_in_order_and_what_cannot_be_repaired_are_remembered_apart():
    """The first is evidence, the second is not."""
    state = state_after(event("repair", "trim_worn", "in_order"), event("repair", "stem_stuck", "cannot"))
    assert state.evidence.in_order == {"trim_worn"}
    assert state.cannot_repair == {"stem_stuck"}


def test_a_triage_answer_changed_asks_for_its_notice_again():
    """Told once is told for that answer only."""
    near = event("triage", "how_full", "near")
    assert state_after(near, event("notice", "how_full", "done")).told == {"how_full"}
    assert state_after(near, event("notice", "how_full", "done"), near).told == frozenset()


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (event("check", "no_such_check", "yes"), "the book does not hold 'no_such_check'"),
        (event("check", "drop_seen", "maybe"), "the book does not hold 'maybe'"),
        (event("check", "fails", "sideways"), "the book does not hold 'sideways'"),
        (event("complaint", "complaint", "sings"), "the book does not hold 'sings'"),
        (event("triage", "how_full", "green"), "the book does not hold 'green'"),
        (event("triage", "how_high", "near"), "the book does not hold 'how_high'"),
        (event("notice", "how_high", "done"), "the book does not hold 'how_high'"),
        (event("caution", "on bypass", "hum"), "the book does not hold 'hum'"),
        (event("hold", "upside down", "done"), "the book does not hold 'upside down'"),
        (event("repair", "no_such_cause", "done"), "the book does not hold 'no_such_cause'"),
        (event("repair", "supply_lost", "half"), "a repair is done, in order or cannot be done, not 'half'"),
        (OPENED, "opened cannot stand here"),
    ],
)
def test_an_event_that_cannot_follow_says_why(bad, words):
    """An unknown name, a wrong answer, a second opening."""
    with pytest.raises(BadEvent, match=re.escape(words)):
        state_after(bad)


def test_a_callout_without_its_opening_is_refused():
    """The first event says what it starts from."""
    with pytest.raises(BadEvent, match="the first event does not open a callout"):
        replay(BOOK, [event("complaint", "complaint", "wont_open")])


def telling_book() -> Book:
    """The tiny book, in which one complaint tells the season with it."""
    return tiny_book({"complaints": {"wont_open": {"says": {"season": "warm"}}}})


def test_a_complaint_tells_what_it_says_of_the_unit():
    """Where nobody knows it; it can be changed like any finding."""
    book = telling_book()
    said = event("complaint", "complaint", "wont_open")
    state = apply(book, replay(book, [OPENED]), said)
    assert state.findings == {"season": Finding("warm")}
    assert state.evidence.findings == {"season": "warm"}
    changed = apply(book, state, event("check", "season", "cold"))
    assert changed.findings["season"].answer == "cold"
    again = apply(book, changed, said)
    assert again.findings["season"].answer == "cold"


def test_what_another_complaint_told_goes_with_it():
    """A complaint that was changed says nothing any more; what is known of the unit was never said."""
    book = telling_book()
    other = next(name for name in book.complaints if name != "wont_open")
    both = [event("complaint", "complaint", "wont_open"), event("complaint", "complaint", other)]
    assert reduce(partial(apply, book), both, replay(book, [OPENED])).findings == {}
    known = replace(replay(book, [OPENED]), facts={"season": "cold"})
    assert apply(book, known, both[0]).findings == {}
