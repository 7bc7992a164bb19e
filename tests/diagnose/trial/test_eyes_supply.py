"""What is seen of the supply: sound units, faults, and nothing that the check does not know."""

from functools import cache

import pytest

from diagnose.trial.eyes_supply import EYES
from diagnose.units import from_si
from knowledge.book import load_book
from tests.diagnose.rig.plants import PAIRINGS
from tests.diagnose.trial.units import (
    SNAP,
    SNAP_OPEN,
    THROTTLE,
    THROTTLE_OPEN,
    case_of,
)

SECTION = "supply"
SOUND = {
    "supply_gauge_dump": "holds",
    "supply_gauge_tap": "lively",
    "supply_gauge_second": "same",
    "supply_valve_look": "open",
    "source_gauge": "enough",
    "header_look": "has",
    "frost_feel": "none",
    "drip_pot": "clean",
    "supply_rag": "dry",
    "after_blow": "holds",
    "filter_pull": "sound",
    "regulator_turn": "follows",
    "regulator_look": "as_left",
    "regulator_rest": "still",
    "regulator_bonnet": "silent",
    "relief_listen": "silent",
    "supply_leak_look": "tight",
    "trace_supply": "good",
    "pump_timing": "steady",
    "takeoff_look": "right",
    "air_tank_drain": "dry",
}
"""What each check shows where nothing is wrong, by its `right` text; the gauge shows the sheet's pressure."""


@cache
def checks():
    book = load_book()
    return {name: check for name, check in book.checks.items() if book.sections[name] == SECTION}


def gauge(pairing, *names, severity=1.0):
    """psi on the supply gauge at rest."""
    return from_si(EYES["supply_gauge"](case_of(pairing, *names, severity=severity)), "psi")


def test_every_check_of_the_section_has_an_eye():
    """And no eye is for anything else."""
    assert set(EYES) == set(checks()) == {*SOUND, "supply_gauge"}


@pytest.mark.parametrize("liquid", ["water", "interface"])
@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_sound_unit_looks_sound(pairing, liquid):
    """On every unit alike, and the gauge stands at the 20 psi that the sheet wants."""
    case = case_of(pairing, liquid=liquid)
    assert {name: EYES[name](case) for name in SOUND} == SOUND
    assert from_si(EYES["supply_gauge"](case), "psi") == pytest.approx(20, abs=0.5)


SAGS = {"supply_gauge_dump": "sags", "after_blow": "sags", "source_gauge": "enough"}
FAULTY = [
    (
        "supply_shut",
        SNAP,
        {
            "supply_valve_look": "shut",
            "supply_gauge_dump": "dead",
            "source_gauge": "none",
            "header_look": "has",
            "drip_pot": "full",
            "after_blow": "sags",
            "regulator_turn": "no_change",
        },
    ),
    ("supply_valve_pinched", THROTTLE, {**SAGS, "supply_valve_look": "part"}),
    ("header_down", SNAP_OPEN, {"source_gauge": "none", "header_look": "has_not", "drip_pot": "full"}),
    ("source_pressure_low", SNAP, {"source_gauge": "low", "regulator_turn": "no_change"}),
    ("regulator_low", THROTTLE, {"regulator_look": "turned", "regulator_turn": "follows"}),
    ("regulator_high", SNAP, {"regulator_look": "turned", "regulator_rest": "still"}),
    ("regulator_creeps", SNAP, {"regulator_rest": "creeps", "regulator_bonnet": "silent"}),
    ("regulator_diaphragm_torn", SNAP, {"regulator_bonnet": "blows", "relief_listen": "silent"}),
    ("regulator_dead", SNAP, {"regulator_turn": "no_change", "source_gauge": "enough"}),
    ("filter_plugged", SNAP_OPEN, {**SAGS, "filter_pull": "packed", "drip_pot": "clean"}),
    (
        "drip_pot_full",
        SNAP,
        {**SAGS, "drip_pot": "full", "after_blow": "holds", "filter_pull": "soaked", "supply_rag": "watery"},
    ),
    ("ice_in_supply", SNAP, {"frost_feel": "frost", "supply_gauge_dump": "dead"}),
    ("supply_starved", THROTTLE_OPEN, {**SAGS, "trace_supply": "thin"}),
    ("supply_tube_kinked", SNAP, {**SAGS, "trace_supply": "kinked"}),
    ("supply_low_leg", SNAP, {"trace_supply": "low", "supply_gauge_dump": "holds"}),
    ("supply_leaks", SNAP, {"supply_leak_look": "leaks", "relief_listen": "silent"}),
    ("pump_draws_supply", SNAP, {"pump_timing": "dips", "supply_gauge_dump": "sags"}),
    ("supply_dirty_gas", SNAP, {"drip_pot": "wet", "filter_pull": "packed", "takeoff_look": "right"}),
    ("supply_oil_glycol", SNAP, {"supply_rag": "slick", "filter_pull": "soaked"}),
    ("air_wet", SNAP, {"air_tank_drain": "water"}),
    ("supply_wrong_point", SNAP, {"takeoff_look": "wrong", "drip_pot": "wet"}),
    ("supply_relief_lifting", SNAP, {"relief_listen": "blows", "regulator_bonnet": "silent"}),
    (
        "supply_gauge_broken",
        SNAP,
        {"supply_gauge_second": "differs", "supply_gauge_tap": "stuck", "supply_gauge_dump": "dead"},
    ),
    ("lines_crossed", SNAP, {"supply_leak_look": "tight"}),
    ("pilot_seat_worn", SNAP, {"supply_gauge_dump": "holds", "regulator_rest": "still"}),
]
"""Fault, set-up, and what some eyes see."""


@pytest.mark.parametrize(("name", "pairing", "seen"), FAULTY)
def test_a_fault_is_seen_where_it_shows(name, pairing, seen):
    """As bad as it gets."""
    case = case_of(pairing, name)
    assert {check: EYES[check](case) for check in seen} == seen


def test_the_gauge_at_rest_tells_low_from_right_from_high():
    """At 20 psi wanted: a thin way is right at rest, and a creeping regulator nears its header's 60 psi."""
    assert gauge(SNAP, "supply_shut") == pytest.approx(0, abs=0.1)
    assert 2 < gauge(SNAP, "regulator_low") < 16
    assert 2 < gauge(SNAP, "supply_leaks") < 16
    assert gauge(SNAP, "supply_valve_pinched") == pytest.approx(20, abs=1)
    assert gauge(SNAP, "pump_draws_supply") == pytest.approx(20, abs=1)
    assert 26 < gauge(SNAP, "regulator_high") < 60
    assert 26 < gauge(SNAP, "regulator_creeps") < 60


def test_a_small_leak_foams_and_the_gauge_is_right_all_the_same():
    """Half as bad."""
    assert gauge(SNAP, "supply_leaks", severity=0.5) > 16
    assert EYES["supply_leak_look"](case_of(SNAP, "supply_leaks", severity=0.5)) == "leaks"


def test_a_leak_does_not_foam_without_pressure():
    """The supply shut, soap shows nothing."""
    assert EYES["supply_leak_look"](case_of(SNAP, "supply_leaks", "supply_shut")) == "tight"


def test_blowing_a_full_pot_does_not_cure_a_packed_filter():
    """One of the two is still in the way."""
    case = case_of(SNAP, "drip_pot_full", "filter_plugged")
    assert EYES["drip_pot"](case) == "full"
    assert EYES["after_blow"](case) == "sags"


def test_a_broken_gauge_hides_that_a_regulator_creeps():
    """What the hand sees is the gauge."""
    assert EYES["regulator_rest"](case_of(SNAP, "regulator_creeps", "supply_gauge_broken")) == "still"
