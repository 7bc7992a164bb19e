"""A simulated unit answers as a hand beside it would, and only mending what is wrong cures it."""

from dataclasses import replace

import pytest

from diagnose.rig.run import run
from diagnose.trial.case import FOUND, Case
from diagnose.trial.complaints import complaints
from diagnose.trial.eyes import EYES
from diagnose.trial.set_ups import SHEETS, as_found, set_up
from diagnose.trial.unit import SLIP, RigUnit
from knowledge.book import load_book

NAME = "snap_direct_water"


@pytest.fixture(scope="module")
def book():
    """The shipped book."""
    return load_book()


@pytest.fixture(scope="module")
def ready(book):
    """The set-up, and how it runs when it is healthy."""
    found = set_up(NAME, book)
    return found, run(found.plant, FOUND, 0)


def case_with(ready, *faults, severity=1.0, seed=0):
    """The unit with some faults."""
    found, usual = ready
    return Case(found.unit.values, found.plant, dict.fromkeys(faults, severity), seed, usual)


def unit_with(book, ready, *faults, **more):
    """It, ready to be asked."""
    return RigUnit(book, case_with(ready, *faults), ready[0].unit.facts, **more)


def test_every_check_of_the_book_has_an_eye_and_every_eye_a_check(book):
    assert set(EYES) == set(book.checks)


@pytest.mark.parametrize("name", SHEETS)
def test_a_healthy_unit_gives_no_ground_for_a_complaint(book, name):
    found = set_up(name, book)
    assert complaints(Case(found.unit.values, found.plant, {})) == ()


@pytest.mark.parametrize(
    ("fault", "complaint"),
    [
        ("supply_shut", "wont_open"),
        ("supply_shut", "supply_poor"),
        ("displacer_lost", "wont_close"),
        ("block_valve_shut", "wont_open"),
        ("bypass_passing", "wont_close"),
        ("trim_too_small", "slow_or_partial"),
        ("level_readout_wrong", "opens_late"),
        ("wave_at_displacer", "short_cycles"),
        ("pilot_diaphragm_cracked", "wastes_gas"),
        ("line_parted", "leaks_outside"),
        ("ports_swapped", "never_worked"),
    ],
)
def test_a_fault_gives_ground_for_what_people_call_about(ready, fault, complaint):
    assert complaint in complaints(case_with(ready, fault))


def test_a_unit_answers_the_same_question_the_same_way_within_an_epoch(book, ready):
    unit = unit_with(book, ready, "supply_shut")
    names = ["supply_gauge", "supply_valve_look", "vent_listen", "recent_work", "action"]
    seen = [unit.shows(name, 0) for name in names]
    assert [unit.shows(name, 0) for name in names] == seen
    assert seen[0][0] == "none"
    assert seen[0][1].endswith(" psi")
    assert seen[1] == ("shut", "")
    assert seen[4] == ("snap", "")


def test_looks_slip_about_as_often_as_is_said_and_not_at_all_without_slips(book, ready):
    unit = unit_with(book, ready, "supply_shut")
    sure = unit_with(book, ready, "supply_shut", slips=False)
    looks = 1500
    wrong = sum(unit.shows("supply_valve_look", epoch)[0] != "shut" for epoch in range(looks))
    assert abs(wrong / looks - SLIP) < 5 * (SLIP * (1 - SLIP) / looks) ** 0.5
    assert all(sure.shows("supply_valve_look", epoch)[0] == "shut" for epoch in range(looks))


def test_a_gauge_errs_within_its_grade_and_otherwise_from_unit_to_unit(book, ready):
    found, usual = ready
    reads = set()
    for seed in range(40):
        case = Case(found.unit.values, found.plant, {"pilot_gummed": 1.0}, seed, usual)
        text = RigUnit(book, case, found.unit.facts).shows("supply_gauge", 0)[1]
        reads.add(float(text.removesuffix(" psi")))
    true = found.plant.supply.set_to / 6894.757
    assert len(reads) > 1
    assert all(abs(read - true) <= 5 for read in reads)


def test_mending_the_fault_cures_and_mending_what_is_sound_does_not(book, ready):
    unit = unit_with(book, ready, "supply_shut")
    assert unit.repairs_to_cure() == [["supply_shut"]]
    assert unit.mend("block_valve_shut") in ("done", "in_order")
    assert unit.complains("wont_open", 0) == "wont_open"
    assert unit.mend("supply_shut") == "done"
    assert (unit.faults, unit.complains("wont_open", 0)) == (frozenset(), "")


def test_of_two_faults_both_must_be_mended_where_each_is_enough(book, ready):
    unit = unit_with(book, ready, "supply_shut", "block_valve_shut")
    assert unit.repairs_to_cure() == [["block_valve_shut", "supply_shut"]]
    unit.mend("supply_shut")
    assert unit.complains("wont_open", 0) == "wont_open"
    unit.mend("block_valve_shut")
    assert unit.complains("wont_open", 1) == ""


def test_what_the_same_work_puts_right_is_put_right_with_it(book, ready):
    (cause, other) = next(
        (name, entry.same_repair_as)
        for name, entry in book.causes.items()
        if entry.same_repair_as and name in ("actuator_diaphragm_pinhole", "pilot_rubber_bad")
    )
    unit = unit_with(book, ready, other)
    assert unit.mend(cause) == "done"
    assert unit.faults == frozenset()


def test_a_pilot_that_was_cleaned_works_again_whatever_fouled_it(book, ready):
    unit = unit_with(book, ready, "supply_wrong_point")
    assert unit.mend("pilot_gummed") == "done"
    assert unit.complains("wont_open", 0) == ""


def test_the_tags_of_the_valve_that_is_there_are_read(book, ready):
    wrong = case_with(ready, "pairing_wrong")
    read = as_found(ready[0].unit, wrong, book)
    assert (ready[0].unit.facts["valve_fails"], read.facts["valve_fails"]) == ("closed", "open")
    assert as_found(ready[0].unit, case_with(ready, "supply_shut"), book) is ready[0].unit


def test_a_case_is_the_same_for_the_same_seed(ready):
    one, other = case_with(ready, "pilot_gummed", seed=4), case_with(ready, "pilot_gummed", seed=4)
    assert one.draw("a") == other.draw("a") != one.draw("b")
    assert one.now == other.now
    assert replace(one, seed=5).draw("a") != one.draw("a")
