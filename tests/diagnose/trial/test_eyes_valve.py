"""What is heard and seen of the valve: sound units, faults, and nothing that the check does not know."""

import pytest

from diagnose.trial.eyes_valve import EYES
from tests.diagnose.rig.plants import PAIRINGS
from tests.diagnose.trial.units import SNAP, SNAP_OPEN, THROTTLE, THROTTLE_OPEN, case_of

SOUND = {
    "valve_listen_open": "flows",
    "valve_listen_high": "flows",
    "valve_listen_shut": "silent",
    "flush_strokes": "shuts",
    "block_in_test": "stops",
    "bleed_after": "dry",
    "bleed_before": "runs",
    "seat_knock": "lands",
    "valve_rattle": "smooth",
    "dump_time": "usual",
    "trim_tag_look": "agrees",
    "arrow_look": "with_flow",
    "leak_where": "dry",
    "body_cold_look": "alike",
    "trim_pull": "sound",
    "trim_fit_pull": "fit",
    "trim_measure": "agrees",
}
"""What each check shows where nothing is wrong, by its `right` text."""


@pytest.mark.parametrize("liquid", ["water", "interface"])
@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_sound_unit_looks_sound(pairing, liquid):
    """On every unit alike."""
    case = case_of(pairing, liquid=liquid)
    assert {name: eye(case) for name, eye in EYES.items()} == SOUND


PASSES = {"valve_listen_shut": "passes", "bleed_after": "runs", "flush_strokes": "still_passes"}
FAULTY = [
    (
        "trash_under_seat",
        0.5,
        SNAP,
        {
            "valve_listen_shut": "passes",
            "flush_strokes": "shuts",
            "trim_pull": "trash",
            "bleed_after": "runs",
        },
    ),
    ("trash_under_seat", 1.0, THROTTLE, {**PASSES, "trim_pull": "trash"}),
    ("trim_washed_out", 0.5, SNAP_OPEN, {**PASSES, "trim_pull": "washed", "block_in_test": "stops"}),
    ("seat_ring_loose", 0.5, SNAP, {**PASSES, "trim_fit_pull": "ring_loose", "valve_rattle": "rattles"}),
    ("trim_soft_parts_wrong", 0.5, SNAP, {"trim_fit_pull": "swollen", "trim_pull": "sound"}),
    ("plug_stuck_in_cage", 0.5, SNAP, {"trim_fit_pull": "stuck", "seat_knock": "nothing"}),
    (
        "plug_off_stem",
        1.0,
        SNAP,
        {
            "valve_listen_open": "silent",
            "seat_knock": "nothing",
            "trim_pull": "plug_off",
            "valve_listen_shut": "silent",
        },
    ),
    ("stem_uncoupled", 1.0, THROTTLE, {"seat_knock": "nothing", "valve_listen_high": "silent"}),
    (
        "valve_body_plugged",
        0.5,
        SNAP,
        {"valve_listen_open": "little", "trim_pull": "packed", "dump_time": "long", "bleed_before": "runs"},
    ),
    ("valve_body_frozen", 1.0, SNAP, {"body_cold_look": "iced", "valve_listen_high": "silent"}),
    (
        "trim_too_small",
        0.5,
        SNAP,
        {"trim_tag_look": "smaller", "trim_measure": "smaller", "dump_time": "long"},
    ),
    ("trim_too_large", 1.0, SNAP, {"trim_tag_look": "larger", "dump_time": "short", "valve_rattle": "slams"}),
    ("inflow_too_big", 1.0, SNAP, {"dump_time": "long", "valve_listen_open": "flows"}),
    ("trim_wrong_shape", 1.0, THROTTLE, {"trim_tag_look": "other_kind", "trim_measure": "other_kind"}),
    ("valve_back_to_front", 0.5, SNAP, {"arrow_look": "against", "valve_rattle": "slams"}),
    ("packing_leaks", 0.5, SNAP, {"leak_where": "stem", "valve_listen_shut": "silent"}),
    ("bonnet_leaks", 0.5, SNAP, {"leak_where": "cover"}),
    ("valve_flange_leaks", 0.5, SNAP, {"leak_where": "joint"}),
    ("valve_body_cut_through", 0.5, SNAP, {"leak_where": "body"}),
    (
        "bypass_passing",
        1.0,
        THROTTLE_OPEN,
        {"block_in_test": "goes_on", "valve_listen_shut": "silent", "flush_strokes": "still_passes"},
    ),
    ("block_valve_shut", 1.0, SNAP, {"valve_listen_open": "silent", "bleed_before": "runs"}),
    ("tank_valve_shut", 1.0, SNAP, {"valve_listen_high": "silent", "trim_pull": "sound"}),
    ("solids_in_vessel", 1.0, SNAP, {"bleed_before": "nothing", "valve_listen_open": "silent"}),
    ("solids_in_vessel", 0.5, SNAP, {"bleed_before": "solids"}),
    ("displacer_lost", 1.0, SNAP, {**PASSES, "body_cold_look": "colder", "block_in_test": "stops"}),
    ("supply_shut", 1.0, SNAP, {"valve_listen_high": "silent", "seat_knock": "nothing"}),
    ("line_hammers", 1.0, SNAP, {"valve_rattle": "slams", "valve_listen_open": "flows"}),
]
"""Fault, severity, unit, what is seen of it."""


@pytest.mark.parametrize(("name", "severity", "pairing", "seen"), FAULTY)
def test_what_is_seen_of_a_fault(name, severity, pairing, seen):
    """By the eyes that should see it, and by some that should not."""
    case = case_of(pairing, name, severity=severity)
    assert {check: EYES[check](case) for check in seen} == seen


def test_a_shut_line_hides_a_cut_seat_from_the_ear_and_not_from_the_bleed():
    """Nothing goes through a seat that leads into a line that is shut."""
    case = case_of(SNAP, "trim_washed_out", "tank_valve_shut")
    assert (EYES["valve_listen_shut"](case), EYES["bleed_after"](case)) == ("silent", "runs")
