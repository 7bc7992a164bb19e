"""What the tests of the desk share: a desk on the small book over a store of its own."""

from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, contextmanager
from dataclasses import replace
from functools import cache
from itertools import count
from pathlib import Path

import pytest
from textual.pilot import Pilot

from diagnose.history.store import History
from knowledge.book import Book
from knowledge.schema_phone import PhoneHelp
from tests.tui.driver import SHEET, patient_clock, small_book
from tui.desk import Desk
from tui.screen.desk_app import DeskApp
from tui.screen.desk_walk import DeskWalkScreen

OPENED = "2026-01-31T12:00:00Z"
NOW = "2026-01-31T12:35:00Z"
SAY_ES = "¿El líquido está por pasarse, o se va gas al tanque?"


@cache
def phone_book() -> Book:
    """The small book, with one question spoken in Spanish too and with help on the phone."""
    book = small_book()
    danger = book.triage["danger"].model_copy(update={"say_in": {"es": SAY_ES}})
    words = PhoneHelp(hesitates="Walk up to the glass.", sounds_like={"near": "It's right at the top"})
    return replace(book, triage={**book.triage, "danger": danger}, phone={"danger": {"en": words}})


@contextmanager
def desk_on(folder: Path, now: str = NOW) -> Iterator[Desk]:
    """A desk over the store of a folder; it is that time all the while."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("tui.session.utc_now", lambda: OPENED)
        marks = count(0x3F9C2A)
        patch.setattr("tui.session.secrets.token_hex", lambda size: f"{next(marks):06x}")
        with History.open(str(folder / "history.sqlite"), lambda: now) as history:
            yield Desk(lambda language: phone_book(), history, lambda: now, "en")


@asynccontextmanager
async def desk_screen(
    desk: Desk, folder: Path, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[Pilot[int]]:
    """The desk on a screen of that size, with everything on it opened."""
    (folder / "sheets").mkdir(exist_ok=True)
    (folder / "sheets" / "one.yaml").write_bytes(SHEET.read_bytes())
    app = DeskApp(desk, folder, patient_clock(), ahead=False, sheets=folder / "sheets")
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        yield pilot


def desk_app(pilot: Pilot[int]) -> DeskApp:
    """The application under the pilot."""
    assert isinstance(pilot.app, DeskApp)
    return pilot.app


def callout_screen(pilot: Pilot[int], number: int) -> DeskWalkScreen:
    """The page of a callout, whatever is shown."""
    return desk_app(pilot).screens[number]


async def settled(pilot: Pilot[int]) -> None:
    """Wait until every callout of the store is opened, all threads have done their work, and it is drawn."""
    app = desk_app(pilot)
    while True:
        await pilot.pause()
        await app.workers.wait_for_complete()
        await pilot.pause()
        places = app.desk.places
        opened = len(places) >= len(app.desk.history.open_callouts()) and all(
            place.view or place.trouble for place in places
        )
        busy = any(screen.busy for screen in app.screens.values() if screen.is_mounted)
        if opened and not app.wanted and not busy and not any(worker.is_running for worker in app.workers):
            break
    await pilot.pause()


async def press(pilot: Pilot[int], *keys: str) -> None:
    """Press keys one by one, each after the desk has settled."""
    for key in keys:
        await pilot.press(key)
        await settled(pilot)
