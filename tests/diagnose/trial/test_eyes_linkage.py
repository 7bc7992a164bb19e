"""What is seen of shaft, spring and lever: sound units, faults, and nothing that the check does not know."""

import pytest

from diagnose.trial.eyes_linkage import EYES
from tests.diagnose.rig.plants import PAIRINGS
from tests.diagnose.trial.units import (
    SNAP,
    SNAP_OPEN,
    THROTTLE,
    THROTTLE_OPEN,
    case_of,
)

SOUND = {
    "lever_follows_arm": "follows",
    "lever_play": "tight",
    "arm_stiff_where": "free",
    "knob_turn": "dumps",
    "knob_turn_up": "shuts",
    "knob_mark": "at_mark",
    "knob_travel": "middle",
    "level_swing": "as_set",
    "torque_mark": "in_line",
    "shaft_seal_look": "dry",
    "lever_side_look": "as_legend",
    "mount_look": "as_legend",
    "lever_contact_look": "meets",
    "lever_straight": "straight",
    "adjuster_look": "at_mark",
    "fulcrum_look": "at_mark",
    "spring_look": "right",
    "spring_rate_look": "as_sheet",
    "enclosure_look": "plumb",
    "box_inside_look": "clean",
}
"""What each check shows where nothing is wrong, by its `right` text."""


@pytest.mark.parametrize("liquid", ["water", "interface"])
@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_sound_unit_looks_sound(pairing, liquid):
    """On every unit alike."""
    case = case_of(pairing, liquid=liquid)
    assert {name: eye(case) for name, eye in EYES.items()} == SOUND


FAULTY = [
    ("set_point_high", SNAP, {"knob_turn": "dumps", "knob_mark": "turned", "level_swing": "no_dump"}),
    ("set_point_high", THROTTLE, {"knob_turn": "dumps", "knob_mark": "turned"}),
    ("set_point_low", SNAP, {"knob_turn_up": "shuts", "knob_mark": "turned"}),
    ("set_point_low", THROTTLE_OPEN, {"knob_turn_up": "shuts"}),
    (
        "torque_arm_slipped",
        SNAP,
        {"lever_follows_arm": "stays", "torque_mark": "slipped", "knob_turn_up": "no_change"},
    ),
    ("shaft_stiff", SNAP_OPEN, {"arm_stiff_where": "drag", "lever_follows_arm": "follows"}),
    ("displacer_strikes", SNAP, {"arm_stiff_where": "stop"}),
    ("shaft_seal_leaks", SNAP, {"shaft_seal_look": "blows"}),
    ("bearing_worn", THROTTLE, {"lever_play": "slack", "lever_follows_arm": "follows"}),
    ("hanger_pin_worn", THROTTLE, {"lever_play": "tight"}),
    ("lever_wrong_side", SNAP, {"lever_side_look": "other_side", "mount_look": "as_legend"}),
    ("lever_upside_down", SNAP, {"lever_contact_look": "misses", "lever_straight": "straight"}),
    ("lever_bent", THROTTLE, {"lever_straight": "bent", "lever_contact_look": "misses"}),
    ("lever_contact_off", SNAP, {"lever_contact_look": "worn", "adjuster_look": "moved"}),
    ("box_turned", SNAP, {"enclosure_look": "bent", "arm_stiff_where": "drag"}),
    ("fulcrum_in", SNAP, {"fulcrum_look": "in", "level_swing": "narrow"}),
    ("fulcrum_out", THROTTLE, {"fulcrum_look": "out", "level_swing": "wide"}),
    ("fulcrum_loose", SNAP, {"fulcrum_look": "loose", "lever_follows_arm": "stays"}),
    ("range_spring_broken", SNAP, {"spring_look": "broken", "knob_turn": "no_change"}),
    ("spring_unhooked", SNAP_OPEN, {"spring_look": "unhooked", "knob_turn": "no_change"}),
    ("range_spring_wrong_rate", SNAP, {"spring_rate_look": "other", "knob_travel": "end"}),
    ("range_spring_fouled", SNAP, {"spring_look": "fouled", "level_swing": "wide"}),
    ("range_spring_wrong_side", SNAP, {"spring_look": "other_side", "lever_side_look": "as_legend"}),
    (
        "mount_side_not_converted",
        SNAP,
        {"mount_look": "other_side", "spring_look": "other_side", "lever_side_look": "other_side"},
    ),
    ("nest_in_box", SNAP, {"box_inside_look": "nest", "arm_stiff_where": "stop"}),
    ("displacer_flooded", SNAP, {"knob_turn": "no_change", "level_swing": "no_dump"}),
    ("output_line_plugged", SNAP, {"knob_turn": "no_change", "level_swing": "no_dump"}),
    ("trim_washed_out", SNAP, {"knob_turn_up": "no_change", "level_swing": "no_dump"}),
    ("glass_cocks_shut", SNAP, {"level_swing": "narrow"}),
    ("nothing_wrong", SNAP, {"level_swing": "as_set"}),
]
"""Fault, set-up, and what some eyes see."""


@pytest.mark.parametrize(("name", "pairing", "seen"), FAULTY)
def test_a_fault_is_seen_where_it_shows(name, pairing, seen):
    """As bad as it gets."""
    case = case_of(pairing, name)
    assert {check: EYES[check](case) for check in seen} == seen


def test_a_shaft_weeps_before_it_squirts():
    """It is one fault, and what is seen depends on how far it goes."""
    case = case_of(SNAP, "shaft_seal_leaks", severity=0.5)
    assert EYES["shaft_seal_look"](case) == "seeps"


def test_a_wider_band_is_a_wider_swing():
    """A fulcrum that is out, but not so far that nothing dumps."""
    case = case_of(SNAP, "fulcrum_out", severity=0.5)
    assert EYES["level_swing"](case) == "wide"


def test_a_frozen_box_is_wet():
    """Something else that froze tells that it is cold."""
    assert EYES["box_inside_look"](case_of(SNAP, "nest_in_box", "ice_in_supply")) == "wet"


def test_two_mistakes_of_side_look_like_the_other_side_of_the_vessel():
    """Spring and lever both turned over, and the displacer left."""
    case = case_of(SNAP, "lever_wrong_side", "range_spring_wrong_side")
    assert EYES["mount_look"](case) == "other_side"
