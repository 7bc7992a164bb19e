"""What is seen of the output line: sound units, faults, and nothing that the check does not know."""

import pytest

from diagnose.trial.eyes_output import EYES
from tests.diagnose.rig.plants import PAIRINGS
from tests.diagnose.trial.units import (
    SNAP,
    SNAP_OPEN,
    THROTTLE,
    THROTTLE_OPEN,
    case_of,
)

SOUND = {
    "soap_output": "none",
    "block_output": "holds",
    "gas_at_valve": "comes",
    "gauge_at_valve": "at_once",
    "trapped_at_valve": "nothing",
    "blow_line": "free",
    "output_frost": "none",
    "trace_line": "whole",
    "other_stem_watch": "still",
    "output_device_look": "clear",
    "device_tap": "no_change",
    "device_vent_feel": "silent",
    "restriction_look": "right",
    "booster_gauges": "follows",
}
"""What each check shows where nothing is wrong, by its `right` text."""


@pytest.mark.parametrize("liquid", ["water", "interface"])
@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_sound_unit_looks_sound(pairing, liquid):
    """On every unit alike."""
    case = case_of(pairing, liquid=liquid)
    assert {name: eye(case) for name, eye in EYES.items()} == SOUND


BLOCKED = {"gas_at_valve": "nothing", "gauge_at_valve": "never"}
FAULTY = [
    ("output_fitting_leaks", SNAP, {"soap_output": "bubbles", "block_output": "falls"}),
    ("output_tube_chafed", SNAP_OPEN, {"soap_output": "tube", "block_output": "falls"}),
    ("volume_bottle_leaks", THROTTLE, {"soap_output": "bottle", "block_output": "falls"}),
    ("output_line_plugged", SNAP, {**BLOCKED, "blow_line": "tube", "trapped_at_valve": "nothing"}),
    ("output_line_plugged", SNAP_OPEN, {"trapped_at_valve": "trapped"}),
    ("output_line_frozen", SNAP, {**BLOCKED, "output_frost": "icy", "blow_line": "tube"}),
    ("output_line_frozen", THROTTLE_OPEN, {"gauge_at_valve": "never", "trapped_at_valve": "trapped"}),
    ("output_line_kinked", THROTTLE, {**BLOCKED, "trace_line": "kinked"}),
    ("output_cock_shut", SNAP, {**BLOCKED, "trace_line": "cock", "blow_line": "device"}),
    ("output_device_stuck", SNAP, {**BLOCKED, "device_tap": "lets_go", "blow_line": "device"}),
    ("output_device_leaks", SNAP, {"device_vent_feel": "blows", "soap_output": "none"}),
    ("output_shutdown_acts", SNAP, {**BLOCKED, "output_device_look": "tripped"}),
    ("output_restriction_shut", THROTTLE, {"restriction_look": "shut"}),
    ("restriction_lost", SNAP, {"restriction_look": "missing", "gauge_at_valve": "at_once"}),
    ("booster_wrong", THROTTLE, {"booster_gauges": "differs", "gauge_at_valve": "slow"}),
    ("line_to_wrong_valve", SNAP, {**BLOCKED, "trace_line": "wrong", "other_stem_watch": "moves"}),
    ("output_line_small", THROTTLE, {"gauge_at_valve": "slow", "blow_line": "free"}),
    ("spare_port_open", SNAP, {"block_output": "holds", "soap_output": "none"}),
    ("case_joint_leaks", SNAP, {"block_output": "falls", "soap_output": "none"}),
    ("supply_shut", SNAP, {"gas_at_valve": "nothing", "block_output": "holds"}),
]
"""Fault, set-up, and what some eyes see."""


@pytest.mark.parametrize(("name", "pairing", "seen"), FAULTY)
def test_a_fault_is_seen_where_it_shows(name, pairing, seen):
    """As bad as it gets."""
    case = case_of(pairing, name)
    assert {check: EYES[check](case) for check in seen} == seen


def test_no_other_valve_moves_where_nothing_is_sent():
    """Two tubes that changed places show nothing with the supply shut."""
    assert EYES["other_stem_watch"](case_of(SNAP, "line_to_wrong_valve", "supply_shut")) == "still"


def test_a_leak_does_not_foam_without_pressure():
    """The supply shut, soap shows nothing."""
    assert EYES["soap_output"](case_of(SNAP, "output_fitting_leaks", "supply_shut")) == "none"


def test_a_half_shut_needle_slows_and_a_shut_one_stops():
    """It is one fault, and what is at the valve depends on how far it goes."""
    seen = {s: EYES["gauge_at_valve"](case_of(SNAP, "output_restriction_shut", severity=s)) for s in (0.5, 1)}
    assert seen == {0.5: "slow", 1: "never"}
