"""What all units together say: every site's counts and how far they spread, ready for one unit's rates.

It takes a while with many callouts, so it is kept as text and made anew only when they have grown.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import astuple, dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from diagnose.history.pooling import Counts, Pool, Spreads, pooled
from diagnose.history.tally import Tally

DIGITS: Final = 6
"""Of a count that is kept."""


@dataclass(frozen=True)
class Everywhere:
    """Arrays have a row for each site and a column for each cause."""

    causes: Sequence[str]
    sites: Mapping[str, int]
    """The row of each site."""
    pool: Pool
    callouts: npt.NDArray[np.float64]
    """Callouts of each site, no matter how old, shape (sites,)."""
    shares: npt.NDArray[np.float64]
    """Callouts that each cause had at all sites, no matter how old, shape (causes,)."""


def everywhere_of(found: Tally) -> Everywhere:
    """All units of a tally taken together, the spreads estimated from them."""
    names = {site: row for row, site in enumerate(dict.fromkeys(site for site, _ in found.units))}
    site_of = np.array([names[site] for site, _ in found.units], dtype=np.intp)
    callouts = np.zeros(len(names))
    np.add.at(callouts, site_of, found.callouts)
    return Everywhere(
        found.causes, names, pooled(found.counts, site_of, len(names)), callouts, found.shares.sum(axis=0)
    )


def kept_text(found: Everywhere) -> str:
    """The whole as JSON."""
    counts = found.pool.sites
    arrays = (counts.hits, counts.expected, counts.callouts, counts.squares, found.callouts, found.shares)
    return json.dumps(
        {
            "causes": list(found.causes),
            "sites": list(found.sites),
            "spreads": astuple(found.pool.spreads),
            "arrays": [_short(array) for array in arrays],
        },
        separators=(",", ":"),
    )


def from_text(text: str) -> Everywhere:
    """The whole from `kept_text`."""
    found = json.loads(text)
    sites, size = len(found["sites"]), len(found["causes"])
    hits, expected, callouts, squares, raw, shares = map(np.array, found["arrays"])
    counts = Counts(
        hits.reshape(sites, size),
        expected.reshape(sites, size),
        callouts.reshape(sites).astype(float),
        squares.reshape(sites).astype(float),
    )
    return Everywhere(
        found["causes"],
        {site: row for row, site in enumerate(found["sites"])},
        Pool(counts, Spreads(*found["spreads"])),
        raw.reshape(sites),
        shares.reshape(size),
    )


def _short(array: npt.NDArray[np.float64]) -> list[float]:
    return [float(f"{value:.{DIGITS}g}") for value in array.ravel().tolist()]
