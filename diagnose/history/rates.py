"""How often each cause comes on a unit: the book's rate, taught by this unit, its site and all sites.

Rates are of 1000 callouts of the unit, like the book's `base`, with 90 % intervals, and each says how many
callouts it rests on. See `diagnose.history.pooling` for the reckoning and `diagnose.history.tally` for what
is counted.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.history.everywhere import Everywhere
from diagnose.history.expected import Expected
from diagnose.history.pooling import Spreads, no_counts
from diagnose.history.tally import HALF_LIFE, Place, Tally
from diagnose.history.work import Minutes, Takes
from diagnose.learned import Learned
from diagnose.own_words import rests_on_text

DIGITS: Final = 3
"""Digits of a number that a callout keeps: more would say what nobody knows."""
LEAST_CHANGE: Final = 0.02
"""A factor that is nearer to 1 changes nothing that shows, and is not kept."""
MOST_TAKES: Final = 0.995
"""Odds that a repair holds are never kept as certain: it must stay possible that it did not."""


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
    """Share of what the rate rests on that is the book and the other units; the rest is the unit itself."""

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


def unit_rates(
    expected: Expected, everywhere: Everywhere, own: Tally, place: Place, facts: Mapping[str, str]
) -> UnitRates:
    """The rates of a unit, one without callouts too.

    ``own``: a tally that holds the unit, if it has any callouts; ``facts``: what is known of it now.
    """
    site, unit = place
    row, here = own.units.get(place), everywhere.sites.get(site)
    book = expected.shares([facts])[0]
    counts = own.counts.at(row) if row is not None else no_counts(len(book))
    known = everywhere.pool.unit(here, counts, book)
    belief = known.belief
    times, (low, high) = belief.mean, belief.interval()
    shares = own.shares[row] if row is not None else np.zeros(len(book))
    return UnitRates(
        site,
        unit,
        tuple(
            Rate(
                expected.causes[k],
                float(1000 * book[k]),
                float(1000 * book[k] * times[k]),
                float(1000 * book[k] * low[k]),
                float(1000 * book[k] * high[k]),
                float(shares[k]),
                float(everywhere.shares[k]),
                float(known.borrowed[k]),
            )
            for k in np.argsort(-book * times, kind="stable")
        ),
        round(float(own.callouts[row])) if row is not None else 0,
        round(float(everywhere.callouts[here])) if here is not None else 0,
        round(float(everywhere.callouts.sum())),
        everywhere.pool.spreads,
        HALF_LIFE,
    )


def learned_of(found: UnitRates, minutes: Iterable[Minutes], takes: Iterable[Takes]) -> Learned:
    """What a callout on this unit keeps of it all."""
    if not found.callouts_everywhere:
        return Learned()
    times = {rate.cause: _rounded(rate.times) for rate in found.rates}
    return Learned(
        times={name: value for name, value in times.items() if abs(value - 1) >= LEAST_CHANGE},
        minutes={step.step: _rounded(step.minutes) for step in minutes},
        takes={repair.cause: min(MOST_TAKES, _rounded(repair.takes)) for repair in takes},
        counts={
            rate.cause: (round(rate.here), round(rate.everywhere))
            for rate in found.rates
            if round(rate.everywhere)
        },
        callouts=(found.callouts, found.callouts_everywhere),
    )


def _rounded(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")
