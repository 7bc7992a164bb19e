"""Healthy plants over time: liquid is conserved, levels are held, the same seed gives the same run."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.rig.hands import Hand
from diagnose.rig.parts import Inflow
from diagnose.rig.plant import plant_of
from diagnose.rig.run import STEP, run
from tests.diagnose.rig.plants import INTERFACE, PAIRINGS, sheet

KINDS = [(pairing, more) for pairing in PAIRINGS for more in ({}, INTERFACE)]


def gone(trace):
    """Liquid that left the vessel, m3."""
    return STEP * float(np.sum(trace.flow + trace.columns["over"] + trace.columns["spilled"]))


def come(trace):
    """Liquid that came into the vessel, m3."""
    return STEP * float(np.sum(trace.lower_in + trace.upper_in))


@settings(max_examples=12, deadline=None)
@given(
    kind=st.sampled_from(KINDS),
    size=st.floats(0.0, 30.0),
    slug=st.floats(1.0, 8.0),
    seed=st.integers(0, 2**32),
    bypass=st.floats(0.0, 1.0),
)
def test_liquid_is_conserved(kind, size, slug, seed, bypass):
    """What came in, less what left, is what the vessel holds more, whether it floods, empties or dumps."""
    plant = plant_of({**sheet(kind[0]), **kind[1]})
    inflow = Inflow(size * plant.inflow.lower, size * plant.inflow.upper, 0.3, 120.0, slug, 20.0)
    trace = run(plant, 400, seed, inflow, [Hand("open_bypass", 100, 300, bypass)])
    more = trace.end.lower + trace.end.upper - trace.start.lower - trace.start.upper
    assert come(trace) - gone(trace) == pytest.approx(more, abs=1e-9)
    assert min(trace.columns["lower"].min(), trace.columns["upper"].min()) >= -1e-12


@pytest.mark.parametrize(("pairing", "more"), KINDS)
def test_a_healthy_plant_holds_its_level(pairing, more):
    """For an hour, under noise, the level stays between the trips and near its band, and all goes out."""
    plant = plant_of({**sheet(pairing), **more})
    trace = run(plant, 3600, seed=5)
    own = plant.displacer
    height = own.length if own.hung == "upright" else own.diameter
    assert plant.vessel.low_trip < trace.held.min()
    assert trace.held.max() < plant.vessel.high_trip
    assert own.bottom < trace.held.min()
    assert trace.held.max() < own.bottom + height
    assert gone(trace) == pytest.approx(come(trace), rel=0.2)
    if pairing[0] == "snap":
        assert len(trace.dumps()) >= 3
    else:
        assert not trace.dumps()
        assert np.ptp(trace.held[7200:]) < 0.3 * height


@pytest.mark.parametrize("pairing", PAIRINGS)
def test_the_same_seed_gives_the_same_run(pairing):
    """And another seed another one."""
    plant = plant_of(sheet(pairing))
    first, again, other = (run(plant, 300, seed) for seed in (7, 7, 8))
    assert all(np.array_equal(first.columns[name], again.columns[name]) for name in first.columns)
    assert not np.array_equal(first.lower_in, other.lower_in)


def test_slugs_keep_the_mean_flow():
    """Slugs of four times the flow, a tenth of the time: over ten days the mean stays."""
    plant = plant_of(sheet())
    inflow = Inflow(0.001, slug_every=600.0, slug_size=4.0, slug_seconds=60.0)
    flow = run(plant, 864_000, seed=3, inflow=inflow, step=60.0).lower_in
    assert flow.mean() == pytest.approx(0.001, rel=0.1)
    assert flow.max() == pytest.approx(0.004)


def test_a_run_goes_on_where_another_ended():
    """Two halves are the whole when nothing in the inflow is left to chance."""
    plant = plant_of(sheet())
    even = Inflow(plant.inflow.lower)
    whole = run(plant, 1200, inflow=even)
    first = run(plant, 600, inflow=even)
    second = run(plant, 600, inflow=even, start=first.end)
    assert second.end == whole.end


@pytest.mark.parametrize("pairing", PAIRINGS)
def test_hands_do_what_they_say(pairing):
    """A lifted lever opens the valve whichever way it fails, and a lowered one shuts it."""
    plant = plant_of(sheet(pairing))
    hands = [Hand("hold_lever", 10, 40, 1.5), Hand("hold_lever", 40, 80, -0.5)]
    trace = run(plant, 80, hands=hands)
    assert trace.stem[round(39 / STEP)] == 1.0
    assert trace.stem[-1] == 0.0


def test_an_actuator_loaded_by_hand_follows_its_bench_set():
    """Between the bench pressures, on a plug without drop, the stem stands as far as the pressure says."""
    plant = plant_of(sheet(valve__seat=0.003))
    low, high = plant.actuator.bench_low, plant.actuator.bench_high
    friction = plant.actuator.friction / plant.actuator.area / (high - low)
    trace = run(plant, 5, hands=[Hand("load_actuator", 0, 5, low + 0.6 * (high - low))])
    assert trace.stem[-1] == pytest.approx(0.6 - friction, abs=0.01)


def test_an_unknown_act_is_refused():
    """By its name, with the acts that there are."""
    with pytest.raises(ValueError, match="hold_lever"):
        run(plant_of(sheet()), 1, hands=[Hand("kick", 0)])
