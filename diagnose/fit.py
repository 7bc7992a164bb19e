"""Whether the findings fit together, and which one to look at again when they do not.

The measure is Jensen's conflict: the log of the product of the findings' own probabilities over the
probability of all of them together. Findings of one story make each other likelier (negative);
findings that fit no story do not (positive).

Source: Jensen, Chamberlain, Nordahl & Jensen 1990 (from memory).
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from diagnose.evidence import Evidence
from diagnose.network import Factor
from diagnose.reasoner import Reasoner

CONFLICT_LIMIT: Final = 3.0
"""Bits from which the findings are called odd: eight times less likely together than apart (judgement)."""


@dataclass(frozen=True)
class Fit:
    """How well the findings go together."""

    together: bool
    conflict: float
    """Bits; above `CONFLICT_LIMIT` they do not fit, infinite when the book calls them impossible."""
    look_again: str = ""
    """The finding whose removal mends it most, when they do not fit; empty when no single one does."""
    partial: tuple[tuple[str, float], ...] = ()
    """For each finding, in order: the bits of conflict between it and all the others together, which is
    also what leaving it out takes off ``conflict``. NaN when the book calls the findings impossible."""


NO_CONFLICT: Final = Fit(True, 0.0)
"""One finding, or none, is always of a piece."""


def fit_of(reasoner: Reasoner, evidence: Evidence) -> Fit:
    """The fit of the findings of one moment."""
    factors = reasoner.factors(evidence)
    names = list(factors)
    if len(names) < 2:
        return NO_CONFLICT
    count = len(names)
    # Rows: each finding alone, each left out, all of them; and none, as known facts have a probability too.
    use = np.vstack([np.eye(count), 1 - np.eye(count), np.ones(count), np.zeros(count)]).astype(bool)
    batch = [in_rows(factors[name], use[:, k]) for k, name in enumerate(names)]
    weight = np.clip(reasoner.calibrate(evidence.before, batch).weight, 0.0, None)
    weight = weight[:-1] / weight[-1]
    alone, without, together = weight[:count], weight[count:-1], weight[-1]
    with np.errstate(divide="ignore", invalid="ignore"):
        mends = np.log2(alone) + np.log2(without)
        partial = tuple(zip(names, (mends - np.log2(together)).astype(float).tolist(), strict=True))
        conflict = float(np.log2(alone).sum() - np.log2(together))
    if together <= 0:
        again = names[int(np.argmax(mends))] if without.any() else ""
        return Fit(False, math.inf, again, tuple((name, math.nan) for name in names))
    if conflict <= CONFLICT_LIMIT:
        return Fit(True, conflict, partial=partial)
    return Fit(False, conflict, names[int(np.argmax(mends))], partial)


def misread(reasoner: Reasoner, evidence: Evidence) -> dict[str, float]:
    """P(the look went wrong | all that was found) of each check and fact that was answered for sure.

    With a slip s among n answers a look tells nothing, so it is s / n x P(the other findings) / P(all).
    Readings are left out: another look at the same gauge shows the same.
    """
    factors = reasoner.factors(evidence)
    names = [name for name in evidence.findings if name in factors and name not in evidence.soft]
    use = ~np.eye(len(names) + 1, len(names), dtype=bool)
    always = [factor for name, factor in factors.items() if name not in names]
    batch = [*always, *(in_rows(factors[name], use[:, k]) for k, name in enumerate(names))]
    weight = np.clip(reasoner.calibrate(evidence.before, batch).weight, 0.0, None)
    if not names or weight[-1] <= 0:
        return {}
    lost = (weight[:-1] / weight[-1]).astype(float).tolist()
    slips = [reasoner.book.question(name).slip / len(reasoner.answers(name)) for name in names]
    return {name: min(1.0, slip * more) for name, slip, more in zip(names, slips, lost, strict=True)}


def in_rows(factor: Factor, rows: npt.NDArray[np.bool_]) -> Factor:
    """The factor in the rows of a batch that use it, ones in the others.

    >>> in_rows(Factor(("a",), np.array([0.2, 0.8])), np.array([True, False])).table.tolist()
    [[0.2, 1.0], [0.8, 1.0]]
    """
    return Factor(factor.variables, np.where(rows, factor.table[..., np.newaxis], 1.0))
