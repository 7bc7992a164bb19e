"""The simulation against closed forms, the calculators, scipy's integrator and the package `fluids`."""

import math
from dataclasses import replace

import numpy as np
import pytest
from fluids.control_valve import size_control_valve_l
from scipy.integrate import solve_ivp

from diagnose.calculators.displacer import DISPLACER
from diagnose.calculators.run import work
from diagnose.calculators.valve import VALVE
from diagnose.calculators.valve_flow import KV_OF_CV, dump_time
from diagnose.calculators.vessel_volume import level_at, volume_at
from diagnose.rig.gas import STANDARD
from diagnose.rig.hands import Hand
from diagnose.rig.levels import level_in, level_table
from diagnose.rig.outlet import flow_out, way_out
from diagnose.rig.parts import Inflow
from diagnose.rig.plant import changed, plant_of
from diagnose.rig.run import run
from diagnose.rig.state import start_of
from tests.diagnose.rig.plants import PAIRINGS, sheet, steady, tank, wide_line


def lagging_plant():
    """A plant whose output line is all that slows the case's pressure."""
    plant = steady(plant_of(sheet()))
    plant = changed(plant, "pilot", supply_seat=1e-3)
    plant = changed(plant, "supply", regulator=1e-1, capacity=1e2, path=1e2, tail=1e2, leak=0.0)
    return changed(plant, "output_line", conductance=4e-9)


@pytest.mark.parametrize("step", [0.25, 0.02])
def test_output_lag_has_the_time_constant_of_its_line(step):
    """The case fills as 1 - exp(-t/T), T its gas for each Pa over the line's conductance."""
    plant = lagging_plant()
    line, actuator = plant.output_line, plant.actuator
    constant = (actuator.dead_volume + line.volume / 2) / STANDARD / line.conductance
    hands = [Hand("hold_lever", 0, 99, 1.5), Hand("hold_stem", 0, 99, 0.0)]
    trace = run(plant, 10, hands=hands, step=step)
    wanted = plant.pilot.full * (1 - np.exp(-trace.time / constant))
    assert np.abs(trace.case - wanted).max() < 0.4 * plant.pilot.full * step / constant
    assert trace.case[-1] > 0.9 * plant.pilot.full


def test_a_shut_vessel_fills_at_the_flow_over_its_area():
    """An upright drum with flat ends rises evenly."""
    plant = tank(PAIRINGS[0])
    trace = run(plant, 200, inflow=Inflow(0.001), hands=[Hand("open_block_valve", 0, 999, 0.0)])
    wanted = plant.vessel.level + 0.001 * trace.time / (math.pi / 4)
    assert trace.held == pytest.approx(wanted, abs=1e-5)


def even_throttle():
    """A throttling plant in which the flow goes straight with the level."""
    plant = wide_line(tank(PAIRINGS[2], valve__seat=0.003, valve__characteristic="linear"))
    plant = changed(plant, "actuator", travel=1e-6)
    plant = changed(plant, "pilot", supply_seat=1e-7, vent_seat=1e-7)
    return changed(plant, "valve", cv=3.0)


def test_a_throttled_vessel_has_the_time_constant_of_its_area_over_the_gain():
    """Off its resting level it comes back as exp(-t/T), T the area over the flow for each metre of level."""
    plant = even_throttle()
    actuator, own = plant.actuator, plant.displacer
    liquid = plant.liquids.lower
    way = way_out(plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere)
    span = plant.linkage.needed / (liquid * 9.80665 * math.pi / 4 * own.diameter**2)
    gain = flow_out(way, 1.0) * plant.pilot.full / (actuator.bench_high - actuator.bench_low) / span
    constant = math.pi / 4 / gain
    even = Inflow(0.5 * flow_out(way, 1.0))
    rest = run(plant, 40 * constant, inflow=even).held[-1]
    trace = run(plant, 2 * constant, inflow=even, start=start_of(plant, rest + 0.02))
    off = trace.held - rest
    measured = -(np.polyfit(trace.time, np.log(off), 1)[0] ** -1)
    assert constant > 40
    assert measured == pytest.approx(constant, rel=0.03)


def test_a_smooth_stretch_agrees_with_scipys_integrator():
    """Volume and the three pressures of a throttling plant after a step of the inflow."""
    plant = even_throttle()
    gas, line, actuator = plant.supply, plant.output_line, plant.actuator
    way = way_out(plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere)
    volumes = (gas.volume, 5e-5 + line.volume / 2, actuator.dead_volume + line.volume / 2)
    regulated = 1 / (1 / gas.regulator + 1 / gas.tail)
    weight = plant.liquids.lower * 9.80665 * math.pi / 4 * plant.displacer.diameter**2
    vent = 1 / (1 / plant.pilot.vent_seat + 1 / plant.pilot.vent_path)
    start, inflow = start_of(plant, plant.vessel.level - 0.02), 0.6 * flow_out(way, 1.0)
    bare = plant.displacer.mass * 9.80665

    def slopes(_, now):
        held, supply, output, case = now
        lift = weight * (held / (math.pi / 4) - plant.displacer.bottom)
        goal = plant.pilot.full * (plant.linkage.carry - bare + lift) / plant.linkage.needed
        fed = plant.pilot.supply_seat * max(min(goal, supply) - output, 0.0)
        lost = vent * max(output - goal, 0.0)
        on = line.conductance * (output - case)
        opening = (case - actuator.bench_low) / (actuator.bench_high - actuator.bench_low)
        rates = (
            regulated * (gas.set_to - supply) - gas.leak * supply - fed,
            fed - lost - on,
            on,
        )
        gases = [rate * STANDARD / volume for rate, volume in zip(rates, volumes, strict=True)]
        return [inflow - flow_out(way, min(max(opening, 0.0), 1.0)), *gases]

    first = (start.lower, start.supply, start.output, start.case)
    told = solve_ivp(slopes, (0, 300), first, method="LSODA", rtol=1e-9, atol=1e-9, t_eval=[60, 150, 300])
    quiet = changed(plant, "valve", seat=1e-6)
    trace = run(quiet, 300, inflow=Inflow(inflow), start=start, step=0.05)
    places = [round(time / 0.05) - 1 for time in (60, 150, 300)]
    assert trace.columns["lower"][places] == pytest.approx(told.y[0], rel=1e-4)
    assert trace.case[places] == pytest.approx(told.y[3], rel=2e-3)


@pytest.mark.parametrize("pairing", PAIRINGS[:2])
def test_dump_time_is_the_volume_over_what_the_valve_passes(pairing):
    """From the upper level to the lower one, by the valve formula and the vessel's volume."""
    plant = changed(steady(plant_of(sheet(pairing))), "valve", characteristic="linear")
    plant = changed(plant, "pilot", supply_seat=1e-7, vent_seat=1e-7)
    trace = run(plant, 2400)
    way = way_out(plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere)
    opened, shut = trace.dumps()[1]
    levels = np.interp([opened, shut], trace.time, trace.held)
    high, low = (volume_at(plant.vessel.shape, float(level)) for level in levels)
    wanted = dump_time(high - low, flow_out(way, 1.0), plant.inflow.lower)
    assert shut - opened == pytest.approx(wanted, abs=3.0)
    assert wanted > 60


@pytest.mark.parametrize("pairing", PAIRINGS[:2])
@pytest.mark.parametrize("hung", ["upright", "flat"])
def test_snap_dead_band_is_the_span_of_the_displacer_calculation(pairing, hung):
    """Without friction it changes over at lifts that lie apart by the force that full stroke takes."""
    plant = steady(plant_of(sheet(pairing, displacer__hung=hung)))
    trace = run(plant, 2400)
    turns = np.flatnonzero(np.diff(trace.columns["loaded"])) + 1
    assert len(turns) >= 3
    levels = trace.columns["seen"][turns]
    own = plant.displacer
    given = {"diameter": own.diameter, "length": own.length, "hung": hung, "density": plant.liquids.lower}
    shares = [
        work(DISPLACER, {**given, "covered": float(level - own.bottom)})["buoyancy_now"] for level in levels
    ]
    assert np.abs(np.diff(shares)) == pytest.approx(plant.linkage.needed, rel=0.02)
    if hung == "upright":
        span = work(DISPLACER, {**given, "needed_force": plant.linkage.needed})["span"]
        assert np.abs(np.diff(levels)) == pytest.approx(span, rel=0.02)


@pytest.mark.parametrize("pairing", PAIRINGS[2:])
def test_throttling_span_is_that_of_the_displacer_calculation(pairing):
    """The output goes from nothing to full over that span and straight in between."""
    plant = steady(plant_of(sheet(pairing)))
    own = plant.displacer
    given = {"diameter": own.diameter, "length": own.length, "hung": own.hung}
    told = work(DISPLACER, {**given, "density": plant.liquids.lower, "needed_force": plant.linkage.needed})
    middle, outputs = plant.vessel.level, []
    for share in (-0.49, -0.25, 0.0, 0.25, 0.49):
        begun = start_of(plant, middle + share * told["span"])
        shut = [Hand("open_block_valve", 0, 99, 0.0)]
        outputs.append(run(plant, 60, inflow=Inflow(0.0), hands=shut, start=begun).output[-1])
    wanted = np.array([0.01, 0.25, 0.5, 0.75, 0.99])
    if pairing[1] == "indirect":
        wanted = 1 - wanted
    assert np.array(outputs) / plant.pilot.full == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize("liquid", ["oil", "water"])
@pytest.mark.parametrize("pressure", [3e5, 8e5, 3e6])
def test_open_valve_passes_what_the_valve_calculator_says(liquid, pressure):
    """Choked or not, and by `fluids` the flow takes the Cv that the valve has."""
    values = sheet(service__liquid=liquid, vessel__pressure=pressure, valve__seat=0.005)
    plant = wide_line(steady(plant_of({**values, "vessel.inflow": 1e-4})))
    way = way_out(plant.valve, plant.discharge, plant.liquids, pressure, plant.atmosphere)
    way = replace(way, at_valve=1e6)
    flow = flow_out(way, 1.0)
    told = work(
        VALVE,
        {
            "upstream": pressure,
            "downstream": pressure - way.drop,
            "density": plant.liquids.lower,
            "liquid": liquid,
            "cv": plant.valve.cv,
            "temperature": 299.8166667,
        },
    )
    assert flow == pytest.approx(told["flow"], rel=1e-6)
    kv = size_control_valve_l(
        plant.liquids.lower,
        min(plant.liquids.vapour, pressure + plant.atmosphere),
        plant.liquids.critical,
        1e-6,
        pressure + plant.atmosphere,
        pressure + plant.atmosphere - way.drop,
        flow,
        FL=plant.valve.f_l,
        Fd=1.0,
        allow_laminar=False,
    )
    assert kv == pytest.approx(plant.valve.cv * KV_OF_CV, rel=0.01)


def test_throttled_rest_state_balances_by_the_calculators():
    """At rest the outflow is the inflow, and the stem stands where the actuator's forces balance."""
    plant = even_throttle()
    trace = run(plant, 4000, inflow=Inflow(plant.inflow.lower))
    actuator = plant.actuator
    assert trace.flow[-1] == pytest.approx(plant.inflow.lower, rel=1e-3)
    balanced = (trace.case[-1] - actuator.bench_low) / (actuator.bench_high - actuator.bench_low)
    assert trace.stem[-1] == pytest.approx(balanced, abs=0.005)


@pytest.mark.parametrize("orientation", ["horizontal", "vertical"])
@pytest.mark.parametrize("heads", ["ellipsoidal", "hemispherical", "flat"])
def test_the_level_table_agrees_with_the_vessel_calculator(orientation, heads):
    """Over the middle nine tenths of the height, to a thousandth of it."""
    plant = plant_of(sheet(vessel__orientation=orientation, vessel__heads=heads))
    shape, table = plant.vessel.shape, level_table(plant.vessel.shape)
    for share in np.linspace(0.05, 0.95, 19):
        volume = volume_at(shape, float(share) * table.levels[-1])
        assert level_in(table, volume) == pytest.approx(level_at(shape, volume), abs=1e-3 * table.levels[-1])
