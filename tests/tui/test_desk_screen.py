"""The desk on the screen: what keys do, and that switching loses nothing."""

import threading
from pathlib import Path

import pytest
from textual.widgets import Input

from diagnose.history.changes import Hand, close
from diagnose.message import LIMIT
from diagnose.walk import Walk
from tests.tui.desk_driver import SAY_ES, callout_screen, desk_app, desk_on, desk_screen, press, settled
from tests.tui.driver import dump, same_as_golden, told
from tui.desk import Desk
from tui.desk_message import message_file
from tui.screen.desk_walk import DeskWalkScreen

NEW = ("n", "1", "enter")
"""A callout without a sheet and without a name."""


@pytest.fixture
def folder(tmp_path):
    """A folder for the store, the sheets and the messages."""
    return tmp_path


def three(desk: Desk) -> Desk:
    """Three callouts: one at its complaint, one at a check, one just begun."""
    for caller, answers in (("Kim", ["1"]), ("Lee", ["1", "1"]), ("", [])):
        place = desk.begin(None, caller)
        walk = desk.open(place.number).walk
        assert walk
        for answer in answers:
            walk.answer(answer)
    return desk


async def test_a_new_callout_is_begun_with_its_sheet_and_caller_and_is_shown(folder):
    """n, the unit by its number, the name, Enter."""
    with desk_on(folder) as desk:
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "n", "2", "K", "i", "m", "enter")
            assert isinstance(pilot.app.screen, DeskWalkScreen)
            (place,) = desk.places
            assert (place.overview.unit, place.overview.caller) == (
                "Pad 7 [bold]V-101[/bold] separator",
                "Kim",
            )
            assert "1, Kim: Pad 7 [bold]" in dump(pilot.app)


async def test_a_callout_without_sheet_and_name_is_begun_with_three_keys(folder):
    """When the phone rings nothing is typed."""
    with desk_on(folder) as desk:
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, *NEW)
            assert desk.places[0].overview.unit == "unknown unit"
            await press(pilot, "1")
            assert told(callout_screen(pilot, 1).walk.events)[1:] == [("triage", "danger", "steady", "")]


async def test_a_digit_at_the_list_takes_the_callout_and_answers_nothing(folder):
    """Also when the finger bounces."""
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            frozen = desk_app(pilot).monotonic()
            desk_app(pilot).monotonic = lambda: frozen
            await press(pilot, "3", "3", "3")
            assert pilot.app.screen is callout_screen(pilot, 3)
            assert len(callout_screen(pilot, 3).walk.events) == 1


async def test_a_function_key_goes_from_one_callout_to_another(folder):
    """And Tab to the list and back."""
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "f1")
            assert pilot.app.screen is callout_screen(pilot, 1)
            await press(pilot, "f2")
            assert pilot.app.screen is callout_screen(pilot, 2)
            await press(pilot, "tab")
            assert pilot.app.screen is desk_app(pilot).list_screen
            await press(pilot, "tab")
            assert pilot.app.screen is callout_screen(pilot, 2)


async def test_a_half_typed_reading_is_still_there_and_the_list_tells_of_it(folder):
    """Switching in mid-answer loses nothing."""
    with desk_on(folder) as desk:
        three(desk)
        walk = desk.open(2).walk
        assert walk
        walk.ask("output_gauge")
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "f2", "r", "2", "7", "f1", "1")
            assert desk.open(1).walk.state.complaint == "floods"
            await press(pilot, "tab")
            assert "[half typed: 27]" in dump(pilot.app)
            await press(pilot, "f2")
            assert pilot.app.screen.query_one(Input).value == "27"
            await press(pilot, "space", "p", "s", "i", "enter")
            assert walk.state.findings["output_gauge"].text == "27 psi"


async def test_the_mark_and_the_doubt_stay_with_their_callout(folder):
    """They are the callout's own."""
    with desk_on(folder) as desk:
        three(desk)
        desk.open(2).walk.ask("lift_arm")
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "f2", "n", "down", "f3", "f2")
            screen = callout_screen(pilot, 2)
            assert (screen.unsure, screen.marked) == (True, 1)


async def test_keys_answer_one_callout_while_another_is_worked_out(folder):
    """Each has a thread of its own."""
    gate = threading.Event()
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "f1", "f3")
            slow = callout_screen(pilot, 1).walk
            look = slow._look

            def waiting(self: Walk):
                gate.wait(20)
                return look()

            slow._look = waiting.__get__(slow)
            await pilot.press("f1")
            await pilot.press("1")
            await pilot.press("f3")
            await pilot.press("1")
            for _ in range(200):
                await pilot.pause(0.02)
                if not callout_screen(pilot, 3).busy:
                    break
            assert not callout_screen(pilot, 3).busy
            assert callout_screen(pilot, 1).busy
            gate.set()
            await settled(pilot)
            assert callout_screen(pilot, 1).walk.state.complaint == "floods"


async def test_q_goes_to_the_list_and_there_it_leaves(folder):
    """Everything is saved in between."""
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "f1", "q")
            assert pilot.app.screen is desk_app(pilot).list_screen
            await pilot.press("q")
        assert pilot.app.return_code == 0


async def test_an_answer_heard_is_given_from_the_page_of_sounds(folder):
    """h shows how it may sound, and the number there answers."""
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "f3", "h")
            assert "It's right at the top" in dump(pilot.app)
            await press(pilot, "2")
            assert callout_screen(pilot, 3).walk.state.triage == {"danger": "near"}


async def test_a_message_is_shown_copied_and_in_a_file(folder):
    """m; each part is under 300 characters."""
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            copied = []
            pilot.app.copy_to_clipboard = copied.append
            await press(pilot, "f3", "m")
            text = message_file(folder, desk.places[2].overview.name).read_text(encoding="utf-8")
            assert text.startswith("Is liquid about to carry over")
            assert len(text) < LIMIT
            assert copied == [text.rstrip("\n")]
            assert "2 Yes. It is close to the trip" in dump(pilot.app)


async def test_a_message_that_cannot_be_written_is_shown_all_the_same(folder):
    """And it says so."""
    (folder / "messages").write_text("in the way")
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "f3", "m")
            assert "the message cannot be written" in dump(pilot.app).replace("\n ", " ")


async def test_the_language_changes_on_every_page(folder):
    """One key, in all callouts and on the list; nothing is answered."""
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "f1", "f3", "e")
            assert SAY_ES in dump(pilot.app)
            assert "Si duda:" in dump(pilot.app)
            await press(pilot, "f1")
            assert "Dígame qué hace" in dump(pilot.app)
            await press(pilot, "tab")
            assert "Mesa: 3 abiertas" in dump(pilot.app)
            await press(pilot, "e")
            assert "Desk: 3 open" in dump(pilot.app)
        assert all(
            len(place.walk.events) == count for place, count in zip(desk.places, (2, 3, 1), strict=True)
        )


async def test_a_volunteered_fact_is_taken_whatever_is_asked(folder):
    """Three letters are enough."""
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "f3", "slash", "s", "o", "a", "1")
            assert list(desk.open(3).walk.state.findings) == ["soap"]


async def test_a_callout_goes_to_a_file_and_comes_in_at_another_desk_in_the_same_state(
    folder, tmp_path_factory
):
    """One key each way; the caller's name goes with it."""
    file, other = folder / "handed.jsonl", tmp_path_factory.mktemp("other")
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "down", "o")
            pilot.app.screen.query_one(Input).value = str(file)
            await press(pilot, "enter")
            assert "Handed over at 12:35 UTC, file handed.jsonl" in dump(pilot.app)
            before = desk.open(2).walk.state
    with desk_on(other) as desk:
        async with desk_screen(desk, other) as pilot:
            await press(pilot, "i")
            pilot.app.screen.query_one(Input).value = str(file)
            await press(pilot, "enter")
            (place,) = desk.places
            assert desk.open(place.number).walk.state == before
            assert place.overview.caller == "Lee"
            await press(pilot, "1")
            assert pilot.app.screen is callout_screen(pilot, 1)


async def test_a_file_that_is_no_hand_over_is_told_of(folder):
    """In words, and nothing changes."""
    (folder / "notes.txt").write_text("milk, bread\n")
    with desk_on(folder) as desk:
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "i")
            pilot.app.screen.query_one(Input).value = str(folder / "notes.txt")
            await press(pilot, "enter")
            assert "! " in dump(pilot.app)
        assert desk.places == []


@pytest.mark.parametrize("size", [(20, 6), (40, 12), (60, 20), (80, 24), (120, 40)])
async def test_no_size_breaks_a_page_of_the_desk(folder, size):
    """The list, a callout, the sounds, the message, the help."""
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder, size) as pilot:
            await press(pilot, "question_mark", "escape", "n", "escape", "f2", "h", "escape", "m", "escape")
            rows = dump(pilot.app).splitlines()
            assert len(rows) == size[1]
            assert all(len(row) <= size[0] for row in rows)


@pytest.mark.parametrize("size", [(80, 24), (60, 20)], ids=["80x24", "60x20"])
@pytest.mark.parametrize("page", ["list", "callout", "sounds", "message", "new", "spanish"])
async def test_the_pages_of_the_desk_look_as_they_should(folder, page, size, monkeypatch):
    """Golden screens."""
    monkeypatch.chdir(folder)  # a page names a file
    keys = {
        "list": (),
        "callout": ("f3",),
        "sounds": ("f3", "h"),
        "message": ("f3", "m"),
        "new": ("n",),
        "spanish": ("e",),
    }[page]
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, Path(), size) as pilot:
            await press(pilot, *keys)
            same_as_golden(pilot.app, f"desk_{page}_{size[0]}x{size[1]}")


def answered_elsewhere(desk: Desk, number: int, *answers: str) -> None:
    """Somebody at another desk over the same store answers that callout."""
    other = Desk(lambda language: desk.book, desk.history, desk.clock, "en", "Robin")
    other.refresh()
    walk = other.open(number).walk
    assert walk
    for answer in answers:
        walk.answer(answer)


async def test_the_list_tells_what_somebody_else_answered_in_a_callout_that_was_never_shown(folder):
    """It looks into the store by itself; the page comes up with the question after that answer."""
    with desk_on(folder) as desk:
        desk.begin(None, "Kim")
        async with desk_screen(desk, folder) as pilot:
            assert "nothing answered yet" in dump(pilot.app)
            answered_elsewhere(desk, 1, "1", "1")
            desk_app(pilot).list_screen.look_at_store()
            await settled(pilot)
            assert "nothing answered yet" not in dump(pilot.app)
            await press(pilot, "1")
            assert (
                told(callout_screen(pilot, 1).walk.events)[1:3]
                == told(desk.history.record(desk.places[0].overview.key).events)[1:3]
            )


async def test_the_list_tells_what_somebody_else_answered_in_a_callout_that_was_left_for_the_list(folder):
    """Its page looks for news while the list lies over it, and stands on the new question then."""
    with desk_on(folder) as desk:
        desk.begin(None, "Kim")
        async with desk_screen(desk, folder) as pilot:
            await press(pilot, "1")
            await press(pilot, "tab")
            assert "nothing answered yet" in dump(pilot.app)
            answered_elsewhere(desk, 1, "1")
            callout_screen(pilot, 1)._look_for_news()
            await settled(pilot)
            assert "nothing answered yet" not in dump(pilot.app)


async def test_a_callout_that_somebody_else_ended_is_no_longer_awaited_and_has_no_trip(folder):
    """The list says how it ended and that nobody is on it."""
    with desk_on(folder) as desk:
        three(desk)
        async with desk_screen(desk, folder) as pilot:
            assert dump(pilot.app).count("Trip:") == 3
            key = desk.places[1].overview.key
            close(desk.history, desk.book, key, Hand(desk.clock()), "", "it went away")
            desk_app(pilot).list_screen.look_at_store()
            await settled(pilot)
            shown = dump(pilot.app)
            assert "Ended: closed" in shown
            assert shown.count("Trip:") == 2
            assert "Desk: 2 open" in shown
