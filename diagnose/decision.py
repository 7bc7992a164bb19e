"""A callout as a choice under doubt: one of the causes is the culprit, checks tell which, repairs cure.

This is the plain model that advice is worked out on. Its numbers come from the exact beliefs: the
culprits' shares, and what each answer of each check would make of them. Given the culprit, checks are
taken as independent; after a real answer everything is worked out anew.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from diagnose.network import Table

Numbers = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Decision:
    """What can be done, what it costs, and what it would tell. Minutes throughout.

    ``holds``: 6 of them, in the order of `knowledge.words.HOLDS`; H culprits, Q questions, A answers of
    all questions together.
    """

    culprits: Sequence[str]
    questions: Sequence[str]
    shares: Table
    """P(culprit), shape (H + 1,); the last is what no repair of the book cures. Sums to 1."""
    likelihood: Table
    """P(answer | culprit), shape (A, H + 1)."""
    first: Numbers
    """Where each question's answers begin among all answers, shape (Q + 1,)."""
    ask: Table
    """Minutes of each question from each hold, the risk's price with it, shape (holds, Q)."""
    after: Numbers
    """The hold that each question leaves the unit in, from each hold, shape (holds, Q)."""
    repair: Table
    """Minutes to put each culprit right and prove it, from each hold, shape (holds, H)."""
    takes: Table
    """P(cured | put right, it being the culprit), shape (H,); 0 where it cannot be put right here."""
    place: Numbers
    """Where at the unit each question is looked at, shape (Q,)."""
    visit: float
    """Minutes to get to another place."""
    help: float

    def question_of(self) -> Numbers:
        """The question of each answer, shape (A,)."""
        return np.repeat(np.arange(len(self.questions)), np.diff(self.first))


def martingale(shares: Table, joint: Table, chance: Table, first: Numbers) -> Table:
    """P(answer | culprit) such that the shares after the answers average to the shares before.

    ``shares``: (H + 1,); ``joint``: P(answer, culprit) as worked out for each answer apart, (A, H);
    ``chance``: P(answer), (A,). A share that no answer leaves standing tells nothing: its answers come by
    their chances. The rest's answers are what the culprits' leave of the chances.

    >>> shares, joint = np.array([0.5, 0.5]), np.array([[0.4], [0.2]])
    >>> martingale(shares, joint, np.array([0.5, 0.5]), np.array([0, 2])).round(3).tolist()
    [[0.667, 0.333], [0.333, 0.667]]
    """
    sizes = np.diff(first)
    starts = first[:-1]
    total = np.repeat(np.add.reduceat(joint, starts, axis=0), sizes, axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        named = np.where(total > 0, joint / total, chance[:, np.newaxis])
        left = np.clip(chance - named @ shares[:-1], 0.0, None)
        sums = np.repeat(np.add.reduceat(left, starts), sizes)
        rest = np.where(sums > 0, left / sums, chance)
    return np.column_stack([named, rest])
