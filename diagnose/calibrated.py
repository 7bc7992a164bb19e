"""What a calibrated junction tree is read by."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from diagnose.propagation import Weights

if TYPE_CHECKING:
    from diagnose.junction_tree import JunctionTree


class Calibrated:
    """Beliefs after one calibration: joint weights with everything found, ready to be summed."""

    def __init__(self, tree: "JunctionTree", beliefs: Weights, up: Weights, down: Weights) -> None:
        self._tree = tree
        self._beliefs = beliefs
        self._up, self._down = up, down
        tops = up[: tree.roots]
        self._rest = np.stack([np.delete(tops, k, axis=0).prod(axis=0) for k in range(tree.roots)])
        self.weight: Weights = tops.prod(axis=0)
        """Probability of all the findings together, shape (rows,)."""

    @property
    def spread(self) -> float:
        """The error meter: how far the nodes of a tree differ in P(findings), the largest difference over
        the root's value. Each of them must say the same; what rounding did to one shows here."""
        return self._tree.spread(self._up * self._down)

    def weights(self, variables: Sequence[str]) -> Weights:
        """P(variables, findings), axes in the order given and the batch axis last.

        `KeyError` when no clique holds the variables together.
        """
        table = self._tree.summed(self._beliefs, variables)
        return np.asarray(table * self._rest[self._tree.tops[self._tree.home(variables)]])

    def joint(self, variables: Sequence[str]) -> Weights:
        """P(variables | findings), axes as in `weights`; NaN where the findings have probability 0."""
        table = self.weights(variables)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(table / table.sum(axis=tuple(range(len(variables)))))

    def last_weights(self, variables: Sequence[str]) -> Weights:
        """P(variable is in its last state, findings) of many variables at once, shape (variables, rows)."""
        out = np.empty((len(variables), self._beliefs.shape[1]), dtype=self._beliefs.dtype)
        for places, cells, tops in self._tree.columns(tuple(variables)):
            out[places] = self._beliefs.take(cells, axis=0).sum(axis=1) * self._rest[tops]
        return out
