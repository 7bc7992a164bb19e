"""What a gauge's reading can mean, against the grade table and the normal distribution of scipy."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm, truncnorm

from diagnose.calculators.base import Calculation, CannotWork, Value
from diagnose.calculators.gauge import (
    GAUGE,
    Span,
    allowed_error,
    can_be_same,
    outcome_weights,
    standard_deviation,
    standing,
    true_span,
)
from diagnose.units import to_si

QUICK = settings(derandomize=True, max_examples=80, deadline=None)
B40 = "ASME B40.100 (from memory)"
SCIPY = "scipy.stats.truncnorm, a general library"


def scipy_weights(reading: float, limits: list[float], sigma: float) -> list[float]:
    """Shares of a normal distribution that is cut off at zero."""
    below = truncnorm.cdf([0.0, *limits, np.inf], -reading / sigma, np.inf, loc=reading, scale=sigma)
    return [float(share) for share in np.diff(below)]


OUTSIDE = [
    *(
        (
            f"grade {grade}, at {share:.0%} of the scale, % of span",
            allowed_error(share * 200, 200, grade) / 2,
            per_cent,
            B40,
            1e-9,
        )
        for grade, ends, middle in (("A", 2, 1), ("B", 3, 2), ("C", 4, 3), ("D", 5, 5))
        for share, per_cent in ((0.1, ends), (0.5, middle), (0.9, ends))
    ),
    (
        "share of readings inside the limits",
        outcome_weights(50, [48, 52], standard_deviation(50, 100, "B"))[1],
        float(norm.cdf(3) - norm.cdf(-3)),
        "scipy.stats.norm",
        1e-12,
    ),
    *(
        (f"weight of bin {place + 1}, reading {reading} with {sigma}", ours, theirs, SCIPY, 1e-9)
        for reading, sigma in ((0.5, 0.6), (1.4, 0.2), (12.0, 1.0))
        for place, (ours, theirs) in enumerate(
            zip(
                outcome_weights(reading, [1.5, 12.8], sigma),
                scipy_weights(reading, [1.5, 12.8], sigma),
                strict=True,
            )
        )
    ),
]


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "tolerance"), OUTSIDE)
def test_agrees_with_the_outside_source(case, ours, theirs, source, tolerance):
    """Each value agrees with the source named beside it."""
    assert ours == pytest.approx(theirs, rel=tolerance, abs=1e-12), f"{case}: {source}"


readings = st.floats(0, 200)
sigmas = st.floats(0.01, 20)
cuts = st.lists(st.integers(1, 199), min_size=1, max_size=5, unique=True).map(sorted)


@QUICK
@given(readings, cuts, sigmas)
def test_weights_agree_with_scipy_over_the_range(reading, limits, sigma):
    """Each bin's share, for readings on and off the edges."""
    ours = outcome_weights(reading, limits, sigma)
    assert ours == pytest.approx(scipy_weights(reading, limits, sigma), abs=1e-9)


@QUICK
@given(st.floats(-50, 300), cuts, st.floats(0, 20))
def test_weights_are_a_distribution(reading, limits, sigma):
    """One for each bin, none below zero, one in all."""
    weights = outcome_weights(reading, limits, sigma)
    assert len(weights) == len(limits) + 1
    assert min(weights) >= 0
    assert sum(weights) == pytest.approx(1, abs=1e-12)


@QUICK
@given(readings, readings, cuts, sigmas)
def test_weight_moves_up_with_the_reading(one, other, limits, sigma):
    """A higher reading never makes it likelier that the truth is below any limit."""
    low, high = sorted((one, other))
    below_low = np.cumsum(outcome_weights(low, limits, sigma))
    below_high = np.cumsum(outcome_weights(high, limits, sigma))
    assert (below_high <= below_low + 1e-12).all()


@QUICK
@given(st.floats(20, 180), st.floats(0.01, 1.0), st.floats(5, 15))
def test_far_from_an_edge_the_weight_is_one(reading, sigma, away):
    """Five standard deviations off, to one in a million; then it is the hard bin."""
    limits = [reading - away * sigma, reading + away * sigma]
    assert outcome_weights(reading, limits, sigma)[1] == pytest.approx(1, abs=1e-6)
    assert outcome_weights(reading, limits, 0.0) == [0.0, 1.0, 0.0]


def test_on_the_edge_both_bins_weigh_the_same():
    """A reading on the limit says nothing of the two."""
    assert outcome_weights(10.0, [10.0], 0.5) == pytest.approx([0.5, 0.5])
    assert outcome_weights(10.0, [10.0], 0.0) == [0.0, 1.0]


def test_far_below_zero_the_truth_is_zero():
    """The tail is too small for a number: the first bin takes it all."""
    assert outcome_weights(-100.0, [1.5, 12.0], 0.5) == [1.0, 0.0, 0.0]


def test_bad_limits_and_errors_are_refused():
    """With the numbers in the words."""
    with pytest.raises(ValueError, match=r"must rise: \[2.0, 1.0\]"):
        outcome_weights(1.0, [2.0, 1.0], 0.5)
    with pytest.raises(ValueError, match="below zero: -1"):
        outcome_weights(1.0, [2.0], -1.0)


@QUICK
@given(st.floats(0, 99.9), st.sampled_from("ABCD"))
def test_the_reading_lies_in_its_own_span(reading, grade):
    """And the span is as wide as the grade allows, but for zero."""
    span = true_span(reading, 100.0, grade)
    error = allowed_error(reading, 100.0, grade)
    assert span.low <= reading <= span.high
    assert span == pytest.approx((max(reading - error, 0), reading + error))
    assert standard_deviation(reading, 100.0, grade) == pytest.approx(error / 3)


@QUICK
@given(readings, readings, st.floats(0, 20), st.floats(0, 20))
def test_two_gauges_agree_as_far_as_their_errors_add(one, other, first, second):
    """The same either way round; a gauge agrees with itself."""
    left, right = Span(one - first, one + first), Span(other - second, other + second)
    assert can_be_same(left, right) == can_be_same(right, left)
    assert can_be_same(left, left)
    gap = abs(one - other) - (first + second)
    if abs(gap) > 1e-9:
        assert can_be_same(left, right) == (gap < 0)


def test_the_middle_half_is_from_a_quarter_to_three_quarters():
    """ASME B40.100 (from memory): grade A allows 1 % of span there, 2 % outside."""
    errors = [allowed_error(reading, 100.0, "A") for reading in (24.9, 25.0, 75.0, 75.1)]
    assert errors == pytest.approx([2.0, 1.0, 1.0, 2.0])


def test_readings_off_the_scale_are_named():
    """Below, at the top of, and above the scale."""
    assert [standing(each, 30.0) for each in (-0.1, 0.0, 29.9, 30.0, 31.0)] == [
        "below_zero",
        "possible",
        "possible",
        "pegged",
        "above_range",
    ]


def run(reading: float, full_scale: float = 60.0, **more: Value) -> Calculation:
    """A gauge in psi, with other inputs in place of the usual ones."""
    usual = {entry.name: entry.usual for entry in GAUGE.inputs if entry.usual is not None}
    given = {"reading": to_si(reading, "psi"), "range": to_si(full_scale, "psi")}
    return GAUGE.work({**usual, **given, **more})


def names(result: Calculation) -> set[str]:
    """What it tells."""
    return {answer.name for answer in result.answers}


def told(result: Calculation) -> str:
    """All its notes."""
    return " ".join(result.notes)


def test_plain_reading_by_hand():
    """30 psi on a 60 psi gauge of grade B: 2 % of 60 either way, a third of it as deviation."""
    result = run(30.0)
    assert (result["standing"], result.in_range) == ("possible", True)
    assert [result[name] for name in ("lowest", "highest", "deviation")] == pytest.approx(
        [to_si(each, "psi") for each in (28.8, 31.2, 0.4)]
    )
    assert "limits as three" in told(result)


def test_low_reading_can_be_zero_and_proves_nothing():
    """1 psi on a 60 psi gauge: 3 % is 1.8 psi."""
    result = run(1.0)
    assert result["lowest"] == 0.0
    assert "does not prove that the line is dead" in told(result)


def test_pegged_needle_has_no_upper_end():
    """By its number, or by what the hand sees."""
    for result in (run(60.0), run(10.0, needle="at_top_stop")):
        assert (result["standing"], result.in_range) == ("pegged", False)
        assert result["lowest"] == pytest.approx(to_si(58.2, "psi"))
        assert not {"highest", "deviation"} & names(result)
        assert "keep clear" in told(result)


def test_impossible_readings_tell_no_pressure():
    """Above the scale, and under zero."""
    assert names(run(80.0)) == {"standing"}
    assert "above the gauge's scale" in told(run(80.0))
    shifted = run(0.0, needle="below_zero")
    assert shifted["standing"] == "below_zero"
    assert names(shifted) == {"standing"}
    assert "the gauge has shifted" in told(shifted)


def test_second_gauge_by_hand():
    """30 psi on 60 psi (28.8 to 31.2) against a 100 psi gauge, 2 % in its middle half."""
    same = run(30.0, other_reading=to_si(33.0, "psi"), other_range=to_si(100.0, "psi"))
    assert same["can_be_same"]
    apart = run(30.0, other_reading=to_si(34.0, "psi"), other_range=to_si(100.0, "psi"))
    assert not apart["can_be_same"]
    assert "cannot both be right" in told(apart)
    above = run(60.0, other_reading=to_si(90.0, "psi"), other_range=to_si(100.0, "psi"))
    assert above["can_be_same"]


def test_second_gauge_that_makes_no_sense_names_the_edit():
    """No range, or a reading above it."""
    with pytest.raises(CannotWork, match="add other_range"):
        run(30.0, other_reading=1e5)
    with pytest.raises(CannotWork, match="other_reading is above other_range"):
        run(30.0, other_reading=2e5, other_range=1e5)
