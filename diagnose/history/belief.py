"""What is believed of factors: mixtures of gamma distributions, which callouts counted as Poisson teach.

A factor is how many times as often something comes as the book expects. Each part of a mixture counts by
how well it foretold what came; the parts are what is usual, and a habit.

Sources: the gamma-Poisson model, NASA/SP-2009-569, ch. 4; mixtures of conjugate priors, Bernardo & Smith,
Bayesian Theory, ch. 5 (from memory).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from diagnose.history.quantiles import log_gamma, mixture_quantile

Numbers = npt.NDArray[np.float64]

LOW: Final = 0.05
HIGH: Final = 0.95
"""Ends of the 90 % intervals."""
HABIT_SHARE: Final = 0.2
"""Share of the callouts that a habit has on average: one in five is what people call a habit (judgement)."""
HABIT_SHAPE: Final = 1.0
"""Shape of the gamma distribution of that share: it may be little or most of them (judgement, no source)."""
MOST_HABIT: Final = 0.5
"""Chance above which no cause is taken for a habit beforehand."""


@dataclass(frozen=True)
class Belief:
    """Mixtures of gamma distributions of factors, shape (components, ..., causes) each."""

    weight: Numbers
    """Of each component; the sum over them is 1."""
    shape: Numbers
    rate: Numbers

    @classmethod
    def gamma(cls, shape: Numbers, rate: Numbers) -> "Belief":
        """One gamma distribution for each factor, shape (..., causes)."""
        return cls(np.ones((1, *shape.shape)), shape[np.newaxis], rate[np.newaxis])

    @property
    def mean(self) -> Numbers:
        """The expected factors."""
        return np.asarray((self.weight * self.shape / self.rate).sum(axis=0))

    @property
    def doubt(self) -> Numbers:
        """The relative variance."""
        square = (self.weight * self.shape * (self.shape + 1) / self.rate**2).sum(axis=0)
        return np.asarray(square / self.mean**2 - 1)

    def interval(self) -> tuple[Numbers, Numbers]:
        """(5 %, 95 %) quantiles."""
        low, high = (mixture_quantile(self.weight, self.shape, self.rate, p) for p in (LOW, HIGH))
        return low, high

    def seen(self, hits: Numbers, expected: Numbers) -> "Belief":
        """After so many more hits where so many were expected at a factor of 1."""
        logs = self._foretells(hits, expected)
        weight = np.exp(logs - logs.max(axis=0))
        return Belief(weight / weight.sum(axis=0), self.shape + hits, self.rate + expected)

    def foretells(self, hits: Numbers, expected: Numbers) -> Numbers:
        """The log chance of so many hits (negative binomial), but for what no belief changes."""
        logs = self._foretells(hits, expected)
        most = logs.max(axis=0)
        return np.asarray(most + np.log(np.exp(logs - most).sum(axis=0)))

    def _foretells(self, hits: Numbers, expected: Numbers) -> Numbers:
        a, b, n = np.broadcast_arrays(self.shape, self.rate, hits)
        logs = a * np.log(b / (b + expected)) - n * np.log(b + expected)
        some = n > 0
        logs[some] += log_gamma(a[some] + n[some]) - log_gamma(a[some])
        with np.errstate(divide="ignore"):
            return np.asarray(np.log(self.weight) + logs)

    def below(self, spread: float) -> "Belief":
        """What it says of one of those that spread around it."""
        mean = self.shape / self.rate
        variance = mean / self.rate * (1 + 1 / spread) + mean**2 / spread
        return Belief(self.weight, mean**2 / variance, mean / variance)

    def or_habit(self, habits: float, share: Numbers) -> "Belief":
        """The same, with the chance that a cause is a habit; the mean stays.

        ``habits``: habits that one of them has on average; ``share``: share of its callouts that the book
        expects each cause to have. A cause that comes often is the likelier habit.
        """
        before = self.mean
        share = np.maximum(share, 1e-12)
        mean = np.maximum(HABIT_SHARE / share, before)
        chance = np.minimum(habits * share * before, MOST_HABIT)
        left = (before - chance * mean) / (1 - chance)

        def both(usual: Numbers, habit: Numbers) -> Numbers:
            return np.concatenate(
                [
                    np.broadcast_to(usual, (len(usual), *chance.shape)),
                    np.broadcast_to(habit, (1, *chance.shape)),
                ]
            )

        return Belief(
            both((1 - chance) * self.weight, chance),
            both(self.shape, np.asarray(HABIT_SHAPE)),
            both(self.rate * before / left, HABIT_SHAPE / mean),
        )
