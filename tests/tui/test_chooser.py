"""Which open callout to go on with, on the screen."""

import pytest

from diagnose.history.overview import Overview
from tests.tui.driver import dump
from tui.screen.chooser import chooser
from tui.screen.plate import Plate

FOUND = [
    Overview(
        key=f"{n}" * 16,
        name=f"2026-{n}",
        unit="V-[b]101[/b]",
        site="",
        caller="Ann" if n == 1 else "",
        opened="2026-01-31T12:00:00Z",
        last=f"2026-01-31T12:00:0{n}Z",
        complaint="",
        ended="",
        cause="",
        answers=n,
        branches=0,
        struck=False,
    )
    for n in (2, 1)
]


class Choosing(Plate):
    """A screen with nothing but the choice."""

    def on_mount(self) -> None:
        """Ask, and end with what was picked."""
        self.push_screen(chooser(FOUND), self.exit)


@pytest.mark.parametrize(
    ("keys", "choice"), [("1", 0), ("2", 1), ("3", 2), (["down", "enter"], 1), (["up", "enter"], 2)]
)
async def test_a_line_is_picked_by_its_number_or_by_the_mark(keys, choice):
    """One past the last callout is a new one."""
    app = Choosing()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*keys)
        await pilot.pause()
    assert app.return_value == choice


async def test_esc_leaves_and_starts_nothing():
    """No choice is no callout."""
    app = Choosing()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("9", "escape")
        await pilot.pause()
    assert app.return_value is None


async def test_open_callouts_are_shown_with_what_tells_them_apart():
    """Unit, who called, answers, when; a unit's name is text, not markup."""
    app = Choosing()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        seen = dump(app)
    assert "> 1  Go on with V-[b]101[/b], 2 answers, the last one 2026-01-31 12:00:02 UTC" in seen
    assert "  2  Go on with V-[b]101[/b], Ann called, 1 answers, the last one 2026-01-31" in seen
    assert "  3  Start a new one" in seen
