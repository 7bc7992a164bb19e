"""A callout in short."""

from dataclasses import replace

import pytest

from diagnose.events import Event
from diagnose.summary import summary_of
from diagnose.trip import minutes_between
from tests.tui.driver import CURED, ON_BYPASS, REPAIRED, new_walk, small_book, walk_of
from tui.summary_lines import summary_rows, summary_text


def summary(*events):
    """The summary of a callout with these events after its complaint."""
    return summary_of(small_book(), walk_of(*events).events)


def test_a_cure_tells_what_was_wrong_what_was_done_and_what_to_take():
    """The cause, the parts of its repair, and each thing done in order."""
    found = summary(("check", "lift_arm", "nothing"), *CURED)
    assert (found.ended, found.cause, found.wrong) == ("cured", "pilot_plugged", "Pilot inlet plugged")
    assert found.parts == ("pilot gasket",)
    assert found.put_right == ("Pilot inlet plugged",)
    assert found.beside == ()
    assert found.checks == 1
    kinds = [entry.kind for entry in found.entries]
    assert kinds == ["triage", "complaint", "check", "hold", "hold", "repair", "hold", "hold", "prove"]
    assert found.entries[2].title == "With the lever lifted by hand, does the valve open?"
    assert found.entries[2].answer == "Nothing happens"


def test_a_repair_in_vain_is_told_beside_the_one_that_cured():
    """The last one is the cause."""
    again = [
        ("prove", "pilot_plugged", "not_cured"),
        ("complaint", "complaint", "floods"),
        *REPAIRED[:4],
        ("repair", "regulator_plugged", "done"),
        *REPAIRED[5:],
        ("prove", "regulator_plugged", "cured"),
    ]
    found = summary(*REPAIRED, *again)
    assert found.cause == "regulator_plugged"
    assert found.beside == ("Pilot inlet plugged",)


def test_what_is_not_proved_says_what_right_is():
    """Whoever watches it knows what to look for."""
    found = summary(*REPAIRED, ("prove", "pilot_plugged", "could_not_tell"))
    assert found.ended == "not_proved"
    assert found.wrong == "Pilot inlet plugged"
    assert any(line.startswith("It is right when: The stem moves") for line in found.watch)


def test_a_unit_left_out_of_service_is_the_first_thing_to_watch():
    """Then what could not be put right or told, and what was not sure."""
    unsure = Event(at="2026-01-31T12:20:00Z", kind="check", id="soap", answer="dry", sure=False)
    events = walk_of(
        ("repair", "supply_shut", "cannot"), ("check", "lift_arm", "could_not_tell"), *ON_BYPASS
    ).events
    found = summary_of(small_book(), [*events, unsure], [("Valve stem seized", 0.4)])
    assert found.watch[0] == "The unit is left ON BYPASS. Tell the next one so."
    assert found.watch[1] == "Still possible: Valve stem seized, 40%."
    assert found.watch[2].startswith("Still to be put right: ")
    assert found.watch[3] == "Nobody could tell: With the lever lifted by hand, does the valve open?"
    assert found.watch[4].startswith("Not sure, look again: ")


def test_a_cure_asks_nobody_to_look_again_at_an_unsure_reading_from_before_it():
    """The reading was of the fault, which is gone."""
    unsure = Event(at="2026-01-31T12:00:00Z", kind="check", id="soap", answer="dry", sure=False)
    opened, *cured = walk_of(*CURED).events
    begun = next(number for number, event in enumerate(cured, 1) if event.kind == "complaint")
    events = [opened, *cured[:begun], unsure, *cured[begun:]]
    assert not any("look again" in line for line in summary_of(small_book(), events).watch)
    assert any("look again" in line for line in summary_of(small_book(), events[: begun + 2]).watch)


def test_minutes_are_those_of_the_clock_and_never_below_nought():
    """A clock that was set back, or no time at all, gives none."""
    events = [
        event.model_copy(update={"at": f"2026-01-31T12:{n:02d}:00Z"})
        for n, event in enumerate(walk_of(*CURED).events)
    ]
    found = summary_of(small_book(), events)
    assert found.minutes == len(events) - 1
    assert [entry.minute for entry in found.entries] == sorted(entry.minute for entry in found.entries)
    assert minutes_between("2026-01-31T12:00:00Z", "2026-01-31T11:00:00Z") == 0
    assert minutes_between("", "2026-01-31T11:00:00Z") == 0


def test_what_was_taken_back_is_not_told():
    """Nor are ticks and cautions."""
    walk = new_walk(["1", "1"], lift_arm="nothing")
    walk.undo()
    found = summary_of(small_book(), walk.events)
    assert [entry.kind for entry in found.entries] == ["triage", "complaint"]


@pytest.mark.parametrize("events", [CURED, REPAIRED, ON_BYPASS, []])
def test_the_text_holds_every_line_of_the_end_page_and_every_answer(events):
    """At a width that can be pasted, in one piece."""
    found = summary(*events)
    text = summary_text(found)
    assert max(map(len, text.splitlines())) <= 72
    flat = " ".join(text.split())
    for about, line in summary_rows(found):
        assert " ".join(f"{about}: {line}".split()) in flat
    for entry in found.entries:
        assert " ".join(entry.title.split()) in flat
    assert "Never defeat a shutdown." in flat


def test_no_control_character_of_a_unit_gets_into_the_text():
    """What is pasted drives no terminal."""
    found = replace(summary(), unit="V\x1b[2J\n1")
    assert "\x1b" not in summary_text(found)
