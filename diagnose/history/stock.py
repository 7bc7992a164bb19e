"""What to hold for the next quarter, so that a part is there when its fault comes.

How many of a cause come is Poisson with a rate that is not known exactly: negative binomial. The rate is the
site's callouts a year times the cause's share of them (see `diagnose.history.pooling`), and for a cause that
has its season, times what the coming quarter had of earlier years.
"""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from diagnose.history.closed import ClosedCallout
from diagnose.history.everywhere import Everywhere
from diagnose.history.site_trends import Season, part_of_year, site_trends
from diagnose.history.tally import HALF_LIFE
from knowledge.book import Book

QUARTER: Final = 0.25
"""Of a year."""
ENOUGH: Final = 0.95
"""Chance with which what is held is to last."""
LEAST_EXPECTED: Final = 0.05
"""Parts of a quarter below which a part is not worth naming: fewer than one in five years."""
SEASONED: Final = 0.05
"""Chance of a season by accident up to which it is believed."""
SEASON_TRUST: Final = 8.0
"""An even year counts as so many callouts when a season is reckoned (judgement, no source)."""
_YEAR: Final = timedelta(days=365.25)


@dataclass(frozen=True)
class Part:
    """One part, and how many to hold."""

    part: str
    causes: tuple[str, ...]
    """The causes whose repair takes it, the most frequent first."""
    expected: float
    """In the next quarter."""
    hold: int
    """As many as last with a chance of `ENOUGH`."""
    runs_out: float
    """Chance that even so many do not last."""


@dataclass(frozen=True)
class Demand:
    """How many of something are wanted in a quarter: negative binomial."""

    mean: float
    variance: float

    def __add__(self, other: "Demand") -> "Demand":
        return Demand(self.mean + other.mean, self.variance + other.variance)

    def hold(self, enough: float) -> tuple[int, float]:
        """(The least number that lasts with that chance, the chance that it does not).

        >>> Demand(1.0, 1.0).hold(0.9)[0], Demand(1.0, 3.0).hold(0.9)[0]
        (2, 3)
        """
        extra = self.variance - self.mean
        # With next to no doubt about the rate it is Poisson, and the shape beyond any number.
        shape = self.mean**2 / extra if extra > 1e-9 * self.mean else 1e9 * max(self.mean, 1.0)
        ratio = self.mean / (shape + self.mean)
        chance = math.exp(-shape * math.log1p(self.mean / shape))
        lasts, number = chance, 0
        while lasts < enough:
            number += 1
            chance *= ratio * (shape + number - 1) / number
            lasts += chance
        return number, max(0.0, 1 - lasts)


def stock_of(
    book: Book,
    everywhere: Everywhere,
    site: str,
    callouts: Sequence[ClosedCallout],
    now: datetime,
    enough: float = ENOUGH,
) -> tuple[Part, ...]:
    """The parts of one site for the quarter that begins now, the most wanted first.

    ``callouts``: the site's own; ``everywhere``: what all sites say, this one among them.
    """
    row = everywhere.sites.get(site)
    if row is None or not callouts:
        return ()
    belief, group = everywhere.pool.site(row), everywhere.pool.sites.at(row)
    many = float(group.callouts)
    quarterly = many / _years_counted(callouts, now) * QUARTER
    share = belief.mean * group.expected / max(many, 1e-9)
    doubt = belief.doubt + 1 / (many + 0.5)
    season = _factors(callouts, now)
    wanted: dict[str, dict[str, Demand]] = defaultdict(dict)
    for cause, entry in book.causes.items():
        if cause not in everywhere.causes:
            continue
        k = everywhere.causes.index(cause)
        mean = float(quarterly * share[k]) * season.get(cause, 1.0)
        for part in entry.repair.parts:
            wanted[part][cause] = Demand(mean, mean + mean**2 * float(doubt[k]))
    parts = [_part(part, demands, enough) for part, demands in wanted.items()]
    listed = [part for part in parts if part.expected >= LEAST_EXPECTED]
    return tuple(sorted(listed, key=lambda part: (-part.expected, part.part)))


def _part(part: str, demands: dict[str, Demand], enough: float) -> Part:
    total = Demand(0.0, 0.0)
    for demand in demands.values():
        total += demand
    causes = sorted(demands, key=lambda cause: -demands[cause].mean)
    return Part(part, tuple(causes), total.mean, *total.hold(enough))


def _years_counted(callouts: Sequence[ClosedCallout], now: datetime) -> float:
    """Years since the first callout, older ones for less, as the callouts are counted."""
    years = max((now - min(closed.opened for closed in callouts)) / _YEAR, QUARTER)
    return HALF_LIFE / math.log(2) * (1 - 2 ** (-years / HALF_LIFE))


def _factors(callouts: Sequence[ClosedCallout], now: datetime) -> dict[str, float]:
    """For each cause with a season: how the coming quarter goes with the mean of the year."""
    seasons: Sequence[Season] = site_trends(callouts, now).seasons
    begins = part_of_year(now)
    found = {}
    for season in seasons:
        if season.chance > SEASONED:
            continue
        times = np.array([part_of_year(c.opened) for c in callouts if c.leading == season.cause])
        coming = int(np.sum((times - begins) % 1.0 < QUARTER))
        share = (coming + SEASON_TRUST * QUARTER) / (len(times) + SEASON_TRUST)
        found[season.cause] = share / QUARTER
    return found
