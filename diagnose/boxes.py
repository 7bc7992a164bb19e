"""What a check looks at, cut into as few boxes as its answers need.

A check tells few of the states of what it looks at apart: once one thing is seen, the others do not
matter. A box gives some of the things and leaves the others open; in each of its states every answer
has the same chance.
"""

from dataclasses import dataclass

import numpy as np

from diagnose.network import Factor, Table


@dataclass(frozen=True)
class Box:
    """Some states in which a check shows the same."""

    given: tuple[tuple[str, int], ...]
    """(variable, number of its state) of what the box gives."""
    chance: Table
    """P(answer | any state of the box), shape (answers,)."""


def boxes(likelihood: Factor) -> list[Box]:
    """Boxes that share out all states; ``likelihood``: P(answer | scope), axes (answer, *scope).

    At each cut the variable is taken that leaves most of its states with nothing more to tell.

    >>> either = Factor(("look", "a", "b"), np.array([[[0.1, 0.9], [0.9, 0.9]], [[0.9, 0.1], [0.1, 0.1]]]))
    >>> [box.given for box in boxes(either)]
    [(('a', 0), ('b', 0)), (('a', 0), ('b', 1)), (('a', 1),)]
    """
    return _cut(likelihood.table, likelihood.variables[1:], ())


def _cut(table: Table, scope: tuple[str, ...], given: tuple[tuple[str, int], ...]) -> list[Box]:
    if _alike(table):
        return [Box(given, table.reshape(len(table), -1)[:, 0])]
    settled = [sum(_alike(part) for part in np.moveaxis(table, axis, 0)) for axis in range(1, table.ndim)]
    axis = int(np.argmax(settled))
    rest = scope[:axis] + scope[axis + 1 :]
    return [
        box
        for state, part in enumerate(np.moveaxis(table, axis + 1, 0))
        for box in _cut(part, rest, (*given, (scope[axis], state)))
    ]


def _alike(table: Table) -> bool:
    """Whether every state has the same chances; axes (answer, *scope)."""
    flat = table.reshape(len(table), -1)
    return bool((flat == flat[:, :1]).all())
