"""The fixed words of the book: sections in signal order, holds in rising order, strengths."""

from typing import Final

SECTIONS: Final = (
    "vessel and liquid",
    "displacer and arm",
    "spring and lever",
    "supply",
    "pilot and ports",
    "output line",
    "actuator",
    "valve",
    "discharge piping",
)
"""The nine stretches of the loop, in the order in which the signal runs."""

HOLDS: Final = ("running", "on bypass", "supply off", "isolated", "depressured", "open")
"""The states a unit can be in for a check or a repair; each one includes those before it."""
_RANKS: Final = {hold: rank for rank, hold in enumerate(HOLDS)}

SHEET_WORDS: Final = {"mount": "controller.mount", "hung": "displacer.hung"}
"""Words of the unit sheet that a procedure's steps can hang on besides the book's facts."""

MOST_COMPLAINTS: Final = 12
"""Complaints that a book can have: each is picked with one key."""

UNKNOWN: Final = "unknown"
"""Value of a computed fact that the sheet does not say enough for."""

UNLISTED: Final = "unlisted_"
"""Begins the ids of the causes that stand, one behind each complaint, for what the book does not hold."""

STRENGTHS: Final = {
    "always": 0.995,
    "nearly always": 0.95,
    "usually": 0.80,
    "often": 0.60,
    "sometimes": 0.30,
    "seldom": 0.08,
    "never": 0.005,
}
"""How surely one thing brings about another (judgement, no source). Never exactly 0 or 1: a finding
that contradicts a link must stay possible, or one slip of the eye could rule out the truth."""


def strength(value: str | float) -> float:
    """The probability that a strength word or a number from 0 to 1 stands for.

    >>> strength("usually"), strength(0.4)
    (0.8, 0.4)
    """
    return STRENGTHS[value] if isinstance(value, str) else float(value)


def hold_rank(hold: str) -> int:
    """Place of a hold in the rising order: 0 for ``running``, 5 for ``open``."""
    return _RANKS[hold]
