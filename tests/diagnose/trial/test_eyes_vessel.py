"""What a hand sees of level, liquid, displacer and dump line: sound units look sound, and faults show."""

from functools import cache

import pytest

from diagnose.rig.plant import plant_of
from diagnose.rig.run import run
from diagnose.trial import eyes_discharge, eyes_displacer, eyes_vessel
from diagnose.trial.case import FOUND, Case
from knowledge.book import load_book
from tests.diagnose.rig.plants import INTERFACE, PAIRINGS, sheet

EYES = {**eyes_vessel.EYES, **eyes_displacer.EYES, **eyes_discharge.EYES}
SECTIONS = ("vessel and liquid", "displacer and arm", "discharge piping")
BOOK = load_book()
SET_UPS = [(pairing, two) for pairing in PAIRINGS for two in (False, True)]
"""(Pairing, whether there are two liquids)."""
SNAP, TWO = (PAIRINGS[0], False), (PAIRINGS[3], True)
SOUND = {
    "level_glass": "normal",
    "glass_cocks": "free",
    "glass_handles_look": "open",
    "glass_liquid_look": "same",
    "shell_level": "agrees",
    "readout_against_glass": "agrees",
    "dump_count": "dumped",
    "dump_rhythm": "usual",
    "sample_look": "clean",
    "sample_weigh": "as_set",
    "jar_from_dump": "clean",
    "chemical_look": "as_usual",
    "vessel_temperature": "usual",
    "weir_look": "own",
    "water_leg_look": "right",
    "sand_drain": "clean",
    "dump_gurgle": "solid",
    "vessel_pressure": "normal",
    "inflow_look": "usual",
    "glass_bob": "still",
    "vessel_level_look": "level",
    "arm_feel": "free",
    "arm_weigh": "usual",
    "arm_follows_level": "follows",
    "arm_twitch_look": "still",
    "arm_slope_look": "level",
    "displacer_fits": "fits",
    "job_paper_look": "as_sheet",
    "nozzle_plumb_look": "straight",
    "cage_valves_look": "open",
    "cage_drain": "back",
    "displacer_pull": "sound",
    "hang_look": "good",
    "well_look": "clear",
    "block_valves_look": "open",
    "block_valve_turn": "bites",
    "bypass_crack": "goes",
    "bypass_feel": "shut",
    "pressures_look": "enough",
    "dump_line_gauge": "low",
    "line_gauge_watch": "steady",
    "battery_ask": "usual",
    "strainer_drop": "normal",
    "meter_look": "counts",
    "check_valve_listen": "works",
    "after_dump_listen": "still",
    "line_frost_look": "none",
    "wax_look": "clean",
    "line_leak_walk": "dry",
    "trip_look": "clear",
    "hammer_listen": "quiet",
    "siphon_look": "broken",
}
"""The outcome of a unit that is all right, by what the book's check says is right."""


@cache
def healthy(set_up):
    """A healthy plant and what it does."""
    pairing, two = set_up
    plant = plant_of({**sheet(pairing), **(INTERFACE if two else {})})
    return plant, run(plant, FOUND)


def case(set_up=SNAP, **faults):
    plant, usual = healthy(set_up)
    return Case({}, plant, faults, before=usual)


def test_there_is_an_eye_for_every_check_of_its_sections():
    """And for no other; each sound outcome is one of the check's."""
    assert set(EYES) == {name for name in BOOK.checks if BOOK.sections[name] in SECTIONS} == set(SOUND)
    assert all(SOUND[name] in BOOK.checks[name].outcomes for name in EYES)


@pytest.mark.parametrize("set_up", SET_UPS)
def test_a_sound_unit_looks_sound(set_up):
    """All eight: to every eye."""
    found = case(set_up)
    assert {name: eye(found) for name, eye in EYES.items()} == SOUND


SHOWS = [
    (
        SNAP,
        "glass_plugged",
        1.0,
        {"glass_cocks": "sluggish", "shell_level": "differs", "level_glass": "high"},
    ),
    (SNAP, "glass_cocks_shut", 1.0, {"glass_cocks": "sluggish", "level_glass": "normal"}),
    (SNAP, "glass_other_liquid", 1.0, {"glass_cocks": "free", "readout_against_glass": "differs"}),
    (SNAP, "nothing_wrong", 1.0, {"dump_count": "dumped", "level_glass": "normal", "inflow_look": "usual"}),
    (SNAP, "supply_shut", 1.0, {"dump_count": "not_dumped", "level_glass": "high", "bypass_crack": "goes"}),
    (SNAP, "trash_under_seat", 1.0, {"dump_count": "dumped", "level_glass": "low", "meter_look": "counts"}),
    (SNAP, "fulcrum_in", 1.0, {"dump_rhythm": "even"}),
    (
        SNAP,
        "wave_at_displacer",
        1.0,
        {"dump_rhythm": "odd", "arm_twitch_look": "twitches", "glass_bob": "bobs"},
    ),
    (SNAP, "displacer_swings", 1.0, {"arm_twitch_look": "twitches", "glass_bob": "still"}),
    (SNAP, "weir_swamped", 1.0, {"sample_weigh": "lighter", "jar_from_dump": "quick"}),
    (SNAP, "liquid_heavier", 1.0, {"sample_weigh": "heavier"}),
    (TWO, "interface_too_alike", 1.0, {"sample_weigh": "alike", "arm_follows_level": "stays"}),
    (TWO, "bypass_passing", 1.0, {"jar_from_dump": "quick", "bypass_feel": "open"}),
    (TWO, "water_leg_off", 1.0, {"level_glass": "low", "bypass_feel": "shut"}),
    (SNAP, "vessel_pressure_low", 1.0, {"vessel_pressure": "low", "pressures_look": "too_little"}),
    (SNAP, "inflow_too_big", 1.0, {"inflow_look": "more", "level_glass": "high"}),
    (SNAP, "solids_in_vessel", 0.5, {"sand_drain": "sandy"}),
    (
        SNAP,
        "solids_in_vessel",
        1.0,
        {"sand_drain": "nothing", "bypass_crack": "nothing", "dump_line_gauge": "low"},
    ),
    (SNAP, "displacer_lost", 1.0, {"arm_feel": "light", "arm_weigh": "none", "arm_slope_look": "at_stop"}),
    (SNAP, "displacer_floats", 0.5, {"arm_feel": "light", "displacer_fits": "floats", "level_glass": "low"}),
    (SNAP, "displacer_flooded", 0.5, {"arm_weigh": "much_more", "arm_follows_level": "stays"}),
    (SNAP, "displacer_coated", 0.5, {"arm_weigh": "more", "displacer_pull": "coated"}),
    (SNAP, "displacer_strikes", 1.0, {"arm_feel": "binds", "arm_follows_level": "stays"}),
    (SNAP, "displacer_too_small", 1.0, {"displacer_fits": "weak", "arm_feel": "free"}),
    (SNAP, "cage_valves_shut", 1.0, {"cage_drain": "slow", "arm_follows_level": "stays"}),
    (SNAP, "stilling_well_plugged", 0.5, {"cage_drain": "back", "arm_follows_level": "lags"}),
    (SNAP, "displacer_wrong_height", 1.0, {"hang_look": "wrong"}),
    (SNAP, "block_valve_shut", 1.0, {"bypass_crack": "goes", "meter_look": "stands"}),
    (SNAP, "tank_valve_shut", 1.0, {"bypass_crack": "nothing", "dump_line_gauge": "high"}),
    (
        SNAP,
        "block_valve_pinched",
        1.0,
        {"bypass_crack": "goes", "dump_line_gauge": "high", "meter_look": "counts"},
    ),
    (
        SNAP,
        "paraffin_in_line",
        1.0,
        {"bypass_crack": "goes", "dump_line_gauge": "high", "meter_look": "counts"},
    ),
    (SNAP, "shutdown_holds_outlet", 1.0, {"bypass_crack": "nothing", "dump_line_gauge": "low"}),
    (SNAP, "back_pressure_high", 0.5, {"pressures_look": "too_little", "dump_line_gauge": "high"}),
    (SNAP, "check_stuck_open", 1.0, {"after_dump_listen": "back", "line_gauge_watch": "jumps"}),
    (SNAP, "other_dump_pushes", 1.0, {"after_dump_listen": "still", "line_gauge_watch": "jumps"}),
    (SNAP, "bypass_seat_leaks", 1.0, {"bypass_feel": "passes"}),
    (SNAP, "line_parted", 1.0, {"line_leak_walk": "leak", "dump_count": "not_dumped"}),
    (SNAP, "restriction_lost", 1.0, {"hammer_listen": "bangs"}),
]
"""(Set-up, fault, severity, what some eyes see)."""


@pytest.mark.parametrize(("set_up", "fault", "severity", "seen"), SHOWS)
def test_a_fault_shows_where_a_hand_would_see_it(set_up, fault, severity, seen):
    """Through the plant, and for what is the same in the plant by the state of a part."""
    found = case(set_up, **{fault: severity})
    assert {name: EYES[name](found) for name in seen} == seen


def test_a_second_fault_is_seen_beside_the_first():
    """A plugged strainer behind a shut supply, a lost displacer in a vessel that floods."""
    found = case(supply_shut=1.0, strainer_plugged=1.0)
    assert (EYES["bypass_crack"](found), EYES["strainer_drop"](found)) == ("nothing", "high")
    found = case(block_valve_shut=1.0, displacer_lost=1.0)
    assert (EYES["arm_weigh"](found), EYES["level_glass"](found)) == ("none", "high")
