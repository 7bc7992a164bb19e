"""Which open callout to go on with, on the screen."""

from pathlib import Path

import pytest

from diagnose.callouts import Callouts, OpenCallout
from knowledge.problems import Problem
from tests.tui.driver import dump, new_walk
from tui.screen.chooser import ChooserApp

OPENING = new_walk().events[0].opening
FOUND = Callouts(
    tuple(OpenCallout(Path(f"{n}.jsonl"), OPENING, "t", f"2026-01-31T12:00:0{n}Z", n) for n in (2, 1)),
    (Problem("bad.jsonl:3", "", "is not an event of a callout", "Mend [b]it[/b]."),),
)


@pytest.mark.parametrize(
    ("keys", "choice"), [("1", 0), ("2", 1), ("3", 2), (["down", "enter"], 1), (["up", "enter"], 2)]
)
async def test_a_line_is_picked_by_its_number_or_by_the_mark(keys, choice):
    """One past the last callout is a new one."""
    app = ChooserApp(FOUND)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*keys)
        await pilot.pause()
    assert app.return_value == choice


async def test_esc_leaves_and_starts_nothing():
    """No choice is no callout."""
    app = ChooserApp(FOUND)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("9", "escape")
        await pilot.pause()
    assert app.return_value is None


async def test_open_callouts_and_damaged_files_are_both_shown():
    """A damaged file is not passed over behind the screen; its words are text, not markup."""
    app = ChooserApp(FOUND)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        seen = dump(app)
    assert "! bad.jsonl:3: is not an event of a callout. Mend [b]it[/b]." in seen
    assert "> 1  Go on with V-101, 2 answers, the last one 2026-01-31 12:00:02 UTC" in seen
    assert "  3  Start a new one" in seen
