"""What a site's callouts say over time: units that get worse, faults that come back, seasons, what it cost.

Sources: `diagnose.history.trends` for the tests; Rayleigh's test for seasons, its chance by Zar,
Biostatistical Analysis, ch. 27 (from memory); Jeffreys' interval for shares, NASA/SP-2009-569, ch. 4.
"""

import cmath
import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from diagnose.history.closed import ClosedCallout
from diagnose.history.quantiles import beta_quantile
from diagnose.history.trends import SURE, Interval, Trend, false_discovery, trends_of

SOON: Final = timedelta(days=30)
"""A fault that is back within this was not put right for good."""
LEAST_OF_A_SEASON: Final = 8
"""Callouts of a cause below which nothing is said of its season (judgement, no source)."""
WORSE: Final = 0.1
"""Share of false alarms up to which a unit is listed as getting worse: of ten listed, one is so by chance.

To look at one unit in vain costs an hour, to miss one costs a callout every few weeks; so the usual
twentieth would be too strict (judgement, no source).
"""
_YEAR: Final = timedelta(days=365.25)

Grouping = Callable[[ClosedCallout], tuple[str, str, str]]
"""A callout's site, unit and cause; the cause empty where all go together."""


@dataclass(frozen=True)
class UnitTrend:
    """The callouts of one unit over time, all of them or those of one cause."""

    site: str
    unit: str
    cause: str
    """Empty for all causes together."""
    callouts: int
    last: datetime
    trend: Trend | None
    """None where there are too few to say."""
    sure: float
    """How sure it is that it gets worse, every other unit that was looked at counted: 1 - the share of false
    alarms among those that look as bad. 0 where there is no trend."""

    @property
    def worse(self) -> bool:
        """Whether it belongs to the list of those that get worse."""
        return self.sure >= 1 - WORSE


@dataclass(frozen=True)
class Season:
    """How a cause's callouts lie in the year."""

    cause: str
    callouts: int
    """In the whole years that are looked at."""
    months: tuple[int, ...]
    """January first."""
    peak: int
    """The month, 1 to 12, about which they lie."""
    chance: float
    """P(as far from even | even)."""


@dataclass(frozen=True)
class Cost:
    """What a cause came to, by its shares."""

    cause: str
    callouts: float
    minutes: float
    lost_minutes: float
    """Of the callouts of which somebody said it."""
    back_soon: int
    """Callouts after whose cure the cause was back on the unit within 30 days."""
    cured: int
    """Cured callouts that ended more than 30 days ago, or that it was back after."""
    share_back: Interval | None
    """Share that was back, with its 90 % interval; None where none was cured."""


@dataclass(frozen=True)
class SiteTrends:
    """Everything over time, the worst first."""

    callouts: int
    units: tuple[UnitTrend, ...]
    by_cause: tuple[UnitTrend, ...]
    seasons: tuple[Season, ...]
    costs: tuple[Cost, ...]


def site_trends(callouts: Sequence[ClosedCallout], now: datetime) -> SiteTrends:
    """The trends of some callouts, of one site or of several."""
    in_order = sorted(callouts, key=lambda closed: closed.opened)
    return SiteTrends(
        len(in_order),
        _trends(in_order, now, lambda closed: (closed.site, closed.unit, "")),
        _trends(in_order, now, lambda closed: (closed.site, closed.unit, closed.leading)),
        _seasons(in_order, now),
        _costs(in_order, now),
    )


def _trends(callouts: Iterable[ClosedCallout], now: datetime, group: Grouping) -> tuple[UnitTrend, ...]:
    groups: dict[tuple[str, str, str], list[datetime]] = defaultdict(list)
    for closed in callouts:
        groups[group(closed)].append(closed.opened)
    trends = trends_of(
        [[(opened - times[0]) / timedelta(days=1) for opened in times] for times in groups.values()],
        [(now - times[0]) / timedelta(days=1) for times in groups.values()],
    )
    looked = false_discovery([trend.power_worse for trend in trends if trend])
    alarms = iter(looked)
    found = [
        UnitTrend(*name, len(times), times[-1], trend, 1 - next(alarms) if trend else 0.0)
        for (name, times), trend in zip(groups.items(), trends, strict=True)
    ]
    return tuple(sorted(found, key=lambda unit: (-unit.sure, -unit.callouts, unit.unit, unit.cause)))


def _seasons(callouts: Sequence[ClosedCallout], now: datetime) -> tuple[Season, ...]:
    years = int((now - callouts[0].opened) / _YEAR) if callouts else 0
    times: dict[str, list[datetime]] = defaultdict(list)
    for closed in callouts:
        # Part of a year would count some months more often than others.
        if closed.opened >= now - years * _YEAR:
            times[closed.leading].append(closed.opened)
    found = [_season(cause, some) for cause, some in times.items() if len(some) >= LEAST_OF_A_SEASON]
    return tuple(sorted(found, key=lambda season: (season.chance, season.cause)))


def _season(cause: str, times: Sequence[datetime]) -> Season:
    months = Counter(time.month for time in times)
    total = sum(cmath.exp(2j * math.pi * part_of_year(time)) for time in times)
    peak = (cmath.phase(total) / (2 * math.pi)) % 1.0
    return Season(
        cause,
        len(times),
        tuple(months[month] for month in range(1, 13)),
        min(12, int(peak * 12) + 1),
        rayleigh(len(times), abs(total)),
    )


def part_of_year(time: datetime) -> float:
    """How much of its year has passed, 0 to 1."""
    return min((time.timetuple().tm_yday - 1) / 365, 1.0)


def rayleigh(many: int, length: float) -> float:
    """P(a sum of so many directions is as long or longer | every direction is as likely).

    >>> round(rayleigh(10, 0.0), 3), rayleigh(10, 10.0) < 1e-4
    (1.0, True)
    """
    return min(1.0, math.exp(math.sqrt(1 + 4 * many + 4 * (many**2 - length**2)) - (1 + 2 * many)))


def _costs(callouts: Sequence[ClosedCallout], now: datetime) -> tuple[Cost, ...]:
    sums: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
    for closed in callouts:
        for cause, share in closed.shares.items():
            had = sums[cause]
            had[0] += share
            had[1] += share * closed.minutes
            had[2] += share * (closed.lost_minutes or 0.0)
    back = back_soon(callouts, now)
    found = [
        Cost(cause, many, minutes, lost, *back.get(cause, (0, 0)), _share(*back.get(cause, (0, 0))))
        for cause, (many, minutes, lost) in sums.items()
    ]
    return tuple(sorted(found, key=lambda cost: (-cost.lost_minutes, -cost.minutes, cost.cause)))


def back_soon(callouts: Sequence[ClosedCallout], now: datetime) -> Mapping[str, tuple[int, int]]:
    """For each cause: (back within 30 days, cures that can be judged)."""
    by_unit: dict[tuple[str, str, str], list[ClosedCallout]] = defaultdict(list)
    for closed in callouts:
        by_unit[closed.site, closed.unit, closed.leading].append(closed)
    back: Counter[str] = Counter()
    cured: Counter[str] = Counter()
    for (_, _, cause), some in by_unit.items():
        for closed, after in [*pairwise(some), (some[-1], None)]:
            if closed.ending != "cured":
                continue
            soon = after is not None and after.opened - closed.ended <= SOON
            back[cause] += soon
            cured[cause] += soon or closed.ended <= now - SOON
    return {cause: (back[cause], cured[cause]) for cause in cured}


def _share(back: int, cured: int) -> Interval | None:
    if not cured:
        return None
    a, b, tail = back + 0.5, cured - back + 0.5, (1 - SURE) / 2
    return Interval(a / (a + b), beta_quantile(a, b, tail), beta_quantile(a, b, 1 - tail))
