"""The displacer's buoyancy against textbooks and `fluids`, and the laws of its span."""

import math

import fluids
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from diagnose.calculators.base import Calculation, CannotWork, Value
from diagnose.calculators.buoyancy import (
    GRAVITY,
    buoyant_force,
    covered_height,
    covered_share,
    cylinder_volume,
)
from diagnose.calculators.displacer import DISPLACER, lever_ratio
from diagnose.calculators.run import work
from diagnose.units import UNITS, to_si

STEADY = settings(max_examples=100, deadline=None, derandomize=True)
INCH, POUND = UNITS["in"].factor, UNITS["lb"].factor
LB_FT3 = UNITS["lb/ft3"].factor
HUNG = st.sampled_from(("upright", "flat"))
SHARE = st.floats(0.0, 1.0)
DENSITY = st.floats(500.0, 1200.0)

COMMON: dict[str, Value] = {"diameter": 3 * INCH, "length": 12 * INCH, "hung": "upright", "density": 850.0}
HEAVY = 10 * POUND
LIGHT = 1 * POUND


def run(**more: Value) -> Calculation:
    """A 3 in by 12 in displacer hung upright in oil, with ``more`` said of it."""
    return work(DISPLACER, {**COMMON, **more})


def of_volume(volume: float, **more: Value) -> Calculation:
    """An upright cylinder of that volume (m3), as tall as it is wide."""
    size = (4 * volume / math.pi) ** (1 / 3)
    return run(diameter=size, length=size, **more)


def hull(draught_feet: float) -> float:
    """Lift in N on a box 20 ft x 6 ft, as an upright cylinder of the same area, so deep in the water."""
    foot = UNITS["ft"].factor
    return float(
        run(
            diameter=math.sqrt(4 * 120 / math.pi) * foot,
            length=10 * foot,
            density=62.4 * LB_FT3,
            covered=draught_feet * foot,
        )["buoyancy_now"]
    )


COIN = of_volume(0.830e-6, weight=8.630e-3, density=1000.0)
COIN_SOURCE = "OpenStax, College Physics, ch. 11.7, coin example"
SHAPE = of_volume(1.28e3, material_density=7.8e3, density=1000.0)
SHAPE_SOURCE = "OpenStax, College Physics, ch. 11.7, shape example (a)"
STONE = of_volume(UNITS["ft3"].factor, weight=187.2 * POUND, density=62.4 * LB_FT3)
STONE_SOURCE = "Tower, Smith, Turton & Cope, Physics, Archimedes, problem (b)"
HULL_SOURCE = "Tower, Smith, Turton & Cope, Physics, Archimedes, problem (a)"
LBF = UNITS["lbf"].factor

OUTSIDE: list[tuple[str, float, float, str, float]] = [
    ("coin in water, g", COIN["pull_covered"] / GRAVITY * 1000, 7.800, COIN_SOURCE, 1e-4),
    ("coin, density in g/cm3", COIN["weight"] / COIN["volume"] / 1000, 10.4, COIN_SOURCE, 5e-3),
    ("steel, kg", SHAPE["weight"], 1.00e7, SHAPE_SOURCE, 5e-3),
    ("steel, lift in N (printed 1.3e7)", SHAPE["buoyancy_covered"], 1.3e7, SHAPE_SOURCE, 0.04),
    ("stone in water, lbf", STONE["pull_covered"] / LBF, 124.8, STONE_SOURCE, 1e-9),
    ("stone, lift in lbf", STONE["buoyancy_covered"] / LBF, 62.4, STONE_SOURCE, 1e-9),
    ("hull 3 ft deep, lbf", hull(3) / LBF, 22_464, HULL_SOURCE, 1e-9),
    ("hull 5 ft deep, lbf", hull(5) / LBF, 37_440, HULL_SOURCE, 1e-9),
    ("hull, 2 ft more, lbf", (hull(5) - hull(3)) / LBF, 14_976, HULL_SOURCE, 1e-9),
    *(
        (
            f"flat, covered to {part} of its diameter, m2",
            covered_share(part * 0.1, 0.1, 1.0, "flat") * cylinder_volume(0.1, 1.0),
            fluids.geometry.A_partial_circle(0.1, part * 0.1),
            "fluids.geometry.A_partial_circle",
            1e-9,
        )
        for part in (0.01, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99)
    ),
]


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "tolerance"), OUTSIDE)
def test_agrees_with_outside_values(case, ours, theirs, source, tolerance):
    """Weights, lifts and covered areas are those of the books and of `fluids`."""
    assert ours == pytest.approx(theirs, rel=tolerance), f"{case}: {source}"


@STEADY
@given(SHARE, st.floats(0.02, 0.5))
def test_flat_share_is_the_partial_circle_of_fluids(part, diameter):
    """Over the whole range the covered area of a flat one is that of `fluids.geometry.A_partial_circle`."""
    theirs = fluids.geometry.A_partial_circle(diameter, part * diameter)
    ours = covered_share(part * diameter, diameter, 1.0, "flat") * cylinder_volume(diameter, 1.0)
    assert ours == pytest.approx(theirs, rel=1e-7, abs=1e-9)


@STEADY
@given(SHARE, HUNG)
def test_height_and_share_round_trip(share, hung):
    """The height that covers a share covers that share."""
    height = covered_height(share, 0.08, 0.3, hung)
    assert covered_share(height, 0.08, 0.3, hung) == pytest.approx(share, abs=1e-9)


@STEADY
@given(st.floats(-0.1, 0.4), st.floats(-0.1, 0.4), HUNG)
def test_more_level_covers_more(one, other, hung):
    """The covered share never falls as the level rises, and stays between nothing and all."""
    low, high = sorted((one, other))
    shares = [covered_share(height, 0.08, 0.3, hung) for height in (low, high)]
    assert 0.0 <= shares[0] <= shares[1] + 1e-15 <= 1.0 + 2e-15


@STEADY
@given(DENSITY, DENSITY, SHARE)
def test_weight_is_pull_and_lift_together(one, other, share):
    """At any level, what the arm carries and what the liquids carry add up to the dry weight."""
    upper, lower = sorted((one, other))
    found = run(density=lower, upper_density=upper, weight=HEAVY, covered_share=share)
    weight = HEAVY * GRAVITY
    assert found["pull_now"] + found["buoyancy_now"] == pytest.approx(weight)
    assert found["pull_bare"] - found["pull_covered"] == pytest.approx(found["lift"], abs=1e-9)
    displaced = share * lower + (1 - share) * upper
    assert found["buoyancy_now"] == pytest.approx(buoyant_force(found["volume"], displaced))


@STEADY
@given(st.floats(0.05, 12.0), DENSITY)
def test_floats_exactly_when_the_covered_pull_is_gone(pounds, density):
    """It floats when it is no heavier than the liquid that it moves aside, and the answers agree on that."""
    found = run(weight=pounds * POUND, density=density, needed_force=1.0)
    assert found["floats"] == (found["pull_covered"] <= 0) == (found["fit"] == "floats")
    assert found["floats"] == (found["own_density"] <= density)


@STEADY
@given(st.floats(0.005, 0.07), SHARE, HUNG)
def test_span_as_measured_comes_back(span, place, hung):
    """In the liquid and at the place of the measurement, the predicted span is the measured one."""
    found = run(
        hung=hung, measured_span=span, measured_at=place, fulcrum=place, measured_density=850.0, weight=HEAVY
    )
    assert found["span"] == pytest.approx(span, rel=1e-6)
    assert found["fit"] == "fits"


@STEADY
@given(st.floats(0.001, 0.02), SHARE, st.floats(1.1, 5.0), HUNG)
def test_outward_widens_the_span(span, place, ratio, hung):
    """The span grows from the innermost mark to the outermost, and the share of its lift with it."""
    found = run(hung=hung, measured_span=span, measured_at=place, outer_ratio=ratio)
    shares = [found[f"share_used_{name}"] for name in ("innermost", "middle", "outermost")]
    assert shares[0] < shares[1] < shares[2]
    assert shares[2] == pytest.approx(ratio * shares[0])
    spans = [answer.value for answer in found.answers if answer.name.startswith("span_")]
    assert spans
    assert spans == sorted(spans)


@STEADY
@given(st.floats(0.01, 0.3), SHARE, st.floats(0.0, 800.0))
def test_lightest_liquid_gives_full_stroke_only_just(span, place, upper):
    """In the lightest liquid named the whole displacer is used, and a lighter one is too weak."""
    said = {"measured_span": span, "measured_at": place, "upper_density": upper, "weight": HEAVY}
    found = run(**said)
    lightest = found["lightest_liquid"]
    assert lightest - upper == pytest.approx(found["least_difference"], abs=1e-9)
    assert run(**said, density=lightest * (1 + 1e-9))["share_used"] == pytest.approx(1.0, abs=1e-4)
    assert (found["fit"] == "weak") == (lightest > 850.0)


@STEADY
@given(st.floats(0.05, 0.3), SHARE)
def test_furthest_out_is_where_the_whole_lift_is_used(span, place):
    """At the furthest place out, full stroke takes all of the lift (less at the end mark)."""
    found = run(measured_span=span, measured_at=place)
    assume(found["share_used_innermost"] <= 1)
    out = found["furthest_out"]
    used = run(measured_span=span, measured_at=place, fulcrum=out)["share_used"]
    assert used == pytest.approx(1.0) if out < 1 else used <= 1 + 1e-9


def test_needed_force_gives_the_same_as_the_measurement_it_comes_from():
    """The force that a measured span stands for, given as such, leads to the same spans."""
    measured = run(measured_span=0.1, measured_at=0.3, fulcrum=0.6)
    forced = run(needed_force=measured["force_needed"], fulcrum=0.6)
    water = buoyant_force(cylinder_volume(3 * INCH, 12 * INCH), 999.016) * 0.1 / (12 * INCH)
    assert measured["force_needed"] == pytest.approx(water * lever_ratio(0.6, 3) / lever_ratio(0.3, 3))
    for name in ("span", "span_innermost", "share_used_outermost", "furthest_out"):
        assert forced[name] == pytest.approx(measured[name])


def test_torque_is_lift_times_arm():
    """The torque change is worked out only with an arm, and is in N m."""
    assert run(arm=0.4)["torque_change"] == pytest.approx(0.4 * run()["lift"])
    with pytest.raises(KeyError):
        run()["torque_change"]


@pytest.mark.parametrize(
    ("said", "fit"),
    [
        ({"weight": LIGHT}, "floats"),
        ({"weight": LIGHT, "needed_force": 1.0}, "floats"),
        ({"weight": HEAVY, "needed_force": 1.0}, "fits"),
        ({"weight": HEAVY, "needed_force": 100.0}, "weak"),
        ({"weight": HEAVY, "upper_density": 850.0}, "weak"),
        ({"weight": HEAVY}, None),
        ({"needed_force": 1.0}, None),
    ],
)
def test_fit_in_a_word(said, fit):
    """Floats, weak or fits; no word where weight or stiffness is needed for it and not known."""
    named = {answer.name: answer.value for answer in run(**said).answers}
    assert named.get("fit") == fit


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"weight": LIGHT}, "It floats"),
        ({}, "Give weight"),
        ({"weight": HEAVY}, "takes measured_span"),
        ({"needed_force": 20.0, "fulcrum": 1.0}, "Further in it may"),
        ({"needed_force": 20.0, "fulcrum": 0.0}, "larger displacer"),
        ({"needed_force": 10.5}, "Over 80 %"),
        ({"needed_force": 1.0}, "Give fulcrum"),
        ({"upper_density": 850.0}, "weigh the same"),
        ({"weight": HEAVY, "material_density": 2000.0}, "caked or filled"),
        ({"measured_span": 0.1, "fulcrum": 0.5}, "where it is now"),
    ],
)
def test_notes_say_what_to_know(said, words):
    """Each case that a hand must know of has its sentence."""
    assert words in " ".join(run(**said).notes)


@pytest.mark.parametrize("weight", [0.1 * POUND, 100 * POUND])
def test_impossible_weight_for_its_size_is_out_of_range(weight):
    """A displacer lighter than cork or heavier than lead is flagged and not refused."""
    found = run(weight=weight)
    assert not found.in_range
    assert any("Read weight" in note for note in found.notes)
    assert run(weight=HEAVY).in_range


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"upper_density": 900.0}, "change the two round"),
        ({"measured_span": 0.2, "needed_force": 5.0}, "take one of them out"),
        ({"covered": 0.1, "covered_share": 0.5}, "take one of them out"),
        ({"measured_span": 0.1, "hung": "flat"}, "put right the span"),
    ],
)
def test_inputs_that_contradict_each_other_are_refused(said, words):
    """The message names the edit that mends it."""
    with pytest.raises(CannotWork, match=words):
        DISPLACER.work({**COMMON, "measured_density": to_si(1.0, "SG"), "outer_ratio": 3.0, **said})
