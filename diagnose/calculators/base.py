"""What every calculator is made of: named inputs with units, and a result that carries its record.

A calculator's own function takes SI floats and words and gives a `Calculation`. Reading ``key=value``
words, checking ranges and printing are done here and in `diagnose.calculators.run`, once for all.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

Value = float | str | bool
"""An SI number, one of an input's words, or yes or no."""


@dataclass(frozen=True)
class Input:
    """One thing that a calculator asks for."""

    name: str
    about: str
    unit: str = ""
    """The unit that it is shown in; any unit of that dimension is read. Empty for a bare number or a word."""
    words: tuple[str, ...] = ()
    """The words that it can be, when it is no number."""
    usual: Value | None = None
    """SI value, or word, taken when it is left out; None when it must be given (or `optional`)."""
    optional: bool = False
    """May be left out with nothing in its place; the answers that need it are then left out too."""
    least: float = 0.0
    """Smallest SI value that can be meant; below it the input is refused."""
    most: float = float("inf")
    sheet: str = ""
    """The field of the unit sheet that gives it, as `vessel.diameter`."""


@dataclass(frozen=True)
class Answer:
    """One thing that a calculator tells."""

    name: str
    about: str
    value: Value
    """SI number, word, or yes or no."""
    unit: str = ""
    """The unit that it is shown in; empty for a bare number or a word."""


@dataclass(frozen=True)
class Calculation:
    """A result with everything that is needed to check it by hand."""

    calculator: str
    inputs: Mapping[str, Value]
    answers: tuple[Answer, ...]
    in_range: bool = True
    """False when an input lies outside the range in which the source says that the formula holds."""
    notes: tuple[str, ...] = ()
    """What a person must know beside the numbers: rules used, ranges left, what cannot be told."""
    sources: tuple[str, ...] = ()

    def __getitem__(self, name: str) -> Any:
        """The value of an answer by its name; `KeyError` when this run has no such answer."""
        for answer in self.answers:
            if answer.name == name:
                return answer.value
        raise KeyError(f"{self.calculator} gives no {name!r} for these inputs")


@dataclass(frozen=True)
class Calculator:
    """A named calculation and what it asks for."""

    name: str
    about: str
    inputs: tuple[Input, ...]
    work: Callable[[Mapping[str, Value]], Calculation]
    """Takes every input that is given or has a usual value, by name, in SI; raises `CannotWork`."""


class CannotWork(ValueError):
    """These inputs, each possible by itself, make no sense together; the message says which and why."""
