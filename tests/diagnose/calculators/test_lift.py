"""Lift against `fluids` over ranges of flow, line and valve, and the laws of its answers."""

import math

import fluids
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from diagnose.calculators.base import Calculation, CannotWork, Value
from diagnose.calculators.lift import (
    KV_OF_CV,
    LIFT,
    TURBULENT_ABOVE,
    friction_factor,
    line_loss,
    reynolds,
    static_pressure,
    valve_drop,
)
from diagnose.calculators.run import work
from diagnose.units import UNITS

STEADY = settings(max_examples=100, deadline=None, derandomize=True)
PSI = UNITS["psi"].factor
BBL_D = UNITS["bbl/d"].factor
REYNOLDS = st.floats(0.0, 8.0).map(lambda power: 10**power)
ROUGH = st.floats(0.0, 0.05)
FLOW = st.floats(10 * BBL_D, 5000 * BBL_D)
COLEBROOK = "fluids.friction.Colebrook"

COMMON: dict[str, Value] = {
    "vessel_pressure": 60 * PSI,
    "density": 850.0,
    "height": 6.0,
    "back_pressure": 10 * PSI,
}
LINE: dict[str, Value] = {"line_size": 0.0525, "line_length": 200.0}


def run(**more: Value) -> Calculation:
    """Oil lifted 6 m into 10 psi from a vessel at 60 psi, with ``more`` said of it."""
    return work(LIFT, {**COMMON, **more})


def fluids_loss(flow: float, diameter: float, length: float, density: float, viscosity: float) -> float:
    """Loss in Pa of a straight line of clean steel, by `fluids.one_phase_dP`."""
    return float(
        fluids.one_phase_dP(
            m=flow * density, rho=density, mu=viscosity, D=diameter, roughness=4.5e-5, L=length
        )
    )


def fluids_cv(flow: float, cv: float, density: float) -> float:
    """Cv that `fluids` needs to pass the flow at the drop that we find for a Cv."""
    drop = valve_drop(flow, cv, density)
    kv = fluids.control_valve.size_control_valve_l(
        rho=density, Psat=0.0, Pc=3e6, mu=1e-3, P1=drop + 1e5, P2=1e5, Q=flow, allow_choked=False
    )
    return float(kv / KV_OF_CV)


OUTSIDE: list[tuple[str, float, float, str, float]] = [
    (
        "water 965.4 kg/m3, 360 m3/h, Kv 165 (three digits): drop in kPa",
        valve_drop(0.1, 165 / KV_OF_CV, 965.4) / 1000,
        460.0,
        "ISA-75.01.01-2007, example 1, as fluids transcribes it",
        7e-3,
    ),
    *(
        (
            f"friction factor at Re {number:g}, roughness {rough:g}",
            friction_factor(number, rough),
            fluids.friction.Colebrook(number, rough),
            COLEBROOK,
            1e-9,
        )
        for number in (4e3, 1e5, 1e7)
        for rough in (0.0, 1e-4, 1e-2)
    ),
    (
        "laminar factor at Re 1000",
        friction_factor(1e3, 1e-3),
        0.064,
        "fluids.friction.friction_laminar",
        1e-9,
    ),
    *(
        (
            f"line of 52.5 mm, 200 m, oil, {flow} bbl/d: Pa",
            line_loss(flow * BBL_D, 0.0525, 200.0, 850.0, 0.005, 4.5e-5),
            fluids_loss(flow * BBL_D, 0.0525, 200.0, 850.0, 0.005),
            "fluids.one_phase_dP",
            1e-6,
        )
        for flow in (100, 1000, 3000)
    ),
    *(
        (
            f"Cv {cv} found again from our drop at 300 bbl/d",
            fluids_cv(300 * BBL_D, cv, 850.0),
            cv,
            "fluids.control_valve.size_control_valve_l",
            2e-4,
        )
        for cv in (3.0, 10.0)
    ),
]


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "tolerance"), OUTSIDE)
def test_agrees_with_outside_values(case, ours, theirs, source, tolerance):
    """Friction, line loss and valve drop are those of the standard's example and of `fluids`."""
    assert ours == pytest.approx(theirs, rel=tolerance), f"{case}: {source}"


@STEADY
@given(REYNOLDS, ROUGH)
def test_friction_factor_is_that_of_fluids_everywhere(number, rough):
    """From creeping flow to Re 1e8 and from a glass-smooth line to a very rough one."""
    assert friction_factor(number, rough) == pytest.approx(
        fluids.friction.friction_factor(Re=number, eD=rough), rel=1e-8
    )


@STEADY
@given(FLOW, st.floats(0.02, 0.2), st.floats(1.0, 2000.0), st.floats(600.0, 1200.0), st.floats(5e-4, 0.1))
def test_line_loss_is_that_of_fluids(flow, diameter, length, density, viscosity):
    """Over every line and oil that a field has."""
    ours = line_loss(flow, diameter, length, density, viscosity, 4.5e-5)
    assert ours == pytest.approx(fluids_loss(flow, diameter, length, density, viscosity), rel=1e-7)


@STEADY
@given(FLOW, st.floats(1.0, 100.0), st.floats(600.0, 1200.0))
def test_valve_drop_is_that_of_the_standard_in_fluids(flow, cv, density):
    """The Cv that `fluids` needs for our drop is the Cv that we gave it."""
    assume(valve_drop(flow, cv, density) > 100)
    assert fluids_cv(flow, cv, density) == pytest.approx(cv, rel=2e-4)


@STEADY
@given(FLOW, FLOW, st.floats(0.02, 0.2), st.floats(5e-4, 0.1))
def test_more_flow_eats_more(one, other, diameter, viscosity):
    """Line and valve never eat less at more flow, also across the change from smooth to stirred."""
    low, high = sorted((one, other))
    ends = [line_loss(flow, diameter, 100.0, 850.0, viscosity, 4.5e-5) for flow in (low, high)]
    assert ends[0] <= ends[1] * (1 + 1e-12)
    assert valve_drop(low, 10.0, 850.0) <= valve_drop(high, 10.0, 850.0)


@STEADY
@given(FLOW, st.floats(0.02, 0.2), st.floats(0.0, 50.0), st.floats(0.0, 500e3))
def test_needed_is_the_sum_and_the_margin_the_rest(flow, size, height, back):
    """Height, back pressure, line and valve add up; the margin is what is over; the word agrees."""
    found = run(**{**LINE, "line_size": size}, flow=flow, cv=10.0, height=height, back_pressure=back)
    total = found["static"] + back + found["line_loss"] + found["valve_loss"]
    assert found["needed"] == pytest.approx(total)
    assert found["margin"] == pytest.approx(60 * PSI - found["needed"])
    assert found["enough"] == ("enough" if found["margin"] >= 0 else "too_little")


@STEADY
@given(st.floats(0.02, 0.2), st.floats(0.5, 200.0), st.floats(0.5, 50.0))
def test_at_the_flow_possible_the_margin_is_used_up(size, viscosity, cv):
    """A little less flow leaves a margin, a little more overdraws it."""
    said = {**LINE, "line_size": size, "viscosity": viscosity, "cv": cv}
    most = run(**said)["flow_possible"]
    assert run(**said, flow=most * (1 - 1e-6))["enough"] == "enough"
    assert run(**said, flow=most * (1 + 1e-6))["enough"] == "too_little"


@STEADY
@given(FLOW)
def test_at_the_height_possible_the_margin_is_used_up(flow):
    """Lifted as high as it can, the liquid needs what the vessel has."""
    found = run(**LINE, flow=flow, cv=20.0)
    if found["height_possible"] > 0:
        edge = run(**LINE, flow=flow, cv=20.0, height=found["height_possible"])
        assert edge["margin"] == pytest.approx(0.0, abs=1e-3)
    else:
        assert found["enough"] == "too_little"


def test_a_column_of_water_of_one_foot_is_0_433_psi():
    """62.4 lb/ft3 over 144 in2/ft2, the weight of water as in Tower and others, Physics, Archimedes."""
    column = static_pressure(UNITS["ft"].factor, 62.4 * UNITS["lb/ft3"].factor)
    assert column / PSI == pytest.approx(62.4 / 144, rel=1e-6)


def test_what_is_not_given_is_left_out_and_said():
    """Without flow there is no loss, without line and valve no flow; a note says that it needs more."""
    bare = run()
    names = {answer.name for answer in bare.answers}
    assert names.isdisjoint({"line_loss", "valve_loss", "flow_possible"})
    assert "No flow was given" in " ".join(bare.notes)
    assert "give cv" in " ".join(run(**LINE, flow=BBL_D).notes)
    assert "give line_size" in " ".join(run(cv=10.0, flow=BBL_D).notes)


def test_no_flow_is_possible_against_too_much_height():
    """When height and back pressure alone are too much, no flow is named and no negative height."""
    found = run(**LINE, vessel_pressure=5 * PSI)
    assert found["enough"] == "too_little"
    assert found["height_possible"] == 0.0
    with pytest.raises(KeyError):
        found["flow_possible"]


@pytest.mark.parametrize(
    ("said", "in_range", "words"),
    [
        ({"viscosity": 5.0, "flow": 1000 * BBL_D}, True, "30 diameters"),
        ({"viscosity": 11.0, "flow": 1000 * BBL_D}, False, "between smooth and stirred"),
        ({"viscosity": 200.0, "flow": 1000 * BBL_D}, True, "30 diameters"),
        ({"roughness": 0.005, "flow": 1000 * BBL_D}, False, "take the loss in the line as rough"),
    ],
)
def test_range_of_the_friction_law_is_told(said, in_range, words):
    """Between laminar and turbulent, or rougher than the law holds, the result is flagged with a note."""
    found = run(**LINE, **said)
    assert found.in_range is in_range
    assert words in " ".join(found.notes)
    assert "site procedure" in found.notes[-1]


def test_the_between_range_ends_where_flow_is_surely_turbulent():
    """The flag goes by the Reynolds number of the line as given."""
    viscosity = 4 * 1000 * BBL_D * 850.0 / (math.pi * 0.0525 * TURBULENT_ABOVE)
    assert reynolds(1000 * BBL_D, 0.0525, 850.0, viscosity) == pytest.approx(TURBULENT_ABOVE)
    for factor, in_range in ((1.01, False), (0.99, True)):
        found = run(**LINE, flow=1000 * BBL_D, viscosity=viscosity * factor * 1000)
        assert found.in_range is in_range


@pytest.mark.parametrize("half", LINE)
def test_half_a_line_is_refused(half):
    """Size without length, or length without size, cannot be worked; the message names both."""
    with pytest.raises(CannotWork, match="line_size and line_length: give both"):
        LIFT.work({**COMMON, half: LINE[half]})
