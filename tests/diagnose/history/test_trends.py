"""Trend tests: the published cases, and that they find what was put in and no more."""

import math

import numpy as np
import pytest
from scipy import stats

from diagnose.history.quantiles import gamma_cdf, normal_tail
from diagnose.history.trends import (
    chance_of_few,
    false_discovery,
    growth_of,
    laplace,
    mtbf,
    mtbf_now,
    pooled_laplace,
    power_chi_square,
    reversals,
    trends_of,
)

REPAIRS = [5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478]
GAPS = [b - a for a, b in zip([0, *REPAIRS], REPAIRS, strict=False)]
NIST = "NIST/SEMATECH e-Handbook of Statistical Methods, ch. 8"
NIST_MEMORY = f"{NIST}, 8.2.3.4 (from memory, calculated)"
THREE = [
    ([4.3, 4.4, 10.2, 23.5, 23.8, 26.4, 74.0, 77.1, 92.1, 197.2], 200),
    (
        [0.1, 5.6, 18.6, 19.5, 24.2, 26.7, 45.1, 45.8, 75.7, 79.7, 98.6, 120.1, 161.8, 180.6, 190.8],
        200,
    ),
    ([8.4, 32.5, 44.7, 48.4, 50.6, 73.6, 98.7, 112.2, 129.8, 136.0, 195.8], 200),
]
VIGNETTE = "Crow's three systems in J. Warren, mcotear vignette, 2019"
WORSENING_GAPS = """
104 131 1597 59 4 503 157 6 118 173 114 62 101 216 106 140 1 102 3 393 96 232 89 61 37 293 7 165 87 99
"""
WORSENING = np.cumsum([int(gap) for gap in WORSENING_GAPS.split()]).tolist()
MODARRES = "Modarres et al., Reliability Engineering and Risk Analysis, ex. 5.11"


def modarres_power():
    """It ends with its last failure, which gives no logarithm of its own."""
    total, _ = power_chi_square([(WORSENING, WORSENING[-1])])
    return 2 * len(WORSENING) / total


OUTSIDE = [
    ("power law's exponent, freed of its bias", growth_of(REPAIRS, 1500).value, 0.483506, NIST, 1e-5),
    (
        "power law's scale",
        len(REPAIRS) / 1500 ** growth_of(REPAIRS, 1500).value,
        0.2913003,
        NIST,
        1e-6,
    ),
    ("MTBF at 1500 h", mtbf_now(REPAIRS, 1500).value, 310.234, NIST, 1e-5),
    ("MTBF at 1500 h, low end of 80 %", mtbf_now(REPAIRS, 1500, 0.8).low, 157.7138, NIST, 1e-5),
    ("MTBF at 1500 h, high end of 80 %", mtbf_now(REPAIRS, 1500, 0.8).high, 548.5566, NIST, 1e-5),
    ("reversals of 45", reversals(GAPS), 33, NIST_MEMORY, 0),
    ("2 x sum of logarithms", power_chi_square([(REPAIRS, 1500)])[0], 37.23, NIST_MEMORY, 1e-3),
    ("its degrees of freedom", power_chi_square([(REPAIRS, 1500)])[1], 20, NIST_MEMORY, 0),
    ("Laplace", laplace(REPAIRS, 1500), -1.327, NIST_MEMORY, 1e-3),
    ("three systems, chi-square", power_chi_square(THREE)[0], 117.0092, VIGNETTE, 1e-6),
    ("three systems, degrees of freedom", power_chi_square(THREE)[1], 72, VIGNETTE, 0),
    (
        "three systems, chance of either",
        2 * (1 - float(gamma_cdf(72 / 2, power_chi_square(THREE)[0] / 2))),
        0.00126925,
        VIGNETTE,
        1e-5,
    ),
    ("three systems, Laplace", pooled_laplace(THREE), -3.012036, VIGNETTE, 1e-6),
    ("three systems, its chance", 2 * normal_tail(-pooled_laplace(THREE)), 0.002595, VIGNETTE, 1e-3),
    ("worsening, Laplace", laplace(WORSENING[:-1], WORSENING[-1]), 2.409, MODARRES, 1e-3),
    ("worsening, exponent", modarres_power(), 1.588, MODARRES, 1e-3),
    (
        "worsening, scale",
        len(WORSENING) / WORSENING[-1] ** modarres_power(),
        3.703e-5,
        MODARRES,
        1e-3,
    ),
]
"""(Case, ours, theirs, source, relative difference that their printed digits leave open)."""


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "close"), OUTSIDE)
def test_published_trends(case, ours, theirs, source, close):
    """As they are printed, to their digits."""
    assert math.isclose(ours, theirs, rel_tol=close), (case, ours, theirs, source)


@pytest.mark.parametrize("events", [1, 7, 40])
def test_time_between_failures_has_chi_square_limits(events):
    """At each end so many are as seldom as they should be; scipy.stats.poisson is the reference."""
    found = mtbf(events, 500.0, 0.9)
    assert stats.poisson.cdf(events, 500 / found.low) == pytest.approx(0.05)
    assert stats.poisson.sf(events - 1, 500 / found.high) == pytest.approx(0.05)
    assert found.value == 500 / events


def test_the_exponents_interval_is_exact():
    """At each end what was seen is as seldom as it says; scipy.stats.chi2 is the reference."""
    found = growth_of(REPAIRS, 1500, 0.9)
    total, degrees = power_chi_square([(REPAIRS, 1500)])
    assert stats.chi2.cdf(found.low * total, degrees) == pytest.approx(0.05)
    assert stats.chi2.cdf(found.high * total, degrees) == pytest.approx(0.95)


def test_the_chance_of_reversals_is_counted_out():
    """Against all orders of six gaps, each as likely."""
    from itertools import permutations

    counts = [reversals(order) for order in permutations(range(6))]
    for found in range(16):
        assert chance_of_few(found, 6) == pytest.approx(np.mean([count <= found for count in counts]))


def test_false_discoveries_are_scipys():
    """scipy.stats.false_discovery_control is the reference."""
    chances = np.random.default_rng(1).uniform(size=40) ** 3
    assert false_discovery(chances.tolist()) == pytest.approx(stats.false_discovery_control(chances))
    assert false_discovery([]) == []


def test_a_steady_unit_is_seldom_called_worse():
    """Of steady units some 5 in 100 have a chance below 5 %, by each of the three tests."""
    draw = np.random.default_rng(7)
    found = trends_of([[0.0, *np.sort(draw.uniform(0, 1000, 12))] for _ in range(600)], [1000.0] * 600)
    for name in ("laplace_worse", "reversals_worse", "power_worse"):
        assert np.mean([getattr(trend, name) < 0.05 for trend in found]) == pytest.approx(0.05, abs=0.025)


def test_a_worsening_unit_is_found():
    """Callouts at a rate that grows with the square of time: all three tests see it, the exponent too."""
    draw = np.random.default_rng(3)
    (found,) = trends_of([[0.0, *np.sort(1000 * draw.uniform(0, 1, 60) ** (1 / 3))]], [1000.0])
    assert found
    assert max(found.laplace_worse, found.power_worse) < 1e-4
    assert found.reversals_worse < 0.05
    assert found.growth.low < 3 < found.growth.high
    assert found.mtbf_now.value < found.mtbf.value


def test_the_first_callout_begins_the_watch():
    """Moved in time as a whole it says the same; the first is not counted."""
    days = [3.0, 100.0, 220.0, 300.0, 380.0, 430.0]
    (found,), (moved,) = trends_of([days], [500.0]), trends_of([[day + 1000 for day in days]], [1500.0])
    assert found
    assert found == moved
    assert (found.events, found.days) == (5, 497)


@pytest.mark.parametrize("days", [[], [1.0], [1.0, 2.0, 3.0, 4.0], [1.0, 1.0, 1.0, 1.0, 1.0]])
def test_of_too_few_nothing_is_said(days):
    """Nor of callouts that all came at once."""
    assert trends_of([days], [10.0]) == [None]


def test_each_unit_has_its_own_trend_among_many():
    """One by one or together, with some that have none among them: the same."""
    units = [[1.0], [0.0, 5, 7, 8, 9, 9.5], [], [2.0, 3, 4, 6, 9, 9.9, 9.95]]
    alone = [trends_of([unit], [10.0])[0] for unit in units]
    assert trends_of(units, [10.0] * 4) == alone
    assert [trend is None for trend in alone] == [True, False, True, False]
    for trend, unit in zip(alone, units, strict=True):
        if trend:
            times = [day - unit[0] for day in unit[1:]]
            assert trend.growth == growth_of(times, 10 - unit[0])
            assert trend.mtbf == mtbf(len(times), 10 - unit[0])
            total, degrees = power_chi_square([(times, 10 - unit[0])])
            assert trend.power_worse == float(gamma_cdf(degrees / 2, total / 2))


def test_of_many_gaps_the_normal_distribution_counts_the_orders():
    """Where counting stops, the two agree."""
    counted, close = chance_of_few(800, 60), chance_of_few(826, 61)
    assert counted == pytest.approx(0.16, abs=0.03)
    assert close == pytest.approx(counted, abs=0.02)
