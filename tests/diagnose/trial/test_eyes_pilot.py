"""What is seen of the pilot: sound units, faults, and nothing that the check does not know."""

from functools import cache

import pytest

from diagnose.trial.eyes_pilot import EYES
from knowledge.book import load_book
from tests.diagnose.rig.plants import PAIRINGS
from tests.diagnose.trial.units import SNAP, SNAP_OPEN, THROTTLE, THROTTLE_OPEN, case_of, healthy

SECTION = "pilot and ports"
SOUND = {
    "second_gauge": "same",
    "lever_by_hand": "both",
    "output_time": "quick",
    "vent_listen": "puff",
    "vent_by_state": "neither",
    "vent_flashlight": "clear",
    "vent_line_look": "open_air",
    "vent_line_off": "same",
    "pilot_tap": "nothing",
    "pilot_warm": "same",
    "pilot_shake": "tight",
    "pin_push": "springs",
    "pilot_soap": "tight",
    "ports_look": "as_legend",
    "port_roles_look": "as_legend",
    "pair_look": "suits",
    "parts_ask": "right",
    "screen_look": "clean",
    "pilot_pull": "sound",
    "pilot_rubber_look": "soft",
}
"""What each check shows where nothing is wrong, by its `right` text; the rest depends on the unit."""


@cache
def checks():
    book = load_book()
    return {name: check for name, check in book.checks.items() if book.sections[name] == SECTION}


def test_every_check_of_the_section_has_an_eye():
    """And no eye is for anything else."""
    assert set(EYES) == set(checks())


@pytest.mark.parametrize("liquid", ["water", "interface"])
@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_sound_unit_looks_sound(pairing, liquid):
    """Both readings too: full where that opens the valve and the level is high, else nothing."""
    action, acting, _ = pairing
    case = case_of(pairing, liquid=liquid)
    seen = {name: eye(case) for name, eye in EYES.items()}
    high, low = seen.pop("output_gauge"), seen.pop("output_gauge_low")
    full, nothing = (high, low) if acting == "direct" else (low, high)
    assert full == pytest.approx(case.plant.pilot.full, rel=0.02)
    assert nothing == pytest.approx(0, abs=1e3)
    assert seen == {
        **SOUND,
        "lever_half_way": "jumps" if action == "snap" else "stands",
        "which_way": "up" if acting == "direct" else "down",
    }


FAULTY = [
    ("pilot_gummed", SNAP, {"pin_push": "sticks", "pilot_pull": "gummed", "vent_listen": "silent"}),
    ("pilot_gummed", THROTTLE, {"lever_half_way": "dead", "which_way": "stays"}),
    (
        "pilot_seat_worn",
        SNAP,
        {"vent_by_state": "down", "vent_listen": "steady", "lever_by_hand": "part", "pilot_pull": "seat"},
    ),
    ("pilot_vent_seat_worn", SNAP_OPEN, {"vent_by_state": "up", "vent_listen": "steady"}),
    ("pilot_diaphragm_cracked", THROTTLE, {"vent_by_state": "up", "pilot_pull": "diaphragm"}),
    (
        "vent_blocked",
        SNAP,
        {"vent_flashlight": "blocked", "vent_listen": "silent", "output_time": "slow_down"},
    ),
    ("vent_plug_fitted", SNAP_OPEN, {"vent_flashlight": "plug", "lever_by_hand": "stays_high"}),
    (
        "vent_line_back_pressure",
        SNAP,
        {"vent_line_look": "header", "vent_line_off": "better", "output_time": "slow_down"},
    ),
    ("ports_swapped", SNAP, {"port_roles_look": "swapped", "lever_half_way": "stands", "which_way": "down"}),
    ("ports_swapped", THROTTLE_OPEN, {"port_roles_look": "swapped", "lever_half_way": "jumps"}),
    ("shipping_plug_left", SNAP, {"ports_look": "plug_left", "lever_by_hand": "stays_low"}),
    ("spare_port_open", SNAP, {"ports_look": "open_port", "pilot_soap": "port"}),
    ("pilot_body_leaks", THROTTLE, {"pilot_soap": "joint", "lever_by_hand": "part"}),
    ("lines_crossed", SNAP, {"ports_look": "crossed", "vent_by_state": "down"}),
    ("pilot_screen_plugged", SNAP, {"screen_look": "plugged", "output_time": "slow_up"}),
    ("pilot_spring_weak", SNAP, {"pin_push": "limp", "vent_by_state": "down", "lever_by_hand": "stays_high"}),
    ("pilot_loose", SNAP, {"pilot_shake": "loose"}),
    ("pilot_pin_bad", THROTTLE, {"pin_push": "sticks", "pilot_pull": "pin", "lever_by_hand": "stays_low"}),
    ("pilot_pin_bad", SNAP, {"lever_by_hand": "stays_high"}),
    ("wrong_pilot_parts", THROTTLE, {"parts_ask": "wrong", "pilot_pull": "parts", "lever_by_hand": "part"}),
    ("pilot_rubber_bad", SNAP, {"pilot_rubber_look": "swollen", "pilot_warm": "same", "pin_push": "sticks"}),
    ("output_gauge_lies", SNAP, {"second_gauge": "differs", "lever_by_hand": "stays_low"}),
    ("pairing_wrong", SNAP, {"pair_look": "does_not"}),
    ("supply_shut", THROTTLE, {"lever_by_hand": "stays_low", "vent_by_state": "neither"}),
]
"""Fault, set-up, and what some eyes see."""


@pytest.mark.parametrize(("name", "pairing", "seen"), FAULTY)
def test_a_fault_is_seen_where_it_shows(name, pairing, seen):
    """As bad as it gets."""
    case = case_of(pairing, name)
    assert {check: EYES[check](case) for check in seen} == seen


def test_cold_makes_spoilt_rubber_hard_and_warmth_mends_it_for_a_while():
    """The cold shows by another fault that only comes with it."""
    case = case_of(SNAP, "pilot_rubber_bad", "output_line_frozen")
    assert EYES["pilot_rubber_look"](case) == "hard"
    assert EYES["pilot_warm"](case) == "better"


def test_the_gauge_is_read_as_the_plant_is_found_when_the_level_is_out_of_its_band():
    """A plugged body floods the vessel with the output right; no supply does so with nothing on the gauge."""
    right, none = (
        EYES["output_gauge"](case_of(SNAP, name)) for name in ("valve_body_plugged", "supply_shut")
    )
    assert right == pytest.approx(healthy(SNAP)[1].pilot.full, rel=0.02)
    assert none == pytest.approx(0, abs=1e3)


def test_a_gauge_that_lies_is_read_as_it_lies():
    """Half the pressure at half severity, with the same pressure there."""
    half, whole = (EYES["output_gauge"](case_of(SNAP, *names, severity=0.5)) for names in LIES)
    assert half == pytest.approx(whole / 2, rel=0.02)


LIES = [("output_gauge_lies", "valve_body_plugged"), ("valve_body_plugged",)]
