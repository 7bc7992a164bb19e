"""Findings cut into parts, where so much was found that no tree is small enough to hold it at once."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from diagnose.network import Factor
from diagnose.triangulate import TooDense


def fitting(
    factors: Sequence[Factor], hold: Callable[[Sequence[Factor]], object], cardinalities: Mapping[str, int]
) -> list[list[Factor]]:
    """The factors as they are, or parts of them that add up to the whole (cutset conditioning).

    ``hold`` makes a tree for some factors and raises `diagnose.triangulate.TooDense` when it cannot. Each
    part takes one state of the variable that most of what was found looks at, among those that hang together.
    Source: Pearl, Probabilistic Reasoning in Intelligent Systems, 1988, section 4.3 (from memory).
    """
    if all(len(factor.variables) < 2 for factor in factors):
        return [list(factors)]
    try:
        hold(factors)
        return [list(factors)]
    except TooDense as error:
        seen = Counter(name for factor in factors if len(factor.variables) > 1 for name in factor.variables)
        name = max(error.members, key=lambda member: seen[member])
        if not seen[name]:
            raise
    parts: list[list[Factor]] = []
    for state in range(cardinalities[name]):
        taken = [restricted(factor, name, state) for factor in factors]
        clamp = Factor((name,), np.eye(cardinalities[name])[state : state + 1].reshape(-1))
        parts += fitting([*taken, clamp], hold, cardinalities)
    return parts


def restricted(factor: Factor, variable: str, state: int) -> Factor:
    """The factor where a variable is in one of its states; the same where it does not look at it.

    >>> restricted(Factor(("a", "b"), np.array([[1.0, 2.0], [3.0, 4.0]])), "b", 1)
    Factor(variables=('a',), table=array([2., 4.]))
    """
    if variable not in factor.variables or factor.variables == (variable,):
        return factor
    axis = factor.variables.index(variable)
    left = factor.variables[:axis] + factor.variables[axis + 1 :]
    return Factor(left, np.asarray(np.take(factor.table, [state], axis=axis)).squeeze(axis))
