"""Rates that learn from one unit, its site and all sites at once, each as far as it is telling.

What is learned of a cause is how many times as often it comes as the book expects. All sites together have
one such factor around 1 (the book), a site has its own around that, and a unit around its site's; each is
gamma distributed around the one above it, and callouts are Poisson counts. A unit, or a site, can also have
a habit: a cause that has a large share of its callouts whatever it has elsewhere. So what is believed is a
mixture of gamma distributions, and each part counts by how well it foretold the callouts. How far factors
spread and how many habits there are is estimated from the data (empirical Bayes): so that every unit's
counts are foretold best by everything but that unit. Beliefs pass up this tree by their mean and down it by
mean and variance, a unit's own counts never among those that it is judged by beforehand.

Sources: the gamma-Poisson model, NASA/SP-2009-569, ch. 4; empirical Bayes by the negative binomial
likelihood, Robbins 1956 and Carlin & Louis, Bayes and Empirical Bayes Methods, ch. 3; mixtures of conjugate
priors, Bernardo & Smith, Bayesian Theory, ch. 5 (all but the first from memory).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Final

import numpy as np
import numpy.typing as npt

from diagnose.history.belief import Belief

Numbers = npt.NDArray[np.float64]
Where = int | npt.NDArray[np.intp] | None
"""The number of a site, or of several; None for one that has no callouts."""

ROUNDS: Final = 3
"""Times that a mean is worked out again with the weights that it gives; more change nothing that shows."""
TOGETHER: Final = 8
"""Times that a unit's causes are fitted to each other; more change nothing that shows."""
MOST_UNITS: Final = 100
"""Units that the spreads are estimated from; more make them no surer than they need be."""


@dataclass(frozen=True)
class Spreads:
    """Shapes of the gamma distributions around the level above: a factor's relative variance is 1 / shape."""

    book: float = 2.0
    """Of all sites around the book (to begin with: within a factor of three or so, judgement, no source)."""
    sites: float = 3.0
    """Of sites around all sites (to begin with, judgement, no source)."""
    units: float = 6.0
    """Of units around their site (to begin with, judgement, no source)."""
    habits: float = 0.3
    """Habits that a unit has on average, and a site (to begin with, judgement, no source)."""


USUAL: Final = Spreads()
STEPS: Final = (0.25, 0.5, 0.7, 1.0, 1.4, 2.0, 4.0, 8.0)
"""The usual spreads times these are tried, one spread after the other."""
PASSES: Final = 2
DOUBT: Final = 1.0
"""Standard deviation of a spread's logarithm around the usual one's: few data keep to the usual one."""
_NAMES: Final = ("book", "sites", "units", "habits")


@dataclass(frozen=True)
class Counts:
    """Counts of units, or of groups of them: arrays (..., causes) and (...)."""

    hits: Numbers
    """Callouts that each cause had, older ones for less; shape (..., causes)."""
    expected: Numbers
    """Callouts that the book expects each to have had; shape (..., causes)."""
    callouts: Numbers
    """How many, older ones for less; shape (...)."""
    squares: Numbers
    """Sum over the units of their callouts squared: few large units tell less than many small ones."""

    def less(self, other: "Counts") -> "Counts":
        """Without some of the units."""
        return Counts(
            np.maximum(0.0, self.hits - other.hits),
            np.maximum(0.0, self.expected - other.expected),
            np.maximum(0.0, self.callouts - other.callouts),
            np.maximum(0.0, self.squares - other.squares),
        )

    def at(self, rows: Numbers | npt.NDArray[np.intp] | int) -> "Counts":
        """Some of the groups."""
        return Counts(*(np.asarray(part[rows]) for part in self._parts))

    def of_groups(self, group: npt.NDArray[np.intp], groups: int) -> "Counts":
        """Units joined into groups; ``group``: the number of each unit's."""
        summed = []
        for part in self._parts:
            total = np.zeros((groups, *part.shape[1:]))
            np.add.at(total, group, part)
            summed.append(total)
        return Counts(*summed)

    @property
    def share(self) -> Numbers:
        """Share of its callouts that each cause is expected to have, shape (..., causes)."""
        return np.asarray(self.expected / np.maximum(self.callouts, 1e-12)[..., np.newaxis])

    @property
    def _parts(self) -> tuple[Numbers, Numbers, Numbers, Numbers]:
        return self.hits, self.expected, self.callouts, self.squares

    @property
    def unevenness(self) -> Numbers:
        """1 / (how many equal units each group counts as), shape (..., 1)."""
        many = np.maximum(self.callouts, 1e-12)
        return np.asarray(np.minimum(1.0, self.squares / many**2))[..., np.newaxis]


def no_counts(causes: int, *groups: int) -> Counts:
    """Counts of nothing."""
    many = np.zeros((*groups, causes))
    return Counts(many, many, np.zeros(groups), np.zeros(groups))


@dataclass(frozen=True)
class Pool:
    """The counts of every site, and how far sites and units spread."""

    sites: Counts
    """A row for each site."""
    spreads: Spreads = USUAL

    @cached_property
    def _book(self) -> Belief:
        a = np.full(self.sites.hits.shape[-1], self.spreads.book)
        return Belief.gamma(a, a)

    @cached_property
    def _told(self) -> tuple[Numbers, Numbers]:
        """What each site tells of all sites, shape (sites, causes) each."""
        spread = 1 / self.spreads.sites + self.sites.unevenness / self.spreads.units
        mean = self._book.mean
        for _ in range(ROUNDS):
            hits, expected = _as_told(self.sites, mean, spread)
            mean = self._book.seen(hits.sum(axis=0), expected.sum(axis=0)).mean
        return hits, expected

    def everywhere(self) -> Belief:
        """The factors of all sites, shape (causes,); what is known of a new site is this and its spread."""
        hits, expected = self._told
        return self._book.seen(hits.sum(axis=0), expected.sum(axis=0))

    def site(self, site: Where, without: Counts | None = None) -> Belief:
        """The factors of a site (or of several), as all sites tell them.

        ``without``: the counts of one of its units, which are left out.
        """
        all_sites = self.everywhere()
        if site is None:
            return all_sites.below(self.spreads.sites)
        told_hits, told_expected = (part[site] for part in self._told)
        others = Belief(all_sites.weight, all_sites.shape - told_hits, all_sites.rate - told_expected)
        group = self.sites.at(site)
        group = group.less(without) if without else group
        start = belief = others.below(self.spreads.sites).or_habit(self.spreads.habits, group.share)
        for _ in range(ROUNDS):
            belief = start.seen(*_as_told(group, belief.mean, group.unevenness / self.spreads.units))
        return belief

    def before(self, site: Where, own: Counts, share: Numbers) -> Belief:
        """The factors of a unit (or of several) before its own callouts are looked at.

        ``share``: share of its callouts that the book expects each cause to have, shape (..., causes).
        """
        return self.site(site, without=own).below(self.spreads.units).or_habit(self.spreads.habits, share)

    def unit(self, site: Where, own: Counts, share: Numbers) -> "OfUnit":
        """What is known of a unit (or of several) whose counts are ``own``, which are among its site's.

        Its callouts are the causes' together: what a habit takes of them, the others were never up for. So
        each is expected to have had as many as it would beside causes that come as often as is believed.
        """
        before = belief = self.before(site, own, share)
        total = (share * before.mean).sum(axis=-1, keepdims=True)
        for _ in range(TOGETHER):
            belief = before.seen(own.hits, own.expected / total)
            total = (share * belief.mean).sum(axis=-1, keepdims=True)
        borrowed = (belief.weight * before.rate / belief.rate).sum(axis=0)
        return OfUnit(Belief(belief.weight, belief.shape, belief.rate * total), np.asarray(borrowed))


@dataclass(frozen=True)
class OfUnit:
    """What is known of a unit, or of several."""

    belief: Belief
    """Factors, scaled so that all causes together have all callouts."""
    borrowed: Numbers
    """Share of each that comes from the book and the other units, shape (..., causes)."""


def _as_told(group: Counts, mean: Numbers, spread: Numbers) -> tuple[Numbers, Numbers]:
    """(hits, expected) that tell as much of the level above as the group does, whose parts spread."""
    expected = np.maximum(group.expected, 1e-12)
    weight = 1 / (1 / expected + mean * spread)
    return weight * group.hits / expected, weight


def pooled(units: Counts, site: npt.NDArray[np.intp], sites: int) -> Pool:
    """All units' counts by site, with the spreads under which each is foretold best by all others.

    ``units``: a row for each; ``site``: the number of each one's site, below ``sites``.
    """
    pool = Pool(units.of_groups(site, sites))
    every = max(1, math.ceil(len(site) / MOST_UNITS))
    own, where = units.at(np.arange(0, len(site), every)), site[::every]
    if not len(where):
        return pool

    @cache
    def worth(spreads: Spreads) -> float:
        far = sum(math.log(getattr(spreads, name) / getattr(USUAL, name)) ** 2 for name in _NAMES)
        before = replace(pool, spreads=spreads).before(where, own, own.share)
        return float(before.foretells(own.hits, own.expected).sum()) - far / (2 * DOUBT**2)

    best = USUAL
    for _ in range(PASSES):
        for name in _NAMES:
            best = _climbed(best, name, worth)
    return replace(pool, spreads=best)


def _climbed(spreads: Spreads, name: str, worth: Callable[[Spreads], float]) -> Spreads:
    """One of the spreads changed a step at a time, as long as that is worth more."""
    tried = [replace(spreads, **{name: getattr(USUAL, name) * step}) for step in STEPS]
    at = tried.index(spreads)
    while True:
        better = max(range(max(0, at - 1), min(len(tried), at + 2)), key=lambda k: worth(tried[k]))
        if worth(tried[better]) <= worth(tried[at]):
            return tried[at]
        at = better
