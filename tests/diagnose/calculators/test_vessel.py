"""Retention, the minutes to the trips, and the vessel calculator, against other sources."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.calculators.base import Calculation, CannotWork, Value
from diagnose.calculators.vessel import VESSEL, retention_guidance, retention_time, time_to
from diagnose.calculators.vessel_volume import shape_of, top_of, volume_at
from diagnose.units import to_si

QUICK = settings(derandomize=True, max_examples=60, deadline=None)
API = "API Spec 12J, 7th edition (from memory)"
SMALL = shape_of("horizontal", 48.0, 120.0, "ellipsoidal")


def minutes_asked(api: float, phases: str, fahrenheit: float = 60.0) -> tuple[float, float]:
    """Guidance in minutes."""
    asked = retention_guidance(to_si(api, "API"), to_si(fahrenheit, "degF"), phases)
    return asked.least / 60, asked.most / 60


OUTSIDE = [
    (
        "retention of 10 bbl at 500 bbl/d, min",
        retention_time(to_si(10, "bbl"), to_si(500, "bbl/d")) / 60,
        28.8,
        "bbl held / (bbl/d) x 1440",
        1e-9,
    ),
    *(
        (f"guidance, {phases} phases, {api} API, {warm} degF, {end}, min", ours, theirs, API, 1e-9)
        for phases, api, warm, asked in (
            ("two", 40, 60, (1, 1)),
            ("two", 25, 60, (1, 2)),
            ("two", 15, 60, (2, 4)),
            ("three", 40, 60, (3, 5)),
            ("three", 30, 100, (5, 10)),
            ("three", 30, 80, (10, 20)),
            ("three", 30, 60, (20, 30)),
        )
        for end, ours, theirs in zip(("from", "to"), minutes_asked(api, phases, warm), asked, strict=True)
    ),
]


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "tolerance"), OUTSIDE)
def test_agrees_with_the_outside_source(case, ours, theirs, source, tolerance):
    """Each value agrees with the source named beside it."""
    assert ours == pytest.approx(theirs, rel=tolerance), f"{case}: {source}"


shares = st.floats(0.0, 1.0)
shapes = st.builds(
    shape_of,
    st.sampled_from(["horizontal", "vertical"]),
    st.floats(0.1, 5.0),
    st.floats(0.1, 5.0),
    st.sampled_from(["ellipsoidal", "hemispherical", "flat"]),
)


@QUICK
@given(shapes, shares, shares, st.floats(1e-5, 1e-2))
def test_time_to_a_level_moves_just_that_volume(shape, one, other, net):
    """Conservation, rising and falling; past the goal it is nothing."""
    low, high = (share * top_of(shape) for share in sorted((one, other)))
    moved = volume_at(shape, high) - volume_at(shape, low)
    assert time_to(shape, low, high, net) * net == pytest.approx(moved, rel=1e-9, abs=1e-12)
    assert time_to(shape, high, low, -net) * net == pytest.approx(moved, rel=1e-9, abs=1e-12)
    if moved > 0:
        assert time_to(shape, high, low, net) == 0.0


def test_a_still_level_never_gets_to_another():
    """As much in as out."""
    assert time_to(SMALL, 10.0, 20.0, 0.0) == math.inf
    assert time_to(SMALL, 10.0, 10.0, 0.0) == 0.0
    assert retention_time(1.0, 0.0) == math.inf


@pytest.mark.parametrize(
    ("api", "phases", "fahrenheit", "asked"),
    [
        (35, "two", 60, (1, 2)),
        (32, "two", 60, (1, 2)),
        (20, "two", 60, (1, 2)),
        (35, "three", 120, (5, 10)),
        (30, "three", 90, (10, 20)),
        (30, "three", 70, (20, 30)),
    ],
)
def test_between_two_rows_the_longer_guidance_is_taken(api, phases, fahrenheit, asked):
    """Our own rule where the table says nothing: the careful row."""
    assert minutes_asked(api, phases, fahrenheit) == asked


def run(**more: Value) -> Calculation:
    """A horizontal vessel, 48 in by 10 ft, at 24 in, with other inputs in place of the usual ones."""
    usual = {entry.name: entry.usual for entry in VESSEL.inputs if entry.usual is not None}
    first = {
        "orientation": "horizontal",
        "diameter": to_si(48, "in"),
        "length": to_si(10, "ft"),
        "level": to_si(24, "in"),
    }
    return VESSEL.work({**usual, **first, **more})


def names(result: Calculation) -> set[str]:
    """What it tells."""
    return {answer.name for answer in result.answers}


def told(result: Calculation) -> str:
    """All its notes."""
    return " ".join(result.notes)


def test_held_and_inverse_by_the_calculator():
    """Half full; 203.361 gal stand 12 in high (fluids.TANK); a foot of span is what lies between."""
    result = run(wanted_volume=to_si(203.361, "gal"), span=to_si(12, "in"))
    assert result["share"] == pytest.approx(0.5)
    assert result["volume"] == pytest.approx(to_si(532.684, "gal"), rel=1e-6)
    assert result["level_at_volume"] == pytest.approx(to_si(12, "in"), rel=1e-5)
    assert result["dump_volume"] == pytest.approx(to_si(532.684 - 203.361, "gal"), rel=1e-5)
    assert "net" not in names(result)


def test_rising_vessel_tells_the_minutes_to_the_high_trip():
    """24 in to 36 in is 862.006 - 532.684 gal (fluids.TANK), at 100 gal a minute."""
    result = run(inflow=to_si(100, "gpm"), high_trip=to_si(36, "in"), low_trip=to_si(12, "in"))
    assert result["to_high_trip"] / 60 == pytest.approx(3.29322, rel=1e-5)
    assert not {"to_low_trip", "to_blow_by"} & names(result)
    assert "No outflow was given" in told(result)
    assert "Never defeat a trip" in told(result)


def test_falling_vessel_tells_the_minutes_to_the_low_trip_and_to_blow_by():
    """24 in to 12 in, and to the bottom, at 100 gal a minute more out than in."""
    flows = {"inflow": to_si(20, "gpm"), "outflow": to_si(120, "gpm")}
    result = run(**flows, high_trip=to_si(36, "in"), low_trip=to_si(12, "in"))
    assert result["to_low_trip"] / 60 == pytest.approx(3.29323, rel=1e-5)
    assert result["to_blow_by"] / 60 == pytest.approx(5.32684, rel=1e-5)
    assert "to_high_trip" not in names(result)
    raised = run(**flows, outlet_height=to_si(12, "in"))
    assert raised["to_blow_by"] == pytest.approx(result["to_low_trip"])
    assert "whirl" in told(result)


def test_levels_already_past_are_told():
    """At the trip, and with the outlet uncovered."""
    high = run(inflow=0.001, high_trip=to_si(20, "in"))
    assert high["to_high_trip"] == 0.0
    assert "at or above the high trip now" in told(high)
    empty = run(outflow=0.001, level=0.01, low_trip=0.02, outlet_height=0.02)
    assert (empty["to_low_trip"], empty["to_blow_by"]) == (0.0, 0.0)
    assert "at or below the low trip now" in told(empty)
    assert "outlet is uncovered now" in told(empty)
    assert "the level stays" in told(run(inflow=0.001, outflow=0.001))


def test_retention_is_held_against_the_guidance():
    """532.684 gal (fluids.TANK) at 500 bbl/d stay 36.5 min; 20000 bbl/d are too quick."""
    result = run(inflow=to_si(500, "bbl/d"), density=to_si(40, "API"))
    assert result["retention"] / 60 == pytest.approx(532.684 / 42 / 500 * 1440, rel=1e-6)
    assert (result["retention_is"], result["guidance_least"]) == ("enough", 60.0)
    assert any("API Spec 12J" in source for source in result.sources)
    assert run(inflow=to_si(20_000, "bbl/d"), density=to_si(40, "API"))["retention_is"] == "short"
    assert "Give the oil's density" in told(run(inflow=to_si(500, "bbl/d")))


def test_outside_the_guidance_it_says_so():
    """Oil below 10 API; three phases below 60 degF."""
    for case in (
        {"density": to_si(8, "API")},
        {"density": to_si(30, "API"), "phases": "three", "temperature": to_si(40, "degF")},
    ):
        result = run(inflow=0.001, **case)
        assert not result.in_range
        assert "its last row is shown" in told(result)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"level": 1.3}, "level is above the top of the vessel, 48 in"),
        ({"high_trip": 1.3}, "high_trip is above the top of the vessel"),
        ({"high_trip": 0.4, "low_trip": 0.5}, "low_trip must be below high_trip"),
        ({"span": 0.7}, "span is more than level"),
        ({"wanted_volume": 50.0}, "wanted_volume is more than the whole vessel"),
        ({"heads": "dished"}, "add head_depth"),
        ({"heads": "dished", "head_depth": 0.7}, "no deeper than half the diameter"),
        ({"heads": "flat", "head_depth": 0.1}, "leave head_depth out"),
    ],
)
def test_inputs_that_make_no_sense_together_name_the_edit(more, words):
    """Each with the input to mend."""
    with pytest.raises(CannotWork, match=words):
        run(**more)
