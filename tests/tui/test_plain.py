"""The line mode."""

import io
from dataclasses import replace

import pytest

from diagnose.fit import Fit
from diagnose.sheet import Unit
from diagnose.steps import check_step
from diagnose.walk import Walk
from tests.tui.driver import (
    LEADERS,
    ON_BYPASS,
    RECORD,
    REPAIRED,
    call_for_help,
    checking,
    cure,
    new_walk,
    small_book,
    told,
    two_repairs,
    walk_of,
)
from tui.lines import fit_text
from tui.plain import walk_plain


def talk(walk: Walk, *lines: str) -> str:
    """Type these lines at a walk; what it says."""
    out = io.StringIO()
    assert walk_plain(walk, [f"{line}\n" for line in lines], out, RECORD) == 0
    return out.getvalue()


def last_page(said: str) -> str:
    """From the last heading on."""
    return said[said.rindex("Unit: ") :]


def test_a_question_is_said_in_reading_order():
    """Where it stands, the question, why, needs, cautions, steps, right, answers, faults, places."""
    page = last_page(talk(checking("lift_arm")))
    order = [
        "Unit: V-101. It is now: running. Question 3.",
        "With the lever lifted by hand, does the valve open?",
        "Lift the lever on the controller with one finger.",
        "Why: It parts",
        "Needs: unit running, as it is now; about 2 min.",
        "CAUTION: The dump valve can move by itself.",
        "Step 1: Stand clear of the valve.",
        "Right is: The stem moves",
        "1. It opens",
        "0. Could not tell",
        "Likely faults:",
        "41%, 2 in 5: Pilot inlet plugged",
        "Where in the loop: vessel and liquid 2%, supply 25%",
    ]
    places = [page.index(words) for words in order]
    assert places == sorted(places)


def test_five_likely_faults_are_said_with_their_change():
    """Percent, title, and how far the last answer moved it."""
    page = last_page(talk(checking("lift_arm")))
    faults = page[page.index("Likely faults:") : page.index("Where in")].splitlines()[1:]
    assert len(faults) == len(LEADERS) == 5
    assert faults[0] == "41%, 2 in 5: Pilot inlet plugged (+19 by the last answer)"
    assert faults[2] == "20%, 1 in 5: Valve stem seized"
    assert faults[4] == "<1%, hardly: Seat cut through (-16 by the last answer)"


def test_numbers_names_and_readings_are_all_answers():
    """The three ways of saying the same give the same events but for the text of the reading."""
    by_number, by_name, by_reading = (new_walk(["1", "1"], now="output_gauge") for _ in range(3))
    talk(by_number, "1")
    talk(by_name, "none")
    talk(by_reading, "0.05 bar")
    assert told(by_number.events) == told(by_name.events)
    assert told(by_reading.events)[-1] == ("check", "output_gauge", "none", "0.05 bar")
    assert told(by_reading.events)[-1][:3] == told(by_number.events)[-1][:3]


@pytest.mark.parametrize(
    "rubbish", ["7", "-1", "12", "12 furlongs", "psi", "$(rm)", "1 1", "ü", "9" * 500, "12 psi psi"]
)
def test_rubbish_changes_nothing_and_is_answered(rubbish):
    """A message comes, and no event is saved."""
    walk = new_walk(["1", "1"], now="output_gauge")
    before = list(walk.events)
    said = talk(walk, rubbish)
    assert walk.events == before
    assert said.count("Answer: ") == 2
    assert said.split("Answer: ")[1].strip()


def test_a_bare_number_at_a_gauge_is_told_how_to_write_its_unit():
    """The core's own words."""
    assert "'12' has no unit. Write it as: 12 psi." in talk(new_walk(["1", "1"], now="output_gauge"), "12")


def test_u_takes_back_as_far_as_the_opening():
    """Each u goes one back; one too many says so."""
    walk = new_walk(["1", "1"], lift_arm="nothing")
    said = talk(walk, "u", "u", "u", "u")
    assert "no earlier answer" in said
    assert walk.state == new_walk().state


def test_c_changes_an_earlier_answer():
    """The picked question comes again, and its new answer replaces the old one."""
    walk = new_walk(["1", "1"], lift_arm="nothing", output_gauge="none")
    said = talk(walk, "c", "2", "1")
    assert "2. With the lever lifted by hand, does the valve open? Nothing happens" in said
    assert walk.state.findings["lift_arm"].answer == "opens"
    assert walk.state.findings["output_gauge"].answer == "none"


@pytest.mark.parametrize("pick", ["", "9", "x", "0", "²"])
def test_c_with_no_pick_changes_nothing(pick):
    """Enter, or what is not in the list, leaves everything as it was."""
    walk = new_walk(["1", "1"], lift_arm="nothing")
    talk(walk, "c", pick)
    assert told(walk.events) == told(new_walk(["1", "1"], lift_arm="nothing").events)


def test_u_drops_the_wish_to_change_and_keeps_every_answer():
    """Asking again and then u is not an undo of the last answer."""
    walk = new_walk(["1", "1"], lift_arm="nothing", output_gauge="none")
    said = talk(walk, "c", "1", "u")
    assert told(walk.events) == told(new_walk(["1", "1"], lift_arm="nothing", output_gauge="none").events)
    assert "You asked to change" not in last_page(said)


def test_c_without_findings_says_so():
    """There is nothing to pick."""
    assert "Nothing has been answered yet" in talk(new_walk(), "c")


def test_the_end_of_the_input_leaves_with_everything_saved():
    """No input at all is a way to leave."""
    assert talk(new_walk()).rstrip().endswith("Left. Everything is saved.")


def test_help_names_every_key():
    """And gives the standing safety line."""
    said = talk(new_walk(), "?")
    assert "u: take the last answer back." in said
    assert "Never defeat a shutdown." in said.split("Answer: ")[1].replace("\n", " ")


def test_a_cure_is_told_with_what_was_wrong_and_where_the_record_is():
    """The last page of a cured callout."""
    walk = new_walk()
    page = last_page(talk(walk, *cure()))
    assert walk.state.ended == "cured"
    assert "How it ended: CURED." in page
    assert "What was wrong: Pilot inlet plugged" in page
    assert f"The record: {RECORD}" in page


def test_a_repair_that_does_not_cure_goes_on_and_is_named_at_the_end():
    """After "not cured" it asks what is wrong now; the next repair is the one that was it."""
    walk = new_walk()
    said = talk(walk, *two_repairs())
    assert "What is wrong now?" in said
    assert walk.state.epoch == 1
    assert "What was wrong: Regulator plugged" in last_page(said)
    assert "Also put right, but it was not that: Pilot inlet plugged" in last_page(said)


def test_a_proof_that_nobody_can_watch_ends_as_not_proved():
    """It says that somebody must still watch."""
    page = last_page(talk(walk_of(*REPAIRED), "0"))
    assert "PUT RIGHT, NOT PROVED." in page
    assert "Put right: Pilot inlet plugged" in page


def test_could_not_tell_to_everything_ends_with_the_call_for_help():
    """The help step lists what nobody could tell, and the end says that the fault is not found."""
    walk = new_walk()
    said = talk(walk, *call_for_help())
    assert "Call somebody who knows more" in said
    assert "Nobody could tell: What does the supply gauge read?" in said
    assert "HELP IS CALLED. The fault is not found." in last_page(said)
    assert "Put right: Nothing" in last_page(said)


def test_a_callout_that_is_left_in_a_hold_says_so_at_the_end():
    """Whoever comes next must know the state of the unit."""
    walk = walk_of(*ON_BYPASS, ("help", "help", "called"))
    assert "Watch: The unit is left ON BYPASS. Tell the next one so." in talk(walk)


def test_the_last_answer_can_be_taken_back_after_the_end():
    """A slip on the last key does not close the callout for good."""
    walk = new_walk()
    talk(walk, *cure(), "u")
    assert walk.state.ended is None
    assert walk.state.to_prove == "pilot_plugged"


def test_findings_that_do_not_fit_name_the_one_to_look_at_again():
    """In one line, in the words of the question."""
    walk = new_walk(["1", "1"], lift_arm="nothing")
    view = replace(walk.view(), fit=Fit(False, 9.0, "lift_arm"))
    which = "With the lever lifted by hand, does the valve open?"
    words = f"These answers do not fit together. Look again at: {which}"
    assert fit_text(walk, view) == words
    walk._view = view
    assert words in talk(walk).replace("\n", " ")


class Ascii(io.StringIO):
    """A stream that takes ASCII alone, and fails on anything else as a real one does."""

    encoding = "ascii"

    def write(self, text: str, /) -> int:
        """Take a text."""
        text.encode("ascii")
        return super().write(text)


def test_output_that_takes_ascii_alone_gets_ascii_alone():
    """Quotes become plain ones, letters lose their accents; what is left becomes a question mark."""
    out = Ascii()
    assert walk_plain(new_walk(unit=Unit("Größe “7”")), [], out, RECORD) == 0
    assert walk_plain(walk_of(*REPAIRED[:-2]), [], out, RECORD) == 0
    assert 'Unit: Gro?e "7".' in out.getvalue()
    assert 'Go back from "supply off" to "on bypass"' in out.getvalue()


def test_no_control_character_of_a_unit_reaches_the_terminal():
    """A name cannot clear the screen or forge a line."""
    said = talk(new_walk(unit=Unit("V\x1b[2J\r\n\x9b0m1")))
    assert "\x1b" not in said
    assert "\x9b" not in said
    assert "\r" not in said


def test_what_could_not_be_saved_is_not_taken():
    """A full disk is told of, and the same question stands."""
    walk = new_walk(["1"])
    before = walk.state

    def full(_event):
        raise OSError(28, "No space left on device")

    walk._save = full
    said = talk(walk, "1")
    assert "The answer was NOT taken: it could not be saved (No space left on device)." in said
    assert walk.state == before


def test_a_look_ahead_is_waited_for_where_it_is_wanted(monkeypatch):
    """The question asked is the better one, and its answer is taken as such."""
    walk = new_walk(["1", "1"])
    asked = walk.view()
    other = replace(asked, step=check_step(small_book(), "soap", "", small_book().quantities))
    monkeypatch.setattr(walk, "looked_ahead", lambda: other if walk.view() is asked else None)
    out = io.StringIO()
    walk_plain(walk, ["1", "q"], out, str(RECORD), ahead=True)
    assert other.step.heading in out.getvalue()
    assert [event.id for event in walk.events if event.kind == "check"] == ["soap"]
