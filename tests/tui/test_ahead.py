"""Looking further ahead beside the screen: a better question comes before anybody can have read the first."""

from dataclasses import replace

import pytest

from diagnose.advice import Adviser
from tests.tui.driver import on_screen, press, walk_of, walk_screen
from tui.screen.walk_work import STILL_UNREAD
from tui.texts.english import ENGLISH


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def other(monkeypatch):
    """Rollout finds another check than the one that one step of look-ahead advises."""

    def best_ahead(self, limits, stop=None):
        now = self.best(limits)
        asked = {now.id, *limits.asked}
        return replace(now, kind="check", id=next(name for name in self.book.checks if name not in asked))

    monkeypatch.setattr(Adviser, "best_ahead", best_ahead)


async def test_a_better_question_takes_the_place_of_the_first(other):
    """It is said that it is new. A key pressed at once was meant for the first; the next one answers."""
    walk, clock = walk_of(), Clock()
    first = walk.view().step.id
    async with on_screen(walk, monotonic=clock, ahead=True) as pilot:
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        screen = walk_screen(pilot)
        asked = screen.shown.step.id
        assert asked != first
        assert screen.message.strip() == ENGLISH.message.better
        events = len(walk.events)
        await press(pilot, "0")
        assert len(walk.events) == events
        assert screen.message.strip() == ENGLISH.message.key_not_taken
        clock.now += 1
        await press(pilot, "0")
        assert walk.events[-1].id == asked


@pytest.mark.parametrize("reason", ["late", "marked", "busy"])
async def test_a_question_that_was_read_or_touched_stays(other, reason):
    """After two seconds it has been read out; whoever moves the mark or answers has read it too."""
    walk, clock = walk_of(), Clock()
    async with on_screen(walk, monotonic=clock) as pilot:
        screen = walk_screen(pilot)
        before = screen.shown
        better = walk.looked_ahead()
        assert better.step.id != before.step.id
        if reason == "late":
            clock.now += STILL_UNREAD + 0.1
        elif reason == "marked":
            await press(pilot, "down")
        else:
            screen.busy = True
        screen.post_message(screen.Better(better, before))
        await pilot.pause()
        screen.busy = False
        assert screen.shown is before
        assert walk.view() is before


async def test_the_page_says_what_comes_next_and_what_to_bring():
    """So that the hand takes the tools along on one way."""
    walk = walk_of()
    coming = walk.view().step.coming
    assert coming
    async with on_screen(walk, size=(120, 40)) as pilot:
        shown = " ".join(str(screen_text(pilot)).split())
        assert "After this, most likely: " in shown


def screen_text(pilot) -> str:
    """Everything on the screen as text."""
    lines = pilot.app.screen._compositor.render_strips()
    return "\n".join(strip.text for strip in lines)
