"""Cold at the supply regulator, against published values, a real gas and laws."""

import CoolProp.CoolProp as coolprop
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.calculators.cold import (
    COLD,
    GRAVITIES,
    HYDRATE_PRESSURES,
    dew_point_limit,
    hydrate_margin,
    hydrate_temperature,
    regulated_temperature,
)
from diagnose.calculators.run import read_inputs, work
from diagnose.units import Absolute, Gauge, absolute, from_si, to_si
from knowledge.problems import InputProblems

STEADY = settings(max_examples=100, deadline=None, derandomize=True)
ATM = Absolute(101_325.0)
FATTAH = "Motiee 1991 in K. Abdel Fattah, Oil and Gas Business 2004 no. 2"
RULE = "SPE PetroWiki, about 7 degF for each 100 psi"
METHANE = "CoolProp, Setzmann-Wagner methane; the rule is expected to read colder"
ISA = "ANSI/ISA-7.0.01-1996 (from memory)"
HYDRATES = [
    (0.555, 458, 40.8),
    (0.555, 600, 44.8),
    (0.60, 250, 36.1),
    (0.60, 480, 46.1),
    (0.60, 980, 56.0),
    (0.65, 110, 27.5),
    (0.65, 390, 47.4),
    (0.70, 120, 33.4),
    (0.70, 340, 49.2),
    (0.70, 690, 58.7),
]
EXPANSIONS = [(100, 57.10, 0.7), (200, 51.22, 1.8), (300, 45.27, 2.8), (500, 33.11, 4.7), (1000, 1.59, 8.2)]
"""(psia before, degF after, by how much the rule may read colder): to 50 psia from 60 degF."""


def hydrate(psia, gravity):
    """degF under which hydrate forms."""
    return from_si(hydrate_temperature(Absolute(to_si(psia, "psia")), gravity), "degF")


def after(psia, before=60.0):
    """degF after a regulator that sets 50 psia, by the rule."""
    drop = Gauge(to_si(psia, "psia") - ATM), Gauge(to_si(50, "psia") - ATM)
    return from_si(regulated_temperature(to_si(before, "degF"), *drop), "degF")


def methane_after(psia, before=60.0):
    """degF of real methane after it, heat content kept."""
    enthalpy = coolprop.PropsSI("H", "P", to_si(psia, "psia"), "T", to_si(before, "degF"), "Methane")
    return from_si(coolprop.PropsSI("T", "P", to_si(50, "psia"), "H", enthalpy, "Methane"), "degF")


OUTSIDE = [
    *((f"hydrate at {p} psia, gravity {g}, degF", hydrate(p, g), t, FATTAH, 0.055) for g, p, t in HYDRATES),
    *((f"methane from {p} to 50 psia, degF", after(p), t, METHANE, within) for p, t, within in EXPANSIONS),
    ("natural gas, 100 psi less, degF", after(150), 53.0, RULE, 1e-6),
    ("dew point limit, coldest -5 degC, degC", dew_point_limit(268.15) - 273.15, -15.0, ISA, 1e-6),
    ("dew point limit, coldest 30 degC, degC", dew_point_limit(303.15) - 273.15, 4.0, ISA, 1e-6),
]


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "within"), OUTSIDE)
def test_published_values(case, ours, theirs, source, within):
    """Hydrate to the printed digit; the rule within what it reads colder than lean gas."""
    assert ours == pytest.approx(theirs, rel=0, abs=within), f"{case}: {source}"


@pytest.mark.parametrize(("psia", "expected", "within"), EXPANSIONS)
def test_the_rule_reads_colder_than_methane_by_so_much(psia, expected, within):
    """Methane cools 5.8 to 6.2 degF for each 100 psi; the rule takes 7, so it never reads warmer."""
    real = methane_after(psia)
    assert real == pytest.approx(expected, abs=0.01)
    assert 5.75 <= (60 - real) / (psia - 50) * 100 <= 6.25
    assert within - 0.2 < real - after(psia) < within


@pytest.mark.parametrize("before", [40.0, 60.0, 80.0, 100.0])
@pytest.mark.parametrize("psia", [75.0, 150.0, 400.0, 800.0])
def test_the_rule_is_careful_for_methane_over_the_whole_range(psia, before):
    """CoolProp: never warmer than the real gas, and not more than 2 degF for each 100 psi colder."""
    colder = methane_after(psia, before) - after(psia, before)
    assert 0 < colder < 2.2 * (psia - 50) / 100


@given(st.floats(200.0, 340.0), st.floats(0.0, 7e6), st.floats(0.0, 1.0), st.floats(1e4, 1e5))
@STEADY
def test_a_deeper_cut_is_colder_and_none_changes_nothing(temperature, upstream, share, more):
    """Monotonic in the upstream pressure; two regulators in a row cool as one."""
    regulated, middle = Gauge(upstream * 0.2), Gauge(upstream * (0.2 + 0.8 * share))
    once = regulated_temperature(temperature, Gauge(upstream), regulated)
    twice = regulated_temperature(
        regulated_temperature(temperature, Gauge(upstream), middle), middle, regulated
    )
    assert once == pytest.approx(twice)
    assert regulated_temperature(temperature, Gauge(upstream + more), regulated) < once
    assert regulated_temperature(temperature, regulated, regulated) == temperature


@given(st.floats(*GRAVITIES), st.floats(60.0, 2000.0), st.floats(1.0, 500.0))
@STEADY
def test_hydrate_forms_warmer_at_more_pressure(gravity, psia, more):
    """Over the gravities of the chart."""
    assert hydrate(psia + more, gravity) > hydrate(psia, gravity)


@given(st.floats(*GRAVITIES))
@STEADY
def test_under_the_chart_ice_decides(gravity):
    """At the chart's lowest pressure no gas of its gravities forms hydrate above freezing water."""
    assert hydrate_temperature(Absolute(HYDRATE_PRESSURES[0]), gravity) < 273.15 + 0.5


@given(st.floats(250.0, 330.0), st.floats(4e5, 6.8e6), st.floats(0.0, 1.0), st.floats(*GRAVITIES))
@STEADY
def test_the_margin_is_the_least_on_the_way(temperature, upstream, share, gravity):
    """Not more than at either end, and not more than anywhere between."""
    regulated = Gauge(upstream * 0.1)
    margin = hydrate_margin(temperature, Gauge(upstream), regulated, ATM, gravity)
    lowest = max(regulated, HYDRATE_PRESSURES[0] - ATM)
    for pressure in (lowest, upstream, lowest + (upstream - lowest) * share):
        cooled = regulated_temperature(temperature, Gauge(upstream), Gauge(pressure))
        here = cooled - hydrate_temperature(absolute(Gauge(pressure), ATM), gravity)
        assert margin <= here + 0.3  # between two of its steps it can miss a little


def cold(**typed):
    """The calculator on what a person types."""
    values, wrong = read_inputs(COLD, typed)
    assert not wrong
    return work(COLD, values)


GAS = {"upstream": "300 psi", "regulated": "30 psi", "ambient": "70 degF", "gas_gravity": "0.6"}


def test_a_warm_day_does_not_freeze_and_a_cold_one_does():
    """270 psi less is 18.9 degF colder; the margin counts from 32 degF or from hydrate."""
    warm, chilly, frost = (cold(**GAS | {"ambient": f"{degrees} degF"}) for degrees in (70, 45, 20))
    assert [result["freezing"] for result in (warm, chilly, frost)] == ["unlikely", "likely", "likely"]
    assert from_si(warm["regulated_temperature"], "degF") == pytest.approx(70 - 18.9)
    assert warm["ice_margin"] == pytest.approx(70 - 18.9 - 32)
    assert warm["margin"] == min(warm["ice_margin"], warm["hydrate_margin"])
    assert any("below freezing there" in note for note in frost.notes)
    assert not any("below freezing there" in note for note in chilly.notes)


def test_hydrate_can_decide_above_the_ice_point():
    """Rich gas at 900 psi, cut to 700: out at 56 degF, and hydrate forms already at over 60 degF."""
    result = cold(upstream="900 psi", regulated="700 psi", ambient="70 degF", gas_gravity="0.8")
    assert result["ice_margin"] > 0 > result["hydrate_margin"]
    assert result["freezing"] == "likely"
    assert any("Hydrate can form" in note for note in result.notes)


def test_under_the_chart_the_hydrate_is_left_out():
    """From 30 to 20 psi only ice is told of; it is still in range."""
    result = cold(upstream="30 psi", regulated="20 psi", ambient="40 degF")
    names = {answer.name for answer in result.answers}
    assert names == {"regulated_temperature", "ice_margin", "margin", "freezing"}
    assert result.in_range
    assert any("there ice decides" in note for note in result.notes)


def test_the_gas_can_be_warmer_than_the_place_and_the_colder_of_the_two_counts():
    """Warm gas helps the regulator and not the tube that lies in the frost."""
    frost = cold(**GAS | {"ambient": "20 degF", "gas_temperature": "100 degF"})
    assert from_si(frost["regulated_temperature"], "degF") == pytest.approx(81.1)
    assert (frost["ice_margin"], frost["freezing"]) == (pytest.approx(-12.0), "likely")


@pytest.mark.parametrize(
    ("ambient", "dew_point", "fits", "freezing"),
    [
        ("20 degF", "2 degF", True, "unlikely"),
        ("20 degF", "3 degF", False, "unlikely"),
        ("20 degF", "25 degF", False, "likely"),
        ("70 degF", "39 degF", True, "unlikely"),
        ("70 degF", "45 degF", False, "unlikely"),
    ],
)
def test_air_is_judged_by_its_dew_point(ambient, dew_point, fits, freezing):
    """18 degF under the coldest, never over 39.2 degF; it freezes where water falls out below 32 degF."""
    result = cold(medium="air", upstream="100 psi", regulated="30 psi", ambient=ambient, dew_point=dew_point)
    assert (result["dew_point_fits"], result["freezing"]) == (fits, freezing)


def test_air_of_unknown_dew_point_is_not_judged():
    """Only the limit is told, and what to measure."""
    result = cold(medium="air", upstream="100 psi", regulated="30 psi", ambient="20 degF")
    assert [answer.name for answer in result.answers] == ["dew_point_limit"]
    assert any("Measure the dew point" in note for note in result.notes)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"gas_gravity": "1.4"}, "The gravity lies outside"),
        ({"upstream": "1200 psi"}, "Above 1000 psi"),
        ({"upstream": "4500 psi"}, "beyond the hydrate formula"),
    ],
)
def test_beyond_a_range_it_says_which(change, words):
    """And keeps the numbers."""
    result = cold(**GAS | change)
    assert not result.in_range
    assert any(words in note for note in result.notes)
    assert cold(**GAS).in_range


def test_a_regulator_cannot_raise_the_pressure():
    """The message names the edit."""
    with pytest.raises(InputProblems, match="upstream must not be below regulated: change the two round"):
        cold(**GAS | {"upstream": "20 psi"})
