"""A discrete probability network as a product of factors, whatever they come from.

A factor is a table over a few variables. The product of all factors is the joint probability of all
variables (or of something proportional to it). Tables may hold negative numbers: a noisy-OR gate in
rank-one form (see `diagnose.gates`) needs one.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

Table = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Factor:
    """A table whose axes are ``variables`` in order; each axis runs over that variable's states.

    One more axis at the end, of any length, is a batch: one table for each row of a batched question.
    """

    variables: tuple[str, ...]
    table: Table


@dataclass(frozen=True)
class Network:
    """Variables with their states, and the factors."""

    states: Mapping[str, tuple[str, ...]]
    factors: tuple[Factor, ...]

    @cached_property
    def cardinalities(self) -> dict[str, int]:
        """Number of states of each variable."""
        return {name: len(states) for name, states in self.states.items()}

    @property
    def scopes(self) -> tuple[tuple[str, ...], ...]:
        """Every set of variables that one clique must hold."""
        return tuple(factor.variables for factor in self.factors)


def evidence(variable: str, states: tuple[str, ...], seen: str) -> Factor:
    """The factor that says: this variable was seen, for certain, in this state.

    >>> evidence("rain", ("no", "yes"), "yes").table
    array([0., 1.])
    """
    return Factor((variable,), np.array([float(state == seen) for state in states]))
