"""What a repair that did not cure it makes of the findings from before it.

Either the repair changed nothing, as the cause was not there or the repair did not take; then all that was
found still counts. Or the cause was there and is gone; then what it can have brought about says nothing of
the unit as it now is. Beliefs are the mixture of these ways, each by its probability.

With c the cause, t the chance that a repair takes, d the findings that c can have brought about and k the
others, the weights of the ways with what is found later, n, are

    P(c off, d, k, n) + (1 - t) P(c on, d, k, n)      nothing was changed
    t P(c on) P(d | c on, k) P(k, n | c off)          it was there and is gone

In the second way d and the other causes are taken as independent, given c and k.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from diagnose.evidence import Earlier, Evidence
from diagnose.network import Factor

MOST_WAYS: Final = 4
"""Ways that are followed, the likeliest (judgement: each costs a whole run of the tree)."""
LEAST_WAY: Final = 1e-3
"""Probability below which a way is not followed (judgement)."""

Found = tuple[tuple[str, Factor], ...]


@dataclass(frozen=True)
class Way:
    """One way in which the repairs can have gone."""

    weight: float = 1.0
    """What its factors' probability is to be multiplied by."""
    found: Found = ()
    """Findings in doubt that still count in it, by name."""
    left: Mapping[str, float] = field(default_factory=dict)
    """Causes that were put right and never gone: the chance that this many repairs did not take."""
    gone: Mapping[str, float] = field(default_factory=dict)
    """Causes that were there and are gone: the chance that just this repair took."""


class Epochs:
    """The ways for one network."""

    def __init__(
        self,
        factors: Callable[[Evidence], Mapping[str, Factor]],
        gone: Callable[[str, float], Factor],
        weigh: Callable[[Sequence[Factor]], float],
    ) -> None:
        """``factors``: of findings, by name. ``gone``: the factor that turns a cause's prior into a share of
        P(it was there), the cause being off. ``weigh``: P(factors)."""
        self._factors, self._gone, self._weigh = factors, gone, weigh

    def ways(self, earlier: Sequence[Earlier]) -> list[tuple[float, list[Factor]]]:
        """(weight, factors) of each way that counts; one alone, of weight 1, where no repair was in vain.

        The weights with P(factors and what is found later) are to each other as the ways' probabilities.
        """
        ways = [Way()]
        for step in earlier:
            doubted = tuple(self._factors(step.doubted).items())
            beside = list(self._factors(step.beside).values())
            with_doubted = [replace(way, found=way.found + doubted) for way in ways]
            split = [part for way in with_doubted for part in self._split(step, way, beside)]
            ways = self._likeliest(split, beside)
        return [(way.weight, self._all_of(way)) for way in ways]

    def _split(self, step: Earlier, way: Way, beside: list[Factor]) -> list[Way]:
        """The two ways that a repair can have gone, or one where the cause was gone before."""
        if step.cause in way.gone:
            return [way]
        there = Factor((step.cause,), np.array([0.0, 1.0]))
        kept = replace(way, found=tuple(pair for pair in way.found if pair[0] not in step.changes))
        before = self._weigh([*self._all_of(way), *beside, there])
        apart = self._weigh([*self._all_of(kept), *beside, there])
        stayed = way.left.get(step.cause, 1.0)
        unchanged = replace(way, left={**way.left, step.cause: stayed * (1 - step.takes)})
        if before <= 0 or apart <= 0:
            return [unchanged]
        left = {name: share for name, share in way.left.items() if name != step.cause}
        mended = replace(
            kept,
            weight=way.weight * before / apart,
            left=left,
            gone={**way.gone, step.cause: stayed * step.takes},
        )
        return [unchanged, mended]

    def _likeliest(self, ways: Sequence[Way], beside: list[Factor]) -> list[Way]:
        if len(ways) == 1:
            return list(ways)
        weights = np.array([way.weight * self._weigh([*self._all_of(way), *beside]) for way in ways])
        best = np.argsort(-weights, kind="stable")[:MOST_WAYS]
        return [ways[k] for k in best if weights[k] > LEAST_WAY * weights.sum()] or [ways[0]]

    def _all_of(self, way: Way) -> list[Factor]:
        """What is known in one way: findings in doubt, and what the repairs did."""
        stayed = [Factor((name,), np.array([1.0, share])) for name, share in way.left.items()]
        gone = [self._gone(name, share) for name, share in way.gone.items()]
        return [*(factor for _, factor in way.found), *stayed, *gone]
