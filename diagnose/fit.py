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
    """The finding whose removal mends it most, when they do not fit."""


NO_CONFLICT: Final = Fit(True, 0.0)
"""One finding, or none, is always of a piece."""


def fit_of(reasoner: Reasoner, evidence: Evidence) -> Fit:
    """The fit of the findings of one moment."""
    factors = reasoner.factors(evidence)
    names = list(factors)
    if len(names) < 2:
        return NO_CONFLICT
    count = len(names)
    # Rows: each finding alone, each finding left out, all of them.
    use = np.vstack([np.eye(count), 1 - np.eye(count), np.ones((1, count))]).astype(bool)
    batch = [_where(factors[name], use[:, k]) for k, name in enumerate(names)]
    blank = Evidence(remains=evidence.remains)
    weight = np.clip(reasoner.calibrate(blank, batch).weight, 0.0, None)
    alone, without, together = weight[:count], weight[count:-1], float(weight[-1])
    if together <= 0.0:
        return Fit(False, math.inf, names[int(np.argmax(without))])
    conflict = float(np.log2(alone).sum() - math.log2(together))
    if conflict <= CONFLICT_LIMIT:
        return Fit(True, conflict)
    relief = np.log2(alone) + np.log2(np.maximum(without, 1e-300)) - math.log2(together)
    return Fit(False, conflict, names[int(np.argmax(relief))])


def _where(factor: Factor, rows: np.typing.NDArray[np.bool_]) -> Factor:
    """The factor in the rows that use it, ones in the others; a batch axis is added."""
    return Factor(factor.variables, np.where(rows, factor.table[..., np.newaxis], 1.0))
