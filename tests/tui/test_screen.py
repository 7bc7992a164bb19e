"""The full screen: what keys do."""

import threading
from dataclasses import replace

import pytest
from textual.widgets import Input

from diagnose.fit import Fit
from diagnose.sheet import Unit
from tests.tui.driver import (
    CURED,
    call_for_help,
    checking,
    cure,
    dump,
    new_walk,
    on_screen,
    press,
    settle,
    told,
    two_repairs,
    walk_of,
    walk_screen,
)
from tests.tui.test_plain import talk


async def type_answer(pilot, answer: str) -> None:
    """Give an answer as a person does: a digit, or r and the reading."""
    if len(answer) == 1:
        await press(pilot, answer)
        return
    await press(pilot, "r")
    pilot.app.screen.query_one(Input).value = answer
    await press(pilot, "enter")


@pytest.mark.parametrize("story", [cure, call_for_help, two_repairs])
async def test_the_same_answers_give_the_same_events_on_the_screen_and_in_lines(story):
    """Both faces tell one story."""
    by_lines, by_screen = new_walk(), new_walk()
    talk(by_lines, *story())
    async with on_screen(by_screen) as pilot:
        for answer in story():
            await type_answer(pilot, answer)
    assert told(by_screen.events) == told(by_lines.events)
    assert by_screen.state == by_lines.state


async def test_a_digit_answers_at_once():
    """No Enter is needed."""
    walk = new_walk()
    async with on_screen(walk) as pilot:
        await press(pilot, "2")
    assert told(walk.events)[1:] == [("triage", "danger", "near", "")]


async def test_enter_gives_the_marked_answer():
    """Down moves the mark, and it goes round at the ends."""
    walk = new_walk(["1", "1"], now="lift_arm")
    async with on_screen(walk) as pilot:
        await press(pilot, "down", "down", "enter")
        assert walk.state.findings["lift_arm"].answer == "nothing"
        await press(pilot, "up")
        assert walk_screen(pilot).marked == len(walk_screen(pilot).shown.step.choices) - 1


async def test_a_digit_that_is_no_answer_says_so():
    """And nothing is saved."""
    walk = new_walk()
    async with on_screen(walk) as pilot:
        await press(pilot, "9")
        assert "There is no answer 9 here." in dump(pilot.app)
    assert len(walk.events) == 1


async def test_a_key_pressed_twice_by_a_bouncing_finger_answers_one_question():
    """Two presses within the same moment count once."""
    walk = new_walk()
    async with on_screen(walk, monotonic=lambda: 0.0) as pilot:
        await press(pilot, "1", "1", "1")
    assert len(walk.events) == 2


async def test_keys_are_ignored_while_the_next_question_is_being_worked_out():
    """The answer to a question that nobody has seen is not taken."""
    walk = new_walk(["1"])
    gate = threading.Event()
    look = walk._look

    def slow():
        assert gate.wait(20)
        return look()

    async with on_screen(walk) as pilot:
        walk._look = slow
        await pilot.press("1")
        await pilot.press("2", "u", "enter", "c", "r")
        assert walk_screen(pilot).busy
        assert len(walk.events) == 3
        gate.set()
        await settle(pilot)
        await press(pilot, "0")
    assert [event.kind for event in walk.events] == ["opened", "triage", "complaint", "check"]
    assert walk.events[-1].answer == "could_not_tell"


async def test_one_can_leave_while_the_next_question_is_being_worked_out():
    """q is never deaf."""
    walk = new_walk(["1"])
    gate = threading.Event()
    look = walk._look

    def slow():
        assert gate.wait(20)
        return look()

    async with on_screen(walk) as pilot:
        walk._look = slow
        await pilot.press("1")
        await pilot.press("q")
        gate.set()
    assert pilot.app.return_code == 0


async def test_u_takes_the_last_answer_back():
    """The question before comes again; at the first one it says that there is none."""
    walk = new_walk(["1", "1"], lift_arm="nothing")
    async with on_screen(walk) as pilot:
        await press(pilot, "u")
        assert "question 3" in dump(pilot.app)
        await press(pilot, "u", "u", "u")
        assert "no earlier answer" in dump(pilot.app)
    assert walk.state == new_walk().state


async def test_c_changes_an_earlier_answer():
    """Picked from a list by its number, asked again, answered anew."""
    walk = new_walk(["1", "1"], lift_arm="nothing", output_gauge="none")
    async with on_screen(walk) as pilot:
        await press(pilot, "c")
        assert "2  With the lever lifted by hand, does the valve open? Nothing happens" in dump(pilot.app)
        await press(pilot, "2")
        assert "You asked to change this answer." in dump(pilot.app)
        await press(pilot, "1")
    assert walk.state.findings["lift_arm"].answer == "opens"


async def test_leaving_the_list_changes_nothing():
    """Esc goes back to the same question."""
    walk = new_walk(["1", "1"], lift_arm="nothing")
    async with on_screen(walk) as pilot:
        before = dump(pilot.app)
        await press(pilot, "c", "escape")
        assert dump(pilot.app) == before
    assert len(walk.events) == 4


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("12", "'12' has no unit. Write it as: 12 psi."),
        ("1", "'1' has no unit"),
        ("12 furlongs", "'furlongs' is not a unit known here."),
        ("[bold]", "'[bold]' is not a number with a unit."),
        ("", "'' is not a number with a unit."),
    ],
)
async def test_a_bad_reading_is_told_of_stays_on_its_line_and_can_be_mended(typed, words):
    """Nothing that was typed is lost, and nothing is saved."""
    walk = new_walk(["1", "1"], now="output_gauge")
    async with on_screen(walk) as pilot:
        await press(pilot, "r")
        line = pilot.app.screen.query_one(Input)
        line.value = typed
        await press(pilot, "enter")
        assert words in " ".join(dump(pilot.app).split())
        assert line.value == typed
        assert len(walk.events) == 3
        line.value = "30 psi"
        await press(pilot, "enter")
    assert walk.state.findings["output_gauge"].text == "30 psi"


async def test_r_where_no_reading_is_asked_for_says_so():
    """No line to type on is shown."""
    async with on_screen(new_walk(["1", "1"], now="lift_arm")) as pilot:
        await press(pilot, "r")
        assert "No reading can be typed here." in dump(pilot.app)
        assert not pilot.app.screen.query(Input)


@pytest.mark.parametrize("dialog", ["question_mark", "c", "r", "slash"])
async def test_keys_do_not_act_behind_a_dialog(dialog):
    """No answer, undo or theme change while another page lies over the question."""
    walk = new_walk(["1", "1"], lift_arm="nothing", now="output_gauge")
    async with on_screen(walk) as pilot:
        await press(pilot, dialog)
        assert pilot.app.screen is not walk_screen(pilot)
        await press(pilot, "u", "t", "0")
        await press(pilot, "escape")
        assert pilot.app.screen is walk_screen(pilot)
        assert pilot.app.theme == "sun"
    assert len(walk.events) == 4


async def test_what_could_not_be_saved_is_not_taken():
    """A full disk is told of, and the same question stands."""
    walk = new_walk(["1"])

    def full(_event):
        raise OSError(28, "No space left on device")

    async with on_screen(walk) as pilot:
        walk._save = full
        await press(pilot, "1")
        assert "NOT taken: it could not be saved (No space left on device)" in dump(pilot.app)
        assert "What is wrong?" in dump(pilot.app)
    assert len(walk.events) == 2


async def test_findings_that_do_not_fit_are_told_of_in_one_line():
    """With the one to look at again."""
    walk = new_walk(["1", "1"], lift_arm="nothing")
    walk._view = replace(walk.view(), fit=Fit(False, 9.0, "lift_arm"))
    async with on_screen(walk) as pilot:
        assert "! These answers do not fit together. Look again at: With the lever" in dump(pilot.app)


async def test_the_end_page_says_what_was_wrong_and_u_still_takes_it_back():
    """A slip on the last key does not close the callout for good."""
    walk = walk_of(*CURED)
    async with on_screen(walk) as pilot:
        assert "CURED." in dump(pilot.app)
        assert "What was wrong: Pilot inlet plugged" in dump(pilot.app)
        await press(pilot, "u")
        assert "Prove it: Pilot inlet plugged" in dump(pilot.app)
    assert walk.state.ended is None


async def test_cautions_below_the_fold_are_announced_and_reached_by_scrolling():
    """At 60x14 the caution does not fit: the rule under the question says so until it has been seen."""
    async with on_screen(checking("lift_arm"), (60, 14)) as pilot:
        assert "PgDn: READ THE CAUTIONS below" in dump(pilot.app)
        await press(pilot, "pagedown")
        assert "CAUTION: The dump valve can move by itself." in dump(pilot.app)
        await press(pilot, "pagedown")
        assert "READ THE CAUTIONS" not in dump(pilot.app)


async def test_markup_and_control_characters_in_names_are_shown_as_text():
    """Nothing in a sheet or a book can dress itself up or drive the terminal."""
    async with on_screen(new_walk(unit=Unit("[bold red]V[/] \x1b[2J$[x]"))) as pilot:
        assert " [bold red]V[/] [2J$[x] " in dump(pilot.app)


async def test_a_note_is_shown_until_the_next_answer():
    """Another book than the one it was started with is told of on the screen too."""
    async with on_screen(new_walk(["1"]), note="Started with another book.") as pilot:
        assert "Started with another book." in dump(pilot.app)
        await press(pilot, "1")
        assert "Started with another book." not in dump(pilot.app)
