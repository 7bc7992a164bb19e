"""A drill on the screen: what keys do."""

import re
from contextlib import asynccontextmanager
from functools import cache

import pytest

from diagnose.trial.drill import Drill, desk_for
from diagnose.trial.drill_outcome import Did, Side
from diagnose.trial.drill_vessel import Wanted, drawn
from knowledge.book import load_book
from tests.tui.driver import dump, patient_clock
from tui.screen.drill_screen import DrillApp
from tui.screen.drill_watch import WatchApp


@cache
def made(level: str):
    book = load_book()
    vessel = drawn(book, Wanted(1, "supply_shut", 1.0, "snap_direct_water", level))
    return book, vessel, desk_for(book, vessel.ready.unit)


def new_drill(level: str = "easy") -> Drill:
    _, vessel, desk = made(level)
    return Drill(desk, vessel)


async def settle(pilot) -> None:
    await pilot.pause()
    while pilot.app.drill_screen.busy:
        await pilot.pause(0.02)
    await pilot.pause()


async def press(pilot, *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await settle(pilot)


@asynccontextmanager
async def on_screen(drill: Drill, size=(80, 24), monotonic=None):
    app = DrillApp(drill, monotonic or patient_clock())
    async with app.run_test(size=size) as pilot:
        await settle(pilot)
        yield pilot


async def test_a_drill_is_played_through():
    """A check by number, the fault by its words, the cure, and both walks side by side."""
    drill = new_drill()
    async with on_screen(drill) as pilot:
        first = dump(pilot.app)
        assert "The call: " in first
        assert "0 min so far" in first
        assert "9  Name the fault and put it right" in first
        await press(pilot, "1")
        assert "Costs " in dump(pilot.app)
        await press(pilot, "1")
        assert drill.bill.checks == 1
        assert f"{drill.bill.minutes:g} min so far" in dump(pilot.app)
        await press(pilot, "9", *"valve", "space", *"shut", "space", *"supply")
        assert "> 1  Supply valve shut" in dump(pilot.app)
        await press(pilot, "1")
        assert "Put right: Supply valve shut" in dump(pilot.app)
        await press(pilot, "1")
        end = dump(pilot.app)
        assert "CURED after" in end
        assert "What was wrong: Supply valve shut." in end
        assert "You, minutes and steps" in end
        assert "The tool, minutes and steps" in end
        assert drill.state.ended == "cured"
        await press(pilot, "1", "a")
        assert dump(pilot.app).splitlines()[:5] == end.splitlines()[:5]
        await press(pilot, "enter")
    assert pilot.app.return_code == 0
    assert pilot.app.drill_screen.came.own.ended == "cured"


async def test_letters_search_a_check_even_when_typed_at_once():
    """Esc goes back, and nothing is changed."""
    drill = new_drill("hard")
    async with on_screen(drill) as pilot:
        await pilot.press(*"gauge")
        await settle(pilot)
        seen = dump(pilot.app)
        assert "> gauge_" in seen
        assert "> 1 " in seen
        await press(pilot, "question_mark", "escape")
        assert "What do you do next?" in dump(pilot.app)
        await press(pilot, *"zzz")
        assert "No check that can be made now has all of: zzz." in dump(pilot.app)
        await press(pilot, "escape", *"gau", "1")
        assert "1  Make this check" in dump(pilot.app)
        await press(pilot, "2")
        assert "What do you do next?" in dump(pilot.app)
    assert drill.bill.minutes == 0


async def test_the_list_goes_by_section():
    """Eight, the section, the check."""
    drill = new_drill("hard")
    async with on_screen(drill) as pilot:
        await press(pilot, "8")
        assert "supply (" in dump(pilot.app)
        await press(pilot, "4")
        assert "Which check?" in dump(pilot.app)
        await press(pilot, "1")
        assert drill.page().step.kind == "check"


async def test_the_way_out_of_service_shows_each_holds_cautions():
    """One page for each hold; unread cautions are pointed at."""
    drill = new_drill("hard")
    async with on_screen(drill) as pilot:
        drill.look("trim_pull")
        await press(pilot, "pagedown", "3")
        await press(pilot, "1")
        assert "! CAUTION: Do not do this alone." in dump(pilot.app)
        await press(pilot, "1")
        assert drill.state.hold == "on bypass"
        assert "now: on bypass" in dump(pilot.app)


async def test_giving_up_asks_first():
    """Two goes on; one ends it and tells."""
    drill = new_drill("hard")
    async with on_screen(drill) as pilot:
        await press(pilot, "0", "2")
        assert drill.state.ended is None
        await press(pilot, "0", "1")
        assert "GIVEN UP after 0 min." in dump(pilot.app)
        await press(pilot, "pagedown", "pageup", "f2", "question_mark")
        assert re.search("any letter +look for a check", dump(pilot.app))
        await press(pilot, "escape", "q")
    assert pilot.app.return_code == 0


async def test_a_digit_that_is_no_answer_says_so():
    """And a finger that bounces answers once."""
    drill = new_drill("hard")
    async with on_screen(drill) as pilot:
        await press(pilot, "3")
        assert "There is no answer 3 here." in dump(pilot.app)
    async with on_screen(new_drill(), monotonic=lambda: 0.0) as pilot:
        await press(pilot, "1", "1")
        assert "1  Make this check" in dump(pilot.app)
    assert drill.bill.minutes == 0


@pytest.mark.parametrize("size", [(60, 20), (40, 12), (30, 8)])
async def test_a_small_window_shows_what_it_can(size):
    """Nothing is wider than the window, and keys do no harm."""
    drill = new_drill()
    async with on_screen(drill, size=size) as pilot:
        assert ("Down: more choices" in dump(pilot.app)) == (size != (30, 8))
        await press(pilot, "down", "down", "up", "enter", "pagedown", "question_mark", "escape")
        seen = dump(pilot.app)
        assert all(len(line) <= size[0] for line in seen.splitlines())
        assert ("Too small" in seen) == (size == (30, 8))
        assert (drill.page().step is None) == (size == (30, 8))
        await pilot.resize_terminal(80, 24)
        await settle(pilot)
        assert "now: running" in dump(pilot.app)


async def test_a_watched_walk_goes_step_by_step():
    """Forward by Enter, back by Up, and out at the end."""
    book, vessel, _ = made("hard")
    steps = (
        Did("complaint", "complaint", "wont_open", 0.0),
        Did("check", "supply_gauge", "0 psi", 2.0, "It parts."),
        Did("repair", "supply_shut", "done", 3.0, "It is cheap."),
        Did("prove", "supply_shut", "cured", 12.0),
    )
    app = WatchApp(book, vessel, Side("cured", 17.0, 1, 0, steps))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "The call: " in dump(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "Why: It parts." in dump(app)
        assert "2 min; 2 min so far." in dump(app)
        await pilot.press("up")
        await pilot.pause()
        assert "It parts." not in dump(app)
        await pilot.press("enter", "enter", "enter", "enter")
        await pilot.pause()
        assert "CURED after 17 min, 1 check, 0 wrong repairs." in dump(app)
        await pilot.press("enter")
    assert app.return_code == 0
