"""Leaky noisy-OR gates as products of small factors.

P(off | parents) = (1 - leak) x product over the parents that are on of (1 - strength).

Written out as a table this doubles with every parent. In rank-one form it does not: a hidden helper
variable h says which of two terms is meant, P(off) (a product over the parents) or 1, and
P(on) = 1 - P(off) gives the helper's weights their one negative entry. Every factor is then at most
2 x 2, times the values of the facts that a strength depends on.

Source: Heckerman 1989 and Diez & Galan 2003 for the idea (from memory); the law is that it equals the
table written out, which the tests check by enumeration.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.network import Factor, Table

HELPER_MARK = "~"
"""Ends the name of a helper variable; no id of a book can hold it."""


@dataclass(frozen=True)
class Parent:
    """One parent of a gate: its name, and its strength for each value of ``facts`` (axes in order)."""

    name: str
    facts: tuple[str, ...]
    strength: Table


def noisy_or(child: str, parents: Sequence[Parent], leak: float) -> list[Factor]:
    """Factors whose product, the helper summed away, is P(child | parents, facts).

    States are (no, yes) throughout. With no parent or one, no helper is needed.

    >>> [factor.variables for factor in noisy_or("wet", [Parent("rain", (), np.array(0.9))], 0.1)]
    [('wet', 'rain')]
    """
    if not parents:
        return [Factor((child,), np.array([1 - leak, leak]))]
    if len(parents) == 1:
        parent = parents[0]
        off = (1 - leak) * _spared(parent)
        return [Factor((child, parent.name, *parent.facts), np.stack([off, 1 - off]))]
    helper = child + HELPER_MARK
    # Rows: helper off-term, helper one-term. Columns: child off, child on.
    factors = [Factor((helper, child), np.array([[1 - leak, -(1 - leak)], [0.0, 1.0]]))]
    for parent in parents:
        spared = _spared(parent)
        table = np.stack([spared, np.ones_like(spared)])
        factors.append(Factor((helper, parent.name, *parent.facts), table))
    return factors


def _spared(parent: Parent) -> Table:
    """P(this parent alone leaves the child off), axes (parent, *facts)."""
    return np.stack([np.ones_like(parent.strength), 1 - parent.strength])
