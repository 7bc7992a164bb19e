"""A walk from its command on: the frame first, everything else behind it."""

import threading
import time

import pytest

from knowledge.problems import InputProblems, Problem
from tests.tui.driver import dump, new_walk
from tests.tui.test_chooser import FOUND
from tui.screen.begin import BeginApp
from tui.screen.walk_screen import WalkScreen
from tui.session import Ready


class Slowly:
    """A beginning that waits to be let on."""

    def __init__(self, found=()) -> None:
        self.gate = threading.Event()
        self.found = found
        self.chosen = []

    def look(self):
        """Wait, then tell what is open."""
        assert self.gate.wait(20)
        return self.found

    def ready(self, chosen):
        """A walk at its first question."""
        self.chosen.append(chosen)
        return Ready(new_walk(), "the record", [])

    def close(self):
        """Nothing to let go of."""


async def until(pilot, fact):
    """Wait for something that another thread brings about."""
    end = time.monotonic() + 20
    while not fact():
        assert time.monotonic() < end
        await pilot.pause(0.01)
    await pilot.pause()


async def test_the_frame_is_there_before_anything_is_read():
    """And q leaves at once, whatever is still being read."""
    slowly = Slowly()
    app = BeginApp(lambda: slowly)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Reading the book" in dump(app)
        await pilot.press("q")
        slowly.gate.set()
    assert app.return_code == 0
    assert slowly.chosen == []


async def test_without_a_choice_the_first_question_comes_by_itself():
    """A new callout, or the one that was named."""
    slowly = Slowly()
    app = BeginApp(lambda: slowly)
    async with app.run_test(size=(80, 24)) as pilot:
        slowly.gate.set()
        await until(pilot, lambda: isinstance(app.screen, WalkScreen) and not app.screen.busy)
        assert "question 1" in dump(app)
    assert slowly.chosen == [None]
    assert app.record == "the record"


@pytest.mark.parametrize(("key", "chosen"), [("1", FOUND[0]), ("3", None)])
async def test_open_callouts_are_offered_and_the_one_picked_is_gone_on_with(key, chosen):
    """One past the last is a new one."""
    slowly = Slowly(FOUND)
    slowly.gate.set()
    app = BeginApp(lambda: slowly)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "Start a new one" in dump(app))
        await pilot.press(key)
        await until(pilot, lambda: isinstance(app.screen, WalkScreen))
    assert slowly.chosen == [chosen]


async def test_what_is_to_be_mended_is_told_where_the_command_was_typed():
    """The screen closes with it."""

    def begin():
        raise InputProblems([Problem("--unit", "", "there is no unit sheet")])

    app = BeginApp(begin)
    async with app.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: app.error is not None)
    assert "there is no unit sheet" in str(app.error.problems[0])
