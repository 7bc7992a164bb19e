"""Gamma and beta distributions and mixtures of gammas, as far as rates and trends need them.

The incomplete gamma function is a series below its bend and a continued fraction above it, the incomplete
beta function a continued fraction (Abramowitz & Stegun, Handbook of Mathematical Functions, 6.5.29, 6.5.31
and 26.5.8; from memory). A chi-square distribution is a gamma of half its degrees and rate 1/2. A quantile
is found by Newton's method on the logarithm, kept between two bounds that close in on it. Written here
because a general library would add 0.2 s to a start and 100 MB to an install for these few functions.
"""

import math
from collections.abc import Callable
from statistics import NormalDist
from typing import Final

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]
Given = float | Numbers

_TINY: Final = 1e-300
_CLOSE: Final = 1e-15
_STEADY: Final = 1e-12
"""Change of a logarithm at which a quantile is found."""
_MOST_TERMS: Final = 20_000
_MOST_STEPS: Final = 100
_FAR: Final = 700.0
"""The exponential function of this is near the largest number that there is."""

_SHIFT: Final = 8
"""Stirling's series is used from here on; seven of its terms are exact there to the last digits."""
_STIRLING: Final = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360, 1 / 156)


def log_gamma(x: Numbers) -> Numbers:
    """The logarithm of the gamma function, x above 0 (Abramowitz & Stegun 6.1.15 and 6.1.41; from memory).

    >>> log_gamma(np.array([1.0, 5.0])).round(12).tolist(), round(math.log(24), 12)
    ([0.0, 3.178053830348], 3.178053830348)
    """
    up = x + _SHIFT
    steps = x.copy()
    for n in range(1, _SHIFT):
        steps = steps * (x + n)
    square, tail = 1 / (up * up), np.zeros_like(up)
    for part in reversed(_STIRLING):
        tail = tail * square + part
    return np.asarray((up - 0.5) * np.log(up) - up + 0.5 * math.log(2 * math.pi) + tail / up - np.log(steps))


def gamma_cdf(shape: Given, x: Given) -> Numbers:
    """P(X <= x) for a gamma distribution of rate 1; shapes above 0, arrays go together as numpy's do.

    >>> round(float(gamma_cdf(1.0, 2.0)), 12), round(1 - math.exp(-2), 12)
    (0.864664716763, 0.864664716763)
    """
    a, at = np.broadcast_arrays(np.asarray(shape, float), np.maximum(np.asarray(x, float), 0.0))
    below, found = at < a + 1, np.zeros(a.shape)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore", under="ignore"):
        front = np.exp(a * np.log(at) - at - log_gamma(a))
        found[below] = front[below] * _series(a[below], at[below])
        found[~below] = 1 - front[~below] * _fraction(a[~below], at[~below])
    return np.clip(np.where(at <= 0, 0.0, found), 0.0, 1.0)


def _series(a: Numbers, x: Numbers) -> Numbers:
    term = 1 / a
    total = term.copy()
    for n in range(1, _MOST_TERMS):
        term = term * x / (a + n)
        total = total + term
        if np.all(term <= total * _CLOSE):
            break
    return total


def _fraction(a: Numbers, x: Numbers) -> Numbers:
    b = x + 1 - a
    c = np.full_like(x, 1 / _TINY)
    d = 1 / b
    value = d.copy()
    for n in range(1, _MOST_TERMS):
        top = -n * (n - a)
        b = b + 2
        d = 1 / _nonzero(top * d + b)
        c = _nonzero(b + top / c)
        value = value * d * c
        if np.all(np.abs(d * c - 1) < _CLOSE * 10):
            break
    return value


def _nonzero(value: Numbers) -> Numbers:
    return np.where(np.abs(value) < _TINY, _TINY, value)


def gamma_quantile(shape: Given, rate: Given, p: float) -> Numbers:
    """The x with P(X <= x) = p, 0 < p < 1, for gamma distributions of mean shape / rate.

    >>> round(float(gamma_quantile(1.0, 2.0, 0.5)), 12), round(math.log(2) / 2, 12)
    (0.34657359028, 0.34657359028)
    """
    a = np.asarray(shape, float)
    z = NormalDist().inv_cdf(p)
    with np.errstate(divide="ignore", invalid="ignore"):
        cube = np.log(a) + 3 * np.log(np.maximum(1 - 1 / (9 * a) + z / (3 * np.sqrt(a)), 1e-3))
    small = (math.log(p) + log_gamma(a + 1)) / a
    y = np.clip(np.where(a < 1, small, np.maximum(cube, small)), -_FAR, _FAR)
    low, high = np.full_like(y, -_FAR), np.full_like(y, _FAR)
    front = log_gamma(a)

    def chance(y: Numbers) -> tuple[Numbers, Numbers]:
        return gamma_cdf(a, np.exp(y)), np.exp(np.clip(a * y - np.exp(y) - front, -_FAR, _FAR))

    return np.asarray(np.exp(_crossing(chance, y, low, high, p)) / np.asarray(rate, float))


def _crossing(
    chance: Callable[[Numbers], tuple[Numbers, Numbers]], y: Numbers, low: Numbers, high: Numbers, p: float
) -> Numbers:
    """Where a distribution of a logarithm comes to p, by Newton's method from y, kept between low and high.

    ``chance``: the distribution and its slope.
    """
    for _ in range(_MOST_STEPS):
        over, slope = chance(y)
        over = over - p
        low, high = np.where(over < 0, y, low), np.where(over < 0, high, y)
        step = y - np.clip(over / np.maximum(slope, _TINY), -2.0, 2.0)
        after = np.where((step >= low) & (step <= high), step, (low + high) / 2)
        done = np.abs(after - y) <= _STEADY * np.maximum(1.0, np.abs(y))
        y = after
        if np.all(done):
            break
    return y


def mixture_quantile(weight: Numbers, shape: Numbers, rate: Numbers, p: float) -> Numbers:
    """The x with P(X <= x) = p for mixtures of gamma distributions, shape (components, ...) each.

    It lies between the quantiles of the components.

    >>> one = np.ones((2, 1))
    >>> round(float(mixture_quantile(one / 2, one, one, 0.5)[0]), 12), round(math.log(2), 12)
    (0.69314718056, 0.69314718056)
    """
    w, a, b = np.broadcast_arrays(weight, shape, rate)
    each = np.log(np.maximum(gamma_quantile(a, b, p), _TINY))
    log_b, front = np.log(b), log_gamma(a)

    def chance(y: Numbers) -> tuple[Numbers, Numbers]:
        at = y + log_b
        slope = np.exp(np.clip(a * at - np.exp(at) - front, -_FAR, _FAR))
        return (w * gamma_cdf(a, np.exp(at))).sum(axis=0), (w * slope).sum(axis=0)

    return np.exp(_crossing(chance, (w * each).sum(axis=0), each.min(axis=0), each.max(axis=0), p))


def beta_cdf(a: float, b: float, x: float) -> float:
    """P(X <= x) for a beta distribution.

    >>> round(beta_cdf(1, 1, 0.25), 12), round(beta_cdf(2, 1, 0.5), 12)
    (0.25, 0.25)
    """
    if x <= 0 or x >= 1:
        return float(x >= 1)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    if x < (a + 1) / (a + b + 2):
        return round_to_share(front * _beta_fraction(a, b, x) / a)
    return round_to_share(1 - front * _beta_fraction(b, a, 1 - x) / b)


def round_to_share(value: float) -> float:
    """What rounding put outside 0 to 1 brought back."""
    return min(1.0, max(0.0, value))


def _beta_fraction(a: float, b: float, x: float) -> float:
    c, d = 1.0, 1 / _safe(1 - (a + b) * x / (a + 1))
    value = d
    for m in range(1, _MOST_TERMS):
        change = 1.0
        for top in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _safe(1 + top * d)
            c = _safe(1 + top / c)
            change = d * c
            value *= change
        if abs(change - 1) < _CLOSE * 10:
            break
    return value


def _safe(value: float) -> float:
    return _TINY if abs(value) < _TINY else value


def beta_quantile(a: float, b: float, p: float) -> float:
    """The x with P(X <= x) = p, 0 < p < 1, for a beta distribution.

    >>> round(beta_quantile(1, 1, 0.3), 12)
    0.3
    """
    low, high = -_FAR, _FAR
    while high - low > _STEADY * max(1.0, abs(low)):
        middle = (low + high) / 2
        if beta_cdf(a, b, 1 / (1 + math.exp(-middle))) < p:
            low = middle
        else:
            high = middle
    return 1 / (1 + math.exp(-(low + high) / 2))


def normal_tail(z: float) -> float:
    """P(Z >= z) for the standard normal distribution."""
    return math.erfc(z / math.sqrt(2)) / 2
