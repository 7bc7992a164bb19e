"""Whether a unit's callouts come closer together: tests, a power law, times between failures.

Times are days since the unit's first callout, which begins the watch and is not counted itself, until now.
Each test asks whether callouts that come at a steady rate would look like this by chance.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, ch. 8 (reversals, Laplace, power law and the
interval of its MTBF); MIL-HDBK-189 for the chi-square test of a power law against a steady rate (both from
memory); Benjamini & Hochberg 1995 for the many units that are looked at together (from memory).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import NormalDist
from typing import Final

import numpy as np
import numpy.typing as npt

from diagnose.history.quantiles import gamma_cdf, gamma_quantile, normal_tail

Numbers = npt.NDArray[np.float64]
Watch = tuple[Sequence[float], float]
"""Times from 0, in order, and the end of the watch."""

SURE: Final = 0.9
"""Of intervals."""
MOST_COUNTED: Final = 60
"""Gaps up to which all orders are counted; the normal distribution is as good above."""
LEAST_EVENTS: Final = 4
"""Callouts after the first below which nothing is said of a trend (judgement, no source)."""


@dataclass(frozen=True)
class Interval:
    """An estimate with the ends of its interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Trend:
    """What the times of one unit's callouts, or of one cause on it, say."""

    events: int
    """After the first."""
    days: float
    """Watched."""
    laplace: float
    """Standard normal when steady; above 0 when they come closer together."""
    laplace_worse: float
    """P(as large or larger | steady)."""
    reversals: int
    """Pairs of gaps of which the later one is longer."""
    pairs: int
    reversals_worse: float
    """P(as few or fewer | no order)."""
    power_worse: float
    """P(as strong or stronger | steady), by the chi-square of the power law."""
    growth: Interval
    """Exponent of the power law: 1 when steady, above 1 when they come closer together."""
    mtbf: Interval
    """Days between callouts over the whole time, by chi-square limits."""
    mtbf_now: Interval
    """Days between callouts now, by the power law."""


def laplace(times: Sequence[float], end: float) -> float:
    """Laplace's statistic of times from 0 to the end of the watch: standard normal when steady.

    >>> round(laplace([5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], 1500), 3)
    -1.327
    """
    return pooled_laplace([(times, end)])


def pooled_laplace(systems: Sequence[Watch]) -> float:
    """Laplace's statistic of several units together, each with the end of its watch."""
    over = sum(time - end / 2 for times, end in systems for time in times)
    variance = sum(len(times) * end**2 / 12 for times, end in systems)
    return over / math.sqrt(variance)


def power_chi_square(systems: Sequence[Watch]) -> tuple[float, int]:
    """(2 x sum of ln(end / time), degrees of freedom): chi-square when steady, small when worsening."""
    total = sum(2 * math.log(end / time) for times, end in systems for time in times)
    return total, 2 * sum(len(times) for times, _ in systems)


def reversals(gaps: Sequence[float]) -> int:
    """Pairs of gaps of which the later one is longer: many when things get better, few when worse."""
    order = np.asarray(gaps)
    return int(np.triu(order[:, np.newaxis] < order, 1).sum())


def chance_of_few(found: int, gaps: int) -> float:
    """P(so few reversals or fewer | every order of the gaps is as likely).

    Counted out up to `MOST_COUNTED` gaps, by the normal distribution above.

    >>> round(chance_of_few(0, 3), 6), round(chance_of_few(3, 3), 6)
    (0.166667, 1.0)
    """
    if gaps > MOST_COUNTED:
        variance = gaps * (gaps - 1) * (2 * gaps + 5) / 72
        return 1 - normal_tail((found + 0.5 - gaps * (gaps - 1) / 4) / math.sqrt(variance))
    ways = np.ones(1)
    for size in range(2, gaps + 1):
        # The newest gap can be longer than any number of the earlier ones, each as likely.
        ways = np.convolve(ways, np.full(size, 1 / size))
    return min(1.0, float(ways[: found + 1].sum()))


def growth_of(times: Sequence[float], end: float, sure: float = SURE) -> Interval:
    """Exponent of a power law, freed of its bias, with its exact interval; two times at least.

    >>> round(growth_of([5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], 1500).value, 6)
    0.483506
    """
    total, degrees = power_chi_square([(times, end)])
    low, high = _ends(np.array([degrees / 2]), np.array([degrees / 2]), sure)
    return Interval((degrees - 2) / total, float(low[0]) / total, float(high[0]) / total)


def mtbf_now(times: Sequence[float], end: float, sure: float = SURE) -> Interval:
    """Time between failures at the end of the watch by the power law, with its approximate interval.

    For n failures and the normal quantile z the ends are the estimate times n(n - 1) over the square of
    n + z^2/4 + sqrt(n z^2/2 + z^4/16), and of n - z sqrt(n/2); three times at least.
    """
    many, (total, _) = len(times), power_chi_square([(times, end)])
    value = end * total / (many * (2 * many - 2))
    z = NormalDist().inv_cdf((1 + sure) / 2)
    slow = many + z**2 / 4 + math.sqrt(many * z**2 / 2 + z**4 / 16)
    fast = many - z * math.sqrt(many / 2)
    scale = value * many * (many - 1)
    return Interval(value, scale / slow**2, scale / fast**2 if fast > 0 else math.inf)


def mtbf(events: int, time: float, sure: float = SURE) -> Interval:
    """Mean time between failures at a steady rate, watched until a set time, by chi-square limits.

    >>> mtbf(0, 100.0).value, round(mtbf(0, 100.0).low, 2)
    (inf, 33.38)
    """
    few, many = _ends(np.array([max(events, 0.5)]), np.array([events + 1.0]), sure)
    if not events:
        return Interval(math.inf, 2 * time / float(many[0]), math.inf)
    return Interval(time / events, 2 * time / float(many[0]), 2 * time / float(few[0]))


def _ends(low: Numbers, high: Numbers, sure: float) -> tuple[Numbers, Numbers]:
    """Chi-square quantiles at both ends, for these halves of the degrees of freedom at each end."""
    tail = (1 - sure) / 2
    return gamma_quantile(low, 0.5, tail), gamma_quantile(high, 0.5, 1 - tail)


def trends_of(watches: Sequence[Sequence[float]], ends: Sequence[float]) -> list[Trend | None]:
    """The trend of each unit's callouts at its days, in order, up to its end; None where few are no trend."""
    seen = [_watched(days, end) for days, end in zip(watches, ends, strict=True)]
    kept = [(times, end) for times, end in seen if len(times) >= LEAST_EVENTS and end > times[-1]]
    if not kept:
        return [None] * len(seen)
    # All quantiles at once: one at a time they would take most of the time.
    many = np.array([float(len(times)) for times, _ in kept])
    total = np.array([power_chi_square([watch])[0] for watch in kept])
    end = np.array([end for _, end in kept])
    low, high = _ends(many, many, SURE)
    few, most = _ends(many, many + 1, SURE)
    worse = gamma_cdf(many, total / 2)
    found = iter(
        _trend(
            *kept[k],
            float(worse[k]),
            Interval(
                float(2 * (many[k] - 1) / total[k]), float(low[k] / total[k]), float(high[k] / total[k])
            ),
            Interval(float(end[k] / many[k]), float(2 * end[k] / most[k]), float(2 * end[k] / few[k])),
        )
        for k in range(len(kept))
    )
    return [next(found) if len(times) >= LEAST_EVENTS and end > times[-1] else None for times, end in seen]


def _watched(days: Sequence[float], now: float) -> Watch:
    """Times after the first callout, and the end of the watch."""
    first, times = (days[0] if days else now), list[float]()
    for day in days[1:]:
        # A time of 0 has no logarithm: what comes together with the first is one with it.
        times += [day - first] if day > first else []
    return times, now - first


def _trend(times: Sequence[float], end: float, worse: float, growth: Interval, over_all: Interval) -> Trend:
    value = laplace(times, end)
    gaps = [after - before for before, after in pairwise([0.0, *times])]
    found = reversals(gaps)
    return Trend(
        len(times),
        end,
        value,
        normal_tail(value),
        found,
        len(gaps) * (len(gaps) - 1) // 2,
        chance_of_few(found, len(gaps)),
        worse,
        growth,
        over_all,
        mtbf_now(times, end),
    )


def false_discovery(chances: Sequence[float]) -> list[float]:
    """For each of several looks: the share of false alarms among it and all that look worse.

    >>> [round(q, 3) for q in false_discovery([0.01, 0.5, 0.02])]
    [0.03, 0.5, 0.03]
    """
    order = sorted(range(len(chances)), key=lambda k: chances[k], reverse=True)
    found, least = [1.0] * len(chances), 1.0
    for place, k in enumerate(order):
        least = min(least, chances[k] * len(chances) / (len(chances) - place))
        found[k] = least
    return found
