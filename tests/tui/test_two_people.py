"""Two people on one callout, on the screen: each sees the other's answers, and none is written over."""

from collections.abc import Iterator

import pytest

from diagnose.events import Event
from diagnose.history.saver import Saver
from diagnose.history.store import History
from diagnose.walk import Walk
from tests.tui.driver import dump, new_walk, on_screen, press, settle, small_book, told
from tests.tui.typed import store
from tui.lines import news_text

NOW = "2026-01-31T12:00:09Z"


@pytest.fixture
def both() -> Iterator[tuple[History, Walk, Saver]]:
    """A store, this person's walk, and the other person."""
    with store() as history:
        events = new_walk(["1"]).events
        key = history.begin(events[0])
        history.append(key, events[1], 1)
        mine, other = Saver(history, key), Saver(history, key, by="Kim")
        yield history, Walk(small_book(), mine.events, mine.save, lambda: NOW, others=mine), other


def floods() -> Event:
    """What the other one says is wrong."""
    return Event(at="2026-01-31T12:00:08Z", kind="complaint", id="complaint", answer="floods")


async def test_an_answer_that_came_second_is_not_taken_and_the_first_is_shown(both):
    """The screen goes on from the other's answer, whose words and name it shows."""
    history, walk, other = both
    async with on_screen(walk) as pilot:
        other.save(floods())
        await press(pilot, "2")
        seen = " ".join(dump(pilot.app).split())
    assert "Your answer was NOT taken. Somebody else has answered: Kim: what is wrong:" in seen
    assert told(history.events(other.key)) == told(walk.events)
    assert walk.state.complaint == "floods"


async def test_an_answer_of_somebody_else_appears_by_itself(both):
    """At the next look, without a key."""
    _, walk, other = both
    async with on_screen(walk) as pilot:
        other.save(floods())
        pilot.app.walk_screen._look_for_news()
        await pilot.app.workers.wait_for_complete()
        await settle(pilot)
        seen = " ".join(dump(pilot.app).split())
    assert "Somebody else has answered: Kim: what is wrong:" in seen
    assert "NOT taken" not in seen
    assert walk.state.complaint == "floods"


def test_a_tick_of_somebody_else_is_told_in_words():
    """Not by the name that it is kept under."""
    tick = Event(at="2026-01-31T12:00:08Z", kind="tick", id="prove:supply_shut", answer="1")
    assert news_text(new_walk(["1"]), [tick]) == "Somebody else has answered: a step was ticked."
