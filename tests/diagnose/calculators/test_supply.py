"""Supply gas, against published values, general libraries and laws."""

import math

import CoolProp.CoolProp as coolprop
import pytest
from fluids.compressible import P_critical_flow, T_critical_flow
from fluids.safety_valve import API520_A_g
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.calculators.base import CannotWork
from diagnose.calculators.run import read_inputs, work
from diagnose.calculators.supply import (
    FACTORS,
    FORMER_FACTORS,
    LOW_BLEED,
    MOST_IDEAL,
    SUPPLY,
    critical_ratio,
    hole_loss,
    leak_down,
    mass_flow,
    standard_volume,
    stroke_gas,
)
from diagnose.units import Absolute, Gauge, from_si, to_si

STEADY = settings(max_examples=100, deadline=None, derandomize=True)
ATM = Absolute(101_325.0)
T60 = 288.7056
CFM = 0.3048**3 / 60
CYLINDER = math.pi / 4 * 1.5**2 * 6 * 0.0254**3
NACA = "isentropic flow; k 1.4 in NACA Report 1135"
CENGEL = "Cengel & Cimbala 2006, example 12-4 (through fluids)"
API520 = "API Std 520-1, example 2 (through fluids)"
ORNL = "DOE/ORNL tools suite tests"
TABLE = "40 CFR 98 Subpart W, Table W-1 (2025)"
FORMER = "former Table W-1A, second hand"


def psi(number):
    """A gauge pressure from psi."""
    return Gauge(to_si(number, "psi"))


def supply(**typed):
    """The calculator on what a person types."""
    values, wrong = read_inputs(SUPPLY, typed)
    assert not wrong
    return work(SUPPLY, values)


def api520_flow(area_mm2):
    """kg/h of the relief example through an area; the standard's constant has three digits (17.9)."""
    flow = mass_flow(0.975 * area_mm2 * 1e-6, Absolute(670e3), Absolute(532e3), 348.0, 0.051, 1.11, 0.90)
    return flow * 3600


def co2_critical_temperature():
    """K where the gas reaches its speed of sound, by the isentropic way to our critical pressure."""
    return 473.0 * critical_ratio(1.289) ** (0.289 / 1.289)


OUTSIDE = [
    ("critical pressure ratio, k 1.4", critical_ratio(1.4), 0.52828, NACA, 5e-6),
    ("critical pressure ratio, k 1.3", critical_ratio(1.3), 0.54573, NACA, 5e-6),
    ("critical pressure ratio, k 1.27", critical_ratio(1.27), 0.55121, NACA, 5e-6),
    ("CO2 critical pressure, kPa", 1400 * critical_ratio(1.289), 766.8, CENGEL, 0.1),
    ("CO2 critical temperature, K", co2_critical_temperature(), 413.28, CENGEL, 0.01),
    ("gas relief below critical, kg/h through 4248 mm2", api520_flow(4248.0), 24270.0, API520, 25.0),
    ("cylinder swept, ft3/min", 60 * CYLINDER / 60 / CFM, 0.368, ORNL, 5e-4),
    (
        "cylinder free air, scfm",
        60 * stroke_gas(CYLINDER, 0.0, psi(100), ATM, T60) / 60 / CFM,
        2.87,
        ORNL,
        5e-3,
    ),
    ("low bleed factor, scf/h", FACTORS["low"], 6.8, TABLE, 0.0),
    ("high bleed factor, scf/h", FACTORS["high"], 21.0, TABLE, 0.0),
    ("intermittent factor, scf/h", FACTORS["intermittent"], 8.8, TABLE, 0.0),
    ("former low bleed factor, scf/h", FORMER_FACTORS["low"], 1.39, FORMER, 0.0),
    ("former high bleed factor, scf/h", FORMER_FACTORS["high"], 37.3, FORMER, 0.0),
    ("former intermittent factor, scf/h", FORMER_FACTORS["intermittent"], 13.5, FORMER, 0.0),
    ("low-bleed limit, scf/h", LOW_BLEED, 6.0, "40 CFR 60.5390(c)(1)", 0.0),
]


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "within"), OUTSIDE)
def test_published_values(case, ours, theirs, source, within):
    """Each to the digits that it is published with."""
    assert ours == pytest.approx(theirs, rel=0, abs=within), f"{case}: {source}"


def test_the_relief_example_is_not_critical_and_is_against_the_air():
    """API Std 520-1, example 2: 532 kPa is above the critical pressure, 101 kPa is below it."""
    assert 101 / 670 < critical_ratio(1.11) < 532 / 670


@given(st.floats(1.05, 1.67), st.floats(1e5, 1e7), st.floats(250.0, 500.0))
@STEADY
def test_critical_pressure_and_temperature_agree_with_fluids(k, pressure, temperature):
    """fluids.compressible over the range of gases."""
    assert critical_ratio(k) * pressure == pytest.approx(P_critical_flow(pressure, k), rel=1e-9)
    cold = temperature * critical_ratio(k) ** ((k - 1) / k)
    assert cold == pytest.approx(T_critical_flow(temperature, k), rel=1e-9)


@given(st.floats(1.05, 1.6), st.floats(0.02, 0.98), st.floats(1.5e5, 1e6), st.floats(0.016, 0.06))
@STEADY
def test_flow_agrees_with_fluids_sizing_choked_or_not(k, ratio, pressure, mass):
    """The area that fluids' API 520 sizing gives for our flow is ours (its constants have 4 digits)."""
    flow = mass_flow(1e-4, Absolute(pressure), Absolute(pressure * ratio), 300.0, mass, k)
    area = API520_A_g(
        m=flow, T=300.0, Z=1.0, MW=mass * 1000, k=k, P1=pressure, P2=pressure * ratio, Kd=1, Kb=1, Kc=1
    )
    assert area == pytest.approx(1e-4, rel=2e-3)


@pytest.mark.parametrize("gauge", [15.0, 20.0, 30.0, 45.0, 60.0, 100.0, 140.0])
def test_a_leak_of_methane_is_within_three_per_cent_of_the_real_gas(gauge):
    """The most mass that methane carries through a hole, entropy kept, by CoolProp's real gas."""
    inlet = to_si(gauge, "psi") + ATM
    entropy = coolprop.PropsSI("S", "P", inlet, "T", T60, "Methane")
    enthalpy = coolprop.PropsSI("H", "P", inlet, "T", T60, "Methane")

    def flux(outlet):
        left = coolprop.PropsSI("H", "P", outlet, "S", entropy, "Methane")
        return coolprop.PropsSI("D", "P", outlet, "S", entropy, "Methane") * math.sqrt(2 * (enthalpy - left))

    lowest = ATM / inlet
    real = max(flux(inlet * (lowest + (0.999 - lowest) * step / 400)) for step in range(401))
    ours = mass_flow(1.0, Absolute(inlet), ATM, T60, 0.016043, 1.27)
    assert inlet <= MOST_IDEAL
    assert ours == pytest.approx(real, rel=0.03)


@given(st.floats(1e4, 1e6), st.floats(1e4, 1e6), st.floats(0.0001, 0.01), st.floats(0.0001, 0.01))
@STEADY
def test_a_leak_grows_with_pressure_and_with_the_square_of_the_hole(low, more, small, wider):
    """Never less at more pressure; by the area at a wider hole; heavier gas loses less volume."""

    def loss(pressure, size, gravity=0.65):
        return hole_loss(size, Gauge(pressure), ATM, T60, gravity, 1.27, 0.84)

    assert loss(low + more, small) > loss(low, small)
    assert loss(low, small + wider) == pytest.approx(loss(low, small) * (1 + wider / small) ** 2)
    assert loss(low, small, 0.8) < loss(low, small, 0.6)
    assert loss(0.0, small) == 0.0


@given(st.floats(1.05, 1.67), st.floats(0.0, 0.4))
@STEADY
def test_once_choked_the_outlet_makes_no_difference_and_the_edge_is_smooth(k, ratio):
    """The flow is flat under the critical ratio and joins without a step."""
    inlet = Absolute(5e5)
    edge = critical_ratio(k)

    def flow(share):
        return mass_flow(1e-6, inlet, Absolute(inlet * share), 300.0, 0.018, k)

    assert flow(ratio) == flow(edge * 0.999)
    assert flow(edge * 1.0001) == pytest.approx(flow(edge), rel=1e-6)
    assert flow(edge) > flow((1 + edge) / 2) > flow(0.999) > 0 == flow(1.0)


@given(st.floats(1e4, 9e5), st.floats(1.0, 9e4), st.floats(1e-4, 0.1), st.floats(5e4, 1.05e5))
@STEADY
def test_a_test_finds_the_gas_that_left(start, fall, volume, atmosphere):
    """Loss times time is what the volume held before less what it holds after; no fall is no loss."""
    left = leak_down(volume, Gauge(start), Gauge(start - fall * 0.1), 60.0, 290.0) * 60
    before = standard_volume(volume, Absolute(start + atmosphere), 290.0)
    after = standard_volume(volume, Absolute(start - fall * 0.1 + atmosphere), 290.0)
    assert left == pytest.approx(before - after, rel=1e-6)
    assert leak_down(volume, Gauge(start), Gauge(start), 60.0, 290.0) == 0.0


def test_a_test_on_a_leaking_volume_finds_its_leak():
    """A volume bled in small steps through a known hole: the test's mean lies between both ends' loss."""
    volume, pressure, step = 0.01, 3e5, 0.01
    rest = (ATM, T60, 0.65, 1.27, 0.84)
    ends = [hole_loss(0.0005, Gauge(pressure), *rest)]
    for _ in range(3000):
        pressure -= hole_loss(0.0005, Gauge(pressure), *rest) * step * ATM / volume
    ends.append(hole_loss(0.0005, Gauge(pressure), *rest))
    mean = leak_down(volume, Gauge(3e5), Gauge(pressure), 30.0, T60)
    assert ends[1] < mean < ends[0]


FULL = {
    "pressure": "30 psi",
    "area": "60 in2",
    "travel": "1 in",
    "line_size": "0.25 in",
    "line_length": "20 ft",
    "cycles": "200",
    "gas_gravity": "0.65",
}


def test_strokes_by_hand():
    """60 in3 swept from nothing and 11.78 in3 of line from 14.7 psia, 200 times a day."""
    result = supply(**FULL)
    swept, line = 60 / 1728, math.pi / 4 * 0.25**2 * 240 / 1728
    each = swept * (30 + 14.69595) / 14.69595 + line * 30 / 14.69595
    assert from_si(result["per_stroke"], "scf") == pytest.approx(each, rel=1e-5)
    assert from_si(result["strokes"], "scf/d") == pytest.approx(200 * each, rel=1e-5)
    assert from_si(result["yearly"], "Mscf") == pytest.approx(0.365 * 200 * each, rel=1e-5)
    assert result["of_intermittent"] == pytest.approx(200 * each / 24 / 8.8, rel=1e-5)
    assert result.in_range


def test_low_and_high_part_at_six_scf_an_hour():
    """The hole that is named loses 6 scf/h: a hair under it is low, a hair over it is high."""
    size = from_si(supply(pressure="30 psi")["hole_at_6_scfh"], "in")
    low, high = (supply(pressure="30 psi", hole=f"{size * more:.9f} in") for more in (0.9999, 1.0001))
    assert (low["bleed"], high["bleed"]) == ("low", "high")
    assert from_si(low["hole_loss"], "scf/h") == pytest.approx(6.0, rel=1e-3)
    assert any("over 6 scf/h" in note for note in high.notes)


def test_a_leak_down_test_by_hand():
    """1 ft3 that falls 14.696 psi in 30 min has lost 1 scf in half an hour: 2 scf/h, which is low."""
    result = supply(
        pressure="30 psi",
        test_volume="1728 in3",
        test_start="30 psi",
        test_end="15.304 psi",
        test_time="30 min",
    )
    assert from_si(result["test_loss"], "scf/h") == pytest.approx(2.0, rel=1e-4)
    assert result["bleed"] == "low"


def test_air_has_no_device_factor_and_no_low_or_high():
    """Those are of natural gas; air loses less volume, being heavier."""
    air, gas = (supply(**FULL, medium=medium, hole="0.05 in") for medium in ("air", "field_gas"))
    names = {answer.name for answer in gas.answers} - {answer.name for answer in air.answers}
    assert names == {"bleed", "of_low", "of_high", "of_intermittent"}
    assert air["hole_loss"] < gas["hole_loss"]


def test_what_is_not_known_is_left_out():
    """Only a pressure: only the hole that would lose 6 scf/h."""
    assert [answer.name for answer in supply(pressure="30 psi").answers] == ["hole_at_6_scfh"]
    assert supply(pressure="0 psi").answers == ()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"test_start": 2e5, "test_end": 1e5}, "add test_volume, test_time"),
        (
            {"test_start": 1e5, "test_end": 2e5, "test_volume": 0.01, "test_time": 60.0},
            "test_end must not be above test_start",
        ),
    ],
)
def test_a_test_that_makes_no_sense_names_the_edit(change, words):
    """All four of it, and a falling gauge."""
    usual = {entry.name: entry.usual for entry in SUPPLY.inputs if entry.usual is not None}
    with pytest.raises(CannotWork, match=words):
        SUPPLY.work({**usual, "pressure": 2e5, **change})


def test_beyond_the_range_it_says_so():
    """At 300 psi the gas is not ideal any more."""
    result = supply(pressure="300 psi", hole="0.05 in")
    assert not result.in_range
    assert any("beyond the range" in note for note in result.notes)
