"""Quantiles are the inverse of the distributions, and both are what general libraries and handbooks say."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special, stats

from diagnose.history.quantiles import (
    beta_cdf,
    beta_quantile,
    gamma_cdf,
    gamma_quantile,
    log_gamma,
    normal_tail,
)

SHAPES = np.array([0.01, 0.1, 0.5, 0.9, 1.0, 1.6, 5.0, 37.5, 400.0, 2e4, 3e5])
"""At the largest ones the logarithms that cancel are in the millions, which costs seven digits of sixteen."""
HANDBOOK = "NASA/SP-2009-569, ch. 4"


@pytest.mark.parametrize("p", [0.001, 0.05, 0.3, 0.5, 0.9, 0.95, 0.999])
def test_gamma_is_scipys(p):
    """Quantiles over the whole range of shapes; scipy.stats.gamma is the reference."""
    ours, theirs = gamma_quantile(SHAPES, 2.5, p), stats.gamma.ppf(p, SHAPES, scale=1 / 2.5)
    assert ours == pytest.approx(theirs, rel=1e-8, abs=1e-300)
    assert gamma_cdf(SHAPES, theirs * 2.5) == pytest.approx(stats.gamma.cdf(theirs * 2.5, SHAPES), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.05, 5000), st.floats(1e-4, 0.9999))
def test_a_gamma_quantile_turns_its_distribution_round(shape, p):
    """P(X <= the quantile) is the probability that was asked for."""
    assert float(gamma_cdf(shape, gamma_quantile(shape, 1.0, p))) == pytest.approx(p, abs=1e-10)


@pytest.mark.parametrize(("a", "b"), [(0.5, 0.5), (1, 3), (21, 8), (0.5, 191.6), (1.24, 189_075), (900, 3)])
@pytest.mark.parametrize("p", [0.001, 0.05, 0.5, 0.95, 0.999])
def test_beta_is_scipys(a, b, p):
    """Both ways round; scipy.stats.beta is the reference."""
    theirs = float(stats.beta.ppf(p, a, b))
    assert beta_quantile(a, b, p) == pytest.approx(theirs, rel=1e-8)
    assert beta_cdf(a, b, theirs) == pytest.approx(float(stats.beta.cdf(theirs, a, b)), abs=1e-9)


@pytest.mark.parametrize("degrees", [1, 2, 7, 22, 72, 600])
def test_chi_square_is_scipys(degrees):
    """A gamma of half the degrees and rate 1/2, both ways round; scipy.stats.chi2 is the reference."""
    for p in (0.025, 0.5, 0.95):
        theirs = float(stats.chi2.ppf(p, degrees))
        assert float(gamma_quantile(degrees / 2, 0.5, p)) == pytest.approx(theirs, rel=1e-10)
        assert float(gamma_cdf(degrees / 2, theirs / 2)) == pytest.approx(p, abs=1e-12)


def test_the_logarithm_of_the_gamma_function_is_scipys():
    """From shapes near nothing to large ones; scipy.special.gammaln is the reference."""
    x = np.concatenate([SHAPES, np.geomspace(1e-8, 1e6, 200)])
    assert log_gamma(x) == pytest.approx(special.gammaln(x), rel=1e-13, abs=1e-13)


def test_the_normal_tail_is_scipys():
    """One tail of the standard normal distribution."""
    for z in (-3.0, 0.0, 1.2816, 6.0):
        assert normal_tail(z) == pytest.approx(float(stats.norm.sf(z)), rel=1e-12)


def test_the_ends_of_the_distributions():
    """Nothing lies below 0, and for a beta nothing above 1."""
    assert gamma_cdf(2.0, np.array([-1.0, 0.0])).tolist() == [0.0, 0.0]
    assert (beta_cdf(2, 3, -0.1), beta_cdf(2, 3, 1.0)) == (0.0, 1.0)


OUTSIDE = [
    ("beta(1.24, 189 075), 2 of 285: 5 %", beta_quantile(3.24, 189_358, 0.05), 5.0e-6, HANDBOOK, 0.02),
    ("beta(1.24, 189 075), 2 of 285: 95 %", beta_quantile(3.24, 189_358, 0.95), 3.5e-5, HANDBOOK, 0.02),
    ("beta(1.24, 189 075), 2 of 285: mean", 3.24 / (3.24 + 189_358), 1.7e-5, HANDBOOK, 0.02),
    ("gamma(1.6, 365 000 h), 0 in 4800 h: mean", 1.6 / 369_800, 4.3e-6, HANDBOOK, 0.02),
    (
        "gamma(1.6, 365 000 h), 0 in 4800 h: 5 %",
        float(gamma_quantile(1.6, 369_800, 0.05)),
        5.6e-7,
        HANDBOOK,
        0.02,
    ),
    (
        "gamma(1.6, 365 000 h), 0 in 4800 h: 95 %",
        float(gamma_quantile(1.6, 369_800, 0.95)),
        1.1e-5,
        HANDBOOK,
        0.05,
    ),
    ("Dirichlet of 21, 6, 2, first: 5 %", beta_quantile(21, 8, 0.05), 0.58, HANDBOOK, 0.01),
    ("Dirichlet of 21, 6, 2, first: 95 %", beta_quantile(21, 8, 0.95), 0.85, HANDBOOK, 0.01),
    ("Dirichlet of 21, 6, 2, second: 5 %", beta_quantile(6, 23, 0.05), 0.10, HANDBOOK, 0.04),
    ("Dirichlet of 21, 6, 2, second: 95 %", beta_quantile(6, 23, 0.95), 0.34, HANDBOOK, 0.02),
    ("Dirichlet of 21, 6, 2, third: 5 %", beta_quantile(2, 27, 0.05), 0.01, HANDBOOK, 0.35),
    ("Dirichlet of 21, 6, 2, third: 95 %", beta_quantile(2, 27, 0.95), 0.16, HANDBOOK, 0.04),
    ("gamma(0.62, 2200 h): 5 %", float(gamma_quantile(0.62, 2200, 0.05)), 3e-6, HANDBOOK, 0.15),
    ("gamma(0.62, 2200 h): 95 %", float(gamma_quantile(0.62, 2200, 0.95)), 1e-3, HANDBOOK, 0.05),
    ("beta(0.5, 191.6): 5 %", beta_quantile(0.5, 191.6, 0.05), 1.0e-5, HANDBOOK, 0.05),
    ("beta(0.5, 191.6): 95 %", beta_quantile(0.5, 191.6, 0.95), 1.0e-2, HANDBOOK, 0.05),
]
"""(Case, ours, theirs, source, relative difference that their printed digits leave open)."""


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "close"), OUTSIDE)
def test_published_posteriors(case, ours, theirs, source, close):
    """As the handbook prints them, to its digits (its example 1 prints 189 226 for 189 358)."""
    assert math.isclose(ours, theirs, rel_tol=close), (case, ours, theirs, source)
