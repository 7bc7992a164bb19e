"""An answer that somebody is not sure of, as soft evidence."""

from collections.abc import Iterable, Mapping
from typing import Final

THINK_SO: Final = 0.8
"""How surely "I think so" is so (judgement, no source); the other answers share the rest evenly."""
DOUBT: Final = "?"
"""Behind an answer that is typed: not sure."""


def told(typed: str) -> tuple[str, bool]:
    """(the answer itself, whether it is sure) of what was typed.

    >>> told("12 psi ?"), told("none")
    (('12 psi', False), ('none', True))
    """
    text = typed.strip()
    return text.removesuffix(DOUBT).rstrip(), not text.endswith(DOUBT)


def doubted(weights: Mapping[str, float], answers: Iterable[str]) -> dict[str, float]:
    """The weight of each answer when what ``weights`` stands for is thought to be so, but is not sure.

    ``weights``: a weight of 1 on the answer named, or what a reading gives each answer by its gauge's
    grade. Each weight is kept to `THINK_SO` and its rest spread over the other answers, so that the sum
    stays as it was.

    >>> {name: round(weight, 9) for name, weight in doubted({"none": 1.0}, ["none", "part", "full"]).items()}
    {'none': 0.8, 'part': 0.1, 'full': 0.1}
    """
    names = list(answers)
    whole = sum(weights.values())
    spread = (1 - THINK_SO) / (len(names) - 1)
    own = ((name, weights.get(name, 0.0)) for name in names)
    return {name: THINK_SO * weight + spread * (whole - weight) for name, weight in own}
