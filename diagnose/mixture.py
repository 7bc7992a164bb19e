"""A weighted sum of calibrations, read like one."""

from collections.abc import Sequence

import numpy as np

from diagnose.calibrated import Calibrated
from diagnose.propagation import Weights


class Mixture:
    """Each of several ways that things can have gone, by its weight: weights add up, as they are joint."""

    def __init__(self, ways: Sequence[tuple[float, Calibrated]]) -> None:
        """``ways``: (weight, calibration); one at least, all with as many rows."""
        self._ways = ways

    @property
    def weight(self) -> Weights:
        """P(all the findings together), shape (rows,)."""
        return np.asarray(np.sum([weight * done.weight for weight, done in self._ways], axis=0))

    @property
    def spread(self) -> float:
        """The error meter: the largest of the calibrations'."""
        return max(done.spread for _, done in self._ways)

    def weights(self, variables: Sequence[str]) -> Weights:
        """As `Calibrated.weights`."""
        return np.asarray(np.sum([weight * done.weights(variables) for weight, done in self._ways], axis=0))

    def last_weights(self, variables: Sequence[str]) -> Weights:
        """As `Calibrated.last_weights`."""
        parts = [weight * done.last_weights(variables) for weight, done in self._ways]
        return np.asarray(np.sum(parts, axis=0))

    def joint(self, variables: Sequence[str]) -> Weights:
        """As `Calibrated.joint`."""
        table = self.weights(variables)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(table / table.sum(axis=tuple(range(len(variables)))))
