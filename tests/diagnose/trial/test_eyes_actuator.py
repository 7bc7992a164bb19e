"""What is seen of the actuator: sound units, faults, and nothing that the check does not know."""

import pytest

from diagnose.trial.eyes_actuator import EYES
from tests.diagnose.rig.plants import PAIRINGS
from tests.diagnose.trial.units import SNAP, SNAP_OPEN, THROTTLE, THROTTLE_OPEN, case_of

SOUND = {
    "stem_watch_high": "open",
    "stem_watch_low": "shut",
    "shut_mark_look": "at_mark",
    "stem_on_lever": "full",
    "stroke_manner": "smooth",
    "stroke_no_drop": "strokes",
    "actuator_vent_feel": "silent",
    "actuator_vent_look": "clear",
    "soap_case": "dry",
    "case_side_look": "as_sheet",
    "yoke_look": "firm",
    "stem_look": "good",
    "stop_look": "clear",
    "coupling_look": "tight",
    "fail_position_look": "as_sheet",
    "test_load": "right",
    "bench_set_read": "both_right",
    "case_drain": "dry",
    "uncoupled_stroke": "top_free",
    "case_open": "sound",
}
"""What each check shows where nothing is wrong, by its `right` text."""


@pytest.mark.parametrize("liquid", ["water", "interface"])
@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_sound_unit_looks_sound(pairing, liquid):
    """On every unit alike."""
    case = case_of(pairing, liquid=liquid)
    assert {name: eye(case) for name, eye in EYES.items()} == SOUND


STUCK = {"stem_on_lever": "stays_shut", "test_load": "no_move"}
DRAGS = {"stem_on_lever": "badly", "test_load": "late", "uncoupled_stroke": "top_free"}
FAULTY = [
    (
        "actuator_diaphragm_torn",
        1.0,
        SNAP,
        {
            "actuator_vent_feel": "blows",
            "test_load": "no_move",
            "case_open": "torn",
            "stem_on_lever": "stays_shut",
        },
    ),
    ("actuator_diaphragm_torn", 1.0, SNAP_OPEN, {"stem_on_lever": "stays_open", "stem_watch_low": "open"}),
    (
        "actuator_diaphragm_pinhole",
        1.0,
        SNAP,
        {"actuator_vent_feel": "blows", "stem_on_lever": "full", "soap_case": "dry"},
    ),
    (
        "actuator_spring_broken",
        1.0,
        SNAP,
        {"test_load": "no_return", "fail_position_look": "other", "uncoupled_stroke": "top_bad"},
    ),
    ("actuator_spring_wrong", 1.0, SNAP, {"bench_set_read": "stretched", "case_open": "spring"}),
    ("actuator_spring_set_wrong", 0.5, THROTTLE, {"bench_set_read": "shifted", "case_open": "sound"}),
    ("packing_tight", 0.5, SNAP, {**DRAGS, "stem_look": "hard_down"}),
    ("packing_tight", 0.3, SNAP, {"stroke_manner": "jerks", "bench_set_read": "stretched"}),
    ("packing_tight", 1.0, SNAP, {"test_load": "no_move", "stroke_manner": "none"}),
    ("stem_galled", 0.5, THROTTLE, {**DRAGS, "stem_look": "rough"}),
    ("stem_bent", 0.5, SNAP_OPEN, {"stem_on_lever": "badly", "stem_look": "bent"}),
    (
        "water_frozen_in_case",
        1.0,
        SNAP,
        {**STUCK, "case_drain": "ice", "uncoupled_stroke": "top_bad", "actuator_vent_look": "wet"},
    ),
    ("liquid_in_case", 1.0, SNAP, {"stroke_manner": "slow", "case_drain": "liquid", "test_load": "right"}),
    ("actuator_vent_plugged", 0.5, SNAP, {"stroke_manner": "slow", "actuator_vent_look": "plugged"}),
    ("actuator_vent_plugged", 1.0, SNAP_OPEN, {"stem_on_lever": "badly", "uncoupled_stroke": "top_bad"}),
    (
        "actuator_too_small",
        1.0,
        SNAP,
        {
            "stem_on_lever": "badly",
            "stroke_no_drop": "strokes",
            "test_load": "right",
            "stem_watch_low": "between",
        },
    ),
    ("valve_back_to_front", 1.0, SNAP, {"stem_on_lever": "stays_shut", "stroke_no_drop": "strokes"}),
    (
        "wrong_fail_assembly",
        1.0,
        THROTTLE_OPEN,
        {
            "case_side_look": "turned",
            "fail_position_look": "other",
            "stem_watch_low": "open",
            "case_open": "turned",
        },
    ),
    ("pairing_wrong", 1.0, SNAP, {"case_side_look": "as_sheet", "fail_position_look": "as_sheet"}),
    ("tube_on_spring_side", 1.0, SNAP, {**STUCK, "case_side_look": "same_half"}),
    ("travel_stop_left", 1.0, SNAP, {**STUCK, "stop_look": "engaged", "uncoupled_stroke": "top_bad"}),
    ("travel_stop_left", 1.0, THROTTLE_OPEN, STUCK),
    ("travel_stop_left", 0.5, SNAP, {"stem_watch_high": "between", "stem_on_lever": "badly"}),
    ("stem_uncoupled", 1.0, SNAP, {"coupling_look": "loose", "stem_on_lever": "full"}),
    ("stem_lock_nut_slipped", 0.5, SNAP, {"coupling_look": "nut", "shut_mark_look": "short"}),
    (
        "yoke_loose",
        0.5,
        SNAP,
        {"yoke_look": "loose", "stem_on_lever": "badly", "uncoupled_stroke": "top_free"},
    ),
    ("case_joint_leaks", 1.0, SNAP, {"soap_case": "rim", "actuator_vent_feel": "silent"}),
    ("actuator_stem_seal_leaks", 1.0, SNAP, {"soap_case": "rod", "test_load": "right"}),
    ("trash_under_seat", 0.5, SNAP, {"shut_mark_look": "short", "stem_watch_low": "shut"}),
    ("trim_washed_out", 1.0, SNAP, {"shut_mark_look": "at_mark", "stem_watch_low": "shut"}),
    ("plug_off_stem", 1.0, SNAP, {"shut_mark_look": "past", "stem_watch_high": "open"}),
    (
        "supply_shut",
        1.0,
        SNAP,
        {"stem_on_lever": "stays_shut", "test_load": "right", "stem_watch_high": "shut"},
    ),
    (
        "displacer_lost",
        1.0,
        SNAP,
        {"stem_watch_low": "open", "stem_on_lever": "full", "stroke_manner": "none"},
    ),
]
"""Fault, severity, unit, what is seen of it."""


@pytest.mark.parametrize(("name", "severity", "pairing", "seen"), FAULTY)
def test_what_is_seen_of_a_fault(name, severity, pairing, seen):
    """By the eyes that should see it, and by some that should not."""
    case = case_of(pairing, name, severity=severity)
    assert {check: EYES[check](case) for check in seen} == seen


def test_a_second_fault_is_seen_beside_the_first():
    """Both show on the stem, and each by its own sign."""
    case = case_of(SNAP, "stem_galled", "case_joint_leaks", severity=0.5)
    seen = {name: EYES[name](case) for name in ("stem_look", "soap_case", "stem_on_lever")}
    assert seen == {"stem_look": "rough", "soap_case": "rim", "stem_on_lever": "stays_shut"}
