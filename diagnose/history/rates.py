"""How often each cause comes on a unit: the book's rate, taught by this unit, its site and all sites.

Rates are of 1000 callouts of the unit, like the book's `base`, with 90 % intervals, and each says how many
callouts it rests on. See `diagnose.history.pooling` for the reckoning and `diagnose.history.tally` for what
is counted.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import numpy.typing as npt

from diagnose.history.expected import Expected
from diagnose.history.pooling import Belief, Pool, Spreads, no_counts, pooled
from diagnose.history.tally import Tally
from diagnose.learned import Learned
from diagnose.words import rests_on_text

DIGITS: Final = 3
"""Digits of a factor that a callout keeps: more would say what nobody knows."""


@dataclass(frozen=True)
class Rate:
    """How often a cause is what a callout is about, of 1000 callouts of one unit."""

    cause: str
    book: float
    """What the book says for what is known of the unit."""
    rate: float
    low: float
    """5 % quantile."""
    high: float
    """95 % quantile."""
    here: float
    """Callouts of this unit that the cause had, by shares."""
    everywhere: float
    """Callouts of all units that the cause had, by shares."""
    borrowed: float
    """Share of the rate that comes from the book and the other units; the rest comes from the unit itself."""

    @property
    def times(self) -> float:
        """How many times as often as the book says."""
        return self.rate / self.book


@dataclass(frozen=True)
class UnitRates:
    """The rates of one unit, the most frequent first."""

    site: str
    unit: str
    rates: tuple[Rate, ...]
    callouts: int
    """Of this unit."""
    callouts_at_site: int
    callouts_everywhere: int
    spreads: Spreads
    half_life: float
    """Years after which a callout counts for half."""

    def rests_on(self, rate: Rate) -> str:
        """How many callouts a rate rests on, for people."""
        return rests_on_text(round(rate.here), round(rate.everywhere), self.callouts_everywhere)


class Rates:
    """The rates of every unit of a history."""

    def __init__(self, expected: Expected, found: Tally, half_life: float) -> None:
        """``half_life``: the one that was counted with, in years."""
        self._expected, self._tally, self._half_life = expected, found, half_life
        sites = dict.fromkeys(site for site, _ in found.units)
        self._sites = {site: number for number, site in enumerate(sites)}
        self._site_of = np.array([self._sites[site] for site, _ in found.units], dtype=np.intp)

    @cached_property
    def pool(self) -> Pool:
        """All units' counts by site, with their spreads."""
        return pooled(self._tally.counts, self._site_of, len(self._sites))

    def unit(self, site: str, unit: str, facts: Mapping[str, str]) -> UnitRates:
        """The rates of a unit, one without callouts too; ``facts``: what is known of it now."""
        row = self._tally.units.get((site, unit))
        book = self._expected.shares([facts])[0]
        belief, borrowed = self._belief(site, row)
        low, high = belief.interval()
        here = self._tally.shares[row] if row is not None else np.zeros(len(book))
        everywhere = self._tally.shares.sum(axis=0)
        order = np.argsort(-book * belief.mean, kind="stable")
        return UnitRates(
            site,
            unit,
            tuple(
                Rate(
                    self._expected.causes[k],
                    float(1000 * book[k]),
                    float(1000 * book[k] * belief.mean[k]),
                    float(1000 * book[k] * low[k]),
                    float(1000 * book[k] * high[k]),
                    float(here[k]),
                    float(everywhere[k]),
                    float(borrowed[k]),
                )
                for k in order
            ),
            round(float(self._tally.callouts[row])) if row is not None else 0,
            round(float(self._tally.callouts[self._site_of == self._sites.get(site, -1)].sum())),
            round(float(self._tally.callouts.sum())),
            self.pool.spreads,
            self._half_life,
        )

    def _belief(self, site: str, row: int | None) -> tuple[Belief, npt.NDArray[np.float64]]:
        """The factors of a unit, and how much of each comes from elsewhere."""
        own = self._tally.counts.at(row) if row is not None else no_counts(len(self._expected.causes))
        before = self.pool.before(self._sites.get(site), own)
        after = before.seen(own.hits, own.expected)
        return after, before.rate / after.rate


def learned_rates(found: UnitRates) -> Learned:
    """What a callout on this unit keeps of its rates."""
    if not found.callouts_everywhere:
        return Learned()
    return Learned(
        times={rate.cause: _rounded(rate.times) for rate in found.rates},
        counts={
            rate.cause: (round(rate.here), round(rate.everywhere))
            for rate in found.rates
            if round(rate.everywhere)
        },
        callouts=(found.callouts, found.callouts_everywhere),
    )


def _rounded(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")
