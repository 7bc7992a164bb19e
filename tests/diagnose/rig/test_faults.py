"""Faults: each changes something, and well-known ones do what the trade says."""

from functools import cache

import numpy as np
import pytest

from diagnose.loop import mistakes
from diagnose.rig.faults import FAULTS, with_fault
from diagnose.rig.hands import Hand
from diagnose.rig.outlet import after_valve, way_out
from diagnose.rig.parts import Inflow
from diagnose.rig.plant import plant_of
from diagnose.rig.run import run
from diagnose.rig.state import start_of
from tests.diagnose.rig.plants import INTERFACE, PAIRINGS, sheet

SNAP, SNAP_OPEN, THROTTLE, THROTTLE_OPEN = PAIRINGS
CLOSED, OPEN = (SNAP, THROTTLE), (SNAP_OPEN, THROTTLE_OPEN)
PLAYED = 3000
"""s; time enough for the vessel to fill to its high trip."""
MISTAKE = {
    "lever": "lever_wrong_side",
    "ports": "ports_swapped",
    "spring": "range_spring_wrong_side",
    "displacer": "mount_side_not_converted",
    "pairing": "pairing_wrong",
}
"""The mistakes of `diagnose.loop` and the faults that put them in."""


@cache
def healthy(pairing):
    """A plant, and its state after a quarter of an hour."""
    plant = plant_of(sheet(pairing))
    return plant, run(plant, 900, seed=1).end


def ill(pairing, name, severity=1.0, seconds=PLAYED, hands=()):
    """(Plant with the fault, what it does from then on)."""
    plant, state = healthy(pairing)
    faulty = with_fault(plant, name, severity)
    return faulty, run(faulty, seconds, seed=2, hands=hands, start=state)


@cache
def goes(pairing, name, severity=1.0):
    """What becomes of the level: floods (to the high trip first), empties or holds."""
    plant, trace = ill(pairing, name, severity)
    high, low = trace.held >= plant.vessel.high_trip, trace.held <= plant.vessel.low_trip
    if not (high.any() or low.any()):
        return "holds"
    return "floods" if not low.any() or (high.any() and high.argmax() < low.argmax()) else "empties"


@pytest.mark.parametrize("name", FAULTS)
def test_every_fault_changes_the_plant_and_more_when_it_is_worse(name):
    """At no severity it is the healthy plant; at half and at full severity it is another one."""
    values = sheet() if FAULTS[name].only != "interface" else {**sheet(), **INTERFACE}
    plant = plant_of(values)
    assert FAULTS[name].fits(plant)
    assert with_fault(plant, name, 0.0) == plant
    half, full = with_fault(plant, name, 0.5), with_fault(plant, name, 1.0)
    assert half != plant
    assert full != plant
    assert plant == plant_of(values)
    with pytest.raises(ValueError, match="severity"):
        with_fault(plant, name, 1.5)


@pytest.mark.parametrize("name", FAULTS)
def test_every_fault_can_be_played(name):
    """Both fail positions, two liquids: every value stays a number and liquid is conserved."""
    for pairing in (SNAP, THROTTLE_OPEN):
        plant = with_fault(plant_of({**sheet(pairing), **INTERFACE}), name)
        trace = run(plant, 120, seed=4)
        assert all(np.isfinite(column).all() for column in trace.columns.values())
        left = 0.25 * float(np.sum(trace.flow + trace.columns["over"] + trace.columns["spilled"]))
        more = trace.end.lower + trace.end.upper - trace.start.lower - trace.start.upper
        came = 0.25 * float(np.sum(trace.lower_in + trace.upper_in))
        assert came - left == pytest.approx(more, abs=1e-9)


def worth_seeing(trace):
    """Each thing that a trace shows, and how much of it is worth seeing."""
    pressures = dict.fromkeys(("supply", "output", "case"), 5e3)
    sizes = {"level": 0.02, "stem": 0.05, "flow": 5e-5, "vent": 3e-5, "spilled": 1e-6, "gas_by": 0.01}
    shown = [(trace.columns[name], size) for name, size in (pressures | sizes).items()]
    shown += [(trace.glass, 0.02), (trace.readout, 0.02)]
    shown += [(trace.supply_gauge, 5e3), (trace.output_gauge, 5e3)]
    return shown + [(leak, 2e-5) for leak in trace.leaks.values()]


@pytest.mark.parametrize("name", FAULTS)
def test_every_fault_shows_at_half_severity(name):
    """Something differs from the healthy plant as it runs or when the lever is moved by hand."""
    values = sheet() if FAULTS[name].only != "interface" else {**sheet(), **INTERFACE}
    plant, hands = plant_of(values), [Hand("hold_lever", 400, 430, 1.5), Hand("hold_lever", 430, 460, -0.5)]
    well, sick = (run(each, 460, seed=2, hands=hands) for each in (plant, with_fault(plant, name, 0.5)))
    pairs = zip(worth_seeing(well), worth_seeing(sick), strict=True)
    assert any(np.abs(one - other).max() > size for (one, size), (other, _) in pairs)


FLOODS_OR_EMPTIES = [
    ("supply_shut", "floods", "empties"),
    ("header_down", "floods", "empties"),
    ("actuator_diaphragm_torn", "floods", "empties"),
    ("output_shutdown_acts", "floods", "empties"),
    ("spare_port_open", "floods", "empties"),
    ("displacer_lost", "empties", "empties"),
    ("displacer_floats", "empties", "empties"),
    ("torque_arm_slipped", "empties", "empties"),
    ("displacer_flooded", "floods", "floods"),
    ("displacer_coated", "floods", "floods"),
    ("range_spring_broken", "floods", "floods"),
    ("inflow_too_big", "floods", "floods"),
    ("block_valve_shut", "floods", "floods"),
    ("plug_off_stem", "floods", "floods"),
    ("valve_body_plugged", "floods", "floods"),
    ("trim_too_small", "floods", "floods"),
    ("back_pressure_high", "floods", "floods"),
    ("vessel_pressure_low", "floods", "floods"),
    ("bypass_passing", "empties", "empties"),
    ("trash_under_seat", "empties", "empties"),
    ("trim_washed_out", "empties", "empties"),
]
"""Fault, what becomes of a valve that fails closed, of one that fails open."""


@pytest.mark.parametrize(("name", "closed", "opened"), FLOODS_OR_EMPTIES)
def test_what_a_fault_does_to_the_level(name, closed, opened):
    """With snap and throttling action alike."""
    assert [goes(pairing, name) for pairing in CLOSED] == [closed, closed]
    assert [goes(pairing, name) for pairing in OPEN] == [opened, opened]


@pytest.mark.parametrize("pairing", PAIRINGS[:2])
def test_fulcrum_in_cycles_more_and_out_not_at_all(pairing):
    """Inward narrows the band; outward the displacer cannot work the pilot."""
    plain = len(run(healthy(pairing)[0], PLAYED, seed=2, start=healthy(pairing)[1]).dumps())
    assert len(ill(pairing, "fulcrum_in")[1].dumps()) > 3 * plain
    assert goes(pairing, "fulcrum_out") == "floods"


@pytest.mark.parametrize("pairing", PAIRINGS)
def test_the_knob_shifts_the_level(pairing):
    """A spring that carries less holds a higher level, one that carries more a lower one."""
    low, high = (
        ill(pairing, name, 0.4)[1].held[-6000:].mean() for name in ("set_point_low", "set_point_high")
    )
    plain = run(healthy(pairing)[0], PLAYED, seed=2, start=healthy(pairing)[1]).held[-6000:].mean()
    assert low < plain - 0.01 < plain + 0.01 < high


@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_worn_supply_seat_blows_at_the_vent_and_leaves_some_output(pairing):
    """With the lever held where the output should be nothing."""
    low = -0.5 if pairing[1] == "direct" else 1.5
    held = [Hand("hold_lever", 0, 300, low)]
    plant, trace = ill(pairing, "pilot_seat_worn", seconds=300, hands=held)
    assert trace.output[-1] > 0.2 * plant.pilot.full
    assert trace.vent[-1] > 5e-5
    well = run(healthy(pairing)[0], 300, hands=held)
    assert well.output[-1] < 0.01 * plant.pilot.full
    assert well.vent[-1] < 1e-6


def test_a_torn_diaphragm_blows_only_while_it_is_loaded():
    """At the vent of the spring side."""
    hands = [Hand("hold_lever", 0, 60, 1.5), Hand("hold_lever", 60, 120, -0.5)]
    _, trace = ill(SNAP, "actuator_diaphragm_pinhole", seconds=120, hands=hands)
    assert trace.leaks["actuator_vent"][200] > 1e-4
    assert trace.leaks["actuator_vent"][-1] < 1e-5


@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_shut_block_valve_is_passed_by_the_bypass_and_a_shut_tank_valve_is_not(pairing):
    """That is how a bypass parts the valve from the line after it."""
    hands = [Hand("open_bypass", 0, 60, 0.5)]
    assert ill(pairing, "block_valve_shut", seconds=60, hands=hands)[1].flow[-1] > 1e-4
    assert ill(pairing, "tank_valve_shut", seconds=60, hands=hands)[1].flow[-1] == 0


def test_a_plugged_line_holds_the_vessels_pressure_after_the_valve():
    """And a clear one the pressure of its end."""
    plant = healthy(SNAP)[0]

    def way(one):
        return way_out(one.valve, one.discharge, one.liquids, one.vessel.pressure, one.atmosphere)

    assert after_valve(way(with_fault(plant, "strainer_plugged")), 0.0) == pytest.approx(
        plant.vessel.pressure
    )
    assert after_valve(way(plant), 0.0) < 0.5 * plant.vessel.pressure


@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_starved_supply_sags_when_the_valve_moves_and_is_right_at_rest(pairing):
    """Such a gauge must be read while the valve is stroked."""
    lift = [Hand("hold_lever", 100, 200, 1.5 if pairing[1] == "direct" else -0.5)]
    calm = [Hand("hold_lever", 0, 100, -0.5 if pairing[1] == "direct" else 1.5)]
    plant, trace = ill(pairing, "supply_starved", seconds=200, hands=calm + lift)
    assert trace.supply[390] > 0.85 * plant.pilot.full
    assert trace.supply[400:].min() < 0.75 * plant.pilot.full
    well = run(healthy(pairing)[0], 200, hands=calm + lift)
    assert well.supply[400:].min() > 0.93 * plant.pilot.full


@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_blocked_output_line_shows_a_right_output_and_a_case_that_does_not_follow(pairing):
    """Full at the controller, nothing at the valve, or the other way round."""
    hands = [Hand("hold_lever", 0, 60, 1.5), Hand("hold_lever", 60, 120, -0.5)]
    plant, trace = ill(pairing, "output_line_kinked", seconds=120, hands=hands)
    full = plant.pilot.full
    assert np.ptp(trace.output[[230, -1]]) > 0.9 * full
    assert np.ptp(trace.case) < 0.01 * full


def test_tight_packing_moves_late():
    """It takes more pressure to start."""
    hands = [Hand("hold_lever", 0, 60, -0.5), Hand("hold_lever", 60, 90, 1.5)]
    plant, trace = ill(SNAP, "packing_tight", 0.5, 90, hands)
    well = run(healthy(SNAP)[0], 90, hands=hands)
    late, soon = (one.case[240:][one.stem[240:] > 0.01][0] for one in (trace, well))
    assert late > soon + 0.1 * plant.pilot.full


def test_a_plugged_vent_keeps_the_output_that_is_there():
    """Snap: a valve that fails closed stays open once it was opened, one that fails open shut."""
    assert [goes(pairing, "vent_plug_fitted") for pairing in PAIRINGS[:2]] == ["empties", "floods"]


@pytest.mark.parametrize("pairing", PAIRINGS)
def test_a_plugged_glass_stands_still_while_the_level_goes(pairing):
    """And the controller goes on right."""
    _, trace = ill(pairing, "glass_plugged")
    assert np.ptp(trace.glass) == 0
    assert goes(pairing, "glass_plugged") == "holds"


def stands(plant, share):
    """(Output, stem) at rest with the level at a share of the displacer, and no flow in or out."""
    own = plant.displacer
    begun = start_of(plant, own.bottom + share * own.length)
    shut = [Hand("open_block_valve", 0, 99, 0.0)]
    trace = run(plant, 90, inflow=Inflow(0.0), hands=shut, start=begun)
    return trace.output[-1] / plant.pilot.full, trace.stem[-1]


@pytest.mark.parametrize("pairing", PAIRINGS)
@pytest.mark.parametrize("count", [1, 2])
def test_set_up_mistakes_do_what_the_logic_of_the_loop_says(pairing, count):
    """Every mistake and every pair: whether it dumps on a rising level, and which way the output goes."""
    tried = [each for each in mistakes(pairing[0], pairing[1]) if len(each.names) == count]
    assert tried
    for mistake in tried:
        plant = healthy(pairing)[0]
        for name in mistake.names:
            plant = with_fault(plant, MISTAKE[name])
        low, high = (stands(plant, share) for share in (0.0, 0.99))
        moves = {"rises": high[0] > low[0] + 0.5, "falls": high[0] < low[0] - 0.5}
        moves["stands still"] = abs(high[0] - low[0]) < 0.01
        assert moves[str(mistake.will_do.output_moves)], mistake.names
        assert (high[1] > low[1] + 0.5) == mistake.will_do.dumps, mistake.names
