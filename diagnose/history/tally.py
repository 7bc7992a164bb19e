"""Callouts counted by unit: what each cause had of them, and what the book expected it to have."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np
import numpy.typing as npt

from diagnose.history.closed import ClosedCallout
from diagnose.history.expected import Expected
from diagnose.history.pooling import Counts

HALF_LIFE: Final = 3.0
"""Years after which a callout counts for half: hands, parts and habits change (judgement, no source)."""
_YEAR: Final = timedelta(days=365.25)

Place = tuple[str, str]
"""(Site, unit)."""


def weight_at(ended: datetime, now: datetime, half_life: float = HALF_LIFE) -> float:
    """What a callout counts for today; ``half_life`` in years.

    >>> weight_at(datetime(2020, 1, 1), datetime(2023, 1, 1)).__round__(3)
    0.5
    """
    return float(2.0 ** (-max(0.0, (now - ended) / _YEAR) / half_life))


@dataclass(frozen=True)
class UnitFacts:
    """Callouts of one unit on which the same was known of it."""

    place: Place
    facts: Mapping[str, str]
    weight: float
    """How many, older ones for less."""
    callouts: int


@dataclass(frozen=True)
class UnitCause:
    """What one cause had of the callouts of one unit."""

    place: Place
    cause: str
    weight: float
    """Its shares, older ones for less."""
    share: float


@dataclass(frozen=True)
class Tally:
    """Counts of every unit; arrays have a row for each unit and a column for each cause."""

    causes: Sequence[str]
    units: Mapping[Place, int]
    """The row of each unit."""
    counts: Counts
    shares: npt.NDArray[np.float64]
    """Shares of callouts that each cause had, no matter how old, shape (units, causes)."""
    callouts: npt.NDArray[np.float64]
    """Callouts, no matter how old, shape (units,)."""


def counted(
    callouts: Iterable[ClosedCallout], now: datetime, half_life: float = HALF_LIFE
) -> tuple[list[UnitFacts], list[UnitCause]]:
    """The callouts summed by unit and facts, and by unit and cause."""
    facts: dict[tuple[Place, tuple[tuple[str, str], ...]], list[float]] = {}
    causes: dict[tuple[Place, str], list[float]] = {}
    for closed in callouts:
        place, weight = (closed.site, closed.unit), weight_at(closed.ended, now, half_life)
        known = facts.setdefault((place, tuple(sorted(closed.facts.items()))), [0.0, 0.0])
        known[0] += weight
        known[1] += 1
        for cause, share in closed.shares.items():
            had = causes.setdefault((place, cause), [0.0, 0.0])
            had[0] += weight * share
            had[1] += share
    return (
        [UnitFacts(place, dict(known), weight, round(n)) for (place, known), (weight, n) in facts.items()],
        [UnitCause(place, cause, weight, share) for (place, cause), (weight, share) in causes.items()],
    )


def tally(expected: Expected, by_facts: Sequence[UnitFacts], by_cause: Iterable[UnitCause]) -> Tally:
    """Sums by unit as arrays; causes that the book does not hold are left out."""
    units = {place: row for row, place in enumerate(dict.fromkeys(row.place for row in by_facts))}
    size = (len(units), len(expected.causes))
    columns = {name: k for k, name in enumerate(expected.causes)}
    hits, shares, hoped = np.zeros(size), np.zeros(size), np.zeros(size)
    weights, callouts = np.zeros(size[0]), np.zeros(size[0])
    for row, share in zip(by_facts, expected.shares([row.facts for row in by_facts]), strict=True):
        unit = units[row.place]
        hoped[unit] += row.weight * share
        weights[unit] += row.weight
        callouts[unit] += row.callouts
    for had in by_cause:
        if had.place in units and had.cause in columns:
            at = units[had.place], columns[had.cause]
            hits[at] += had.weight
            shares[at] += had.share
    return Tally(expected.causes, units, Counts(hits, hoped, weights, weights**2), shares, callouts)
