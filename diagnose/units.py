"""Numbers with units, as a person writes them, and the outcome that a reading stands for.

Pressures are gauge pressures. Factors: NIST SP 811 (from memory), except `inH2O`, which is at 4 degC.
"""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from knowledge.problems import nearest
from knowledge.schema import Reading

_NUMBER: Final = re.compile(
    r"\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d{1,3})?)\s*([A-Za-z%][A-Za-z0-9%]*)?\s*"
)

UNITS: Final[dict[str, tuple[str, float, float]]] = {
    "psi": ("pressure", 6894.757293168, 0.0),
    "psig": ("pressure", 6894.757293168, 0.0),
    "kPa": ("pressure", 1000.0, 0.0),
    "kPag": ("pressure", 1000.0, 0.0),
    "MPa": ("pressure", 1e6, 0.0),
    "bar": ("pressure", 1e5, 0.0),
    "barg": ("pressure", 1e5, 0.0),
    "inH2O": ("pressure", 249.08891, 0.0),
    "s": ("time", 1.0, 0.0),
    "sec": ("time", 1.0, 0.0),
    "min": ("time", 60.0, 0.0),
    "h": ("time", 3600.0, 0.0),
    "in": ("length", 0.0254, 0.0),
    "ft": ("length", 0.3048, 0.0),
    "mm": ("length", 0.001, 0.0),
    "cm": ("length", 0.01, 0.0),
    "m": ("length", 1.0, 0.0),
    "degF": ("temperature", 5.0 / 9.0, 459.67 * 5.0 / 9.0),
    "F": ("temperature", 5.0 / 9.0, 459.67 * 5.0 / 9.0),
    "degC": ("temperature", 1.0, 273.15),
    "C": ("temperature", 1.0, 273.15),
    "%": ("share", 0.01, 0.0),
}
"""Unit to (dimension, factor to SI, offset to SI): SI value = number x factor + offset."""


class NotAQuantity(ValueError):
    """The text is not a number with a unit that is known here; the message says what to write."""


@dataclass(frozen=True)
class Quantity:
    """A number in SI units (Pa gauge, s, m, K, or a share), with the text that it came from."""

    value: float
    dimension: str
    text: str

    def to(self, unit: str) -> float:
        """The number in another unit of the same dimension.

        >>> round(parse("12 psi").to("kPa"), 2)
        82.74
        """
        dimension, factor, offset = UNITS[unit]
        if dimension != self.dimension:
            raise NotAQuantity(f"{self.text!r} is a {self.dimension}, not a {dimension}. Give it in {unit}.")
        return (self.value - offset) / factor


def parse(text: str, *, as_unit: str = "psi") -> Quantity:
    """Read ``12 psi`` or ``0.8bar``; `NotAQuantity` with the mend for anything else.

    ``as_unit`` is the unit that the messages give as an example.
    """
    found = _NUMBER.fullmatch(text)
    if not found:
        raise NotAQuantity(f"{text!r} is not a number with a unit. Write it as: 12 {as_unit}.")
    number, unit = found.groups()
    if unit is None:
        raise NotAQuantity(f"{text!r} has no unit. Write it as: {number} {as_unit}.")
    name = unit if unit in UNITS else next((known for known in UNITS if known.lower() == unit.lower()), unit)
    if name not in UNITS:
        known = [known for known, entry in UNITS.items() if entry[0] == UNITS[as_unit][0]]
        raise NotAQuantity(f"{unit!r} is not a unit known here. {nearest(unit, known)}".strip())
    dimension, factor, offset = UNITS[name]
    value = float(number) * factor + offset
    if not math.isfinite(value) or value < 0:
        raise NotAQuantity(f"{text!r} is not possible: it is below zero or beyond any number. Read it again.")
    return Quantity(value, dimension, text.strip())


def outcome_of(reading: Reading, text: str, quantities: Mapping[str, float]) -> str:
    """The outcome that a reading stands for.

    ``quantities`` gives each quantity that a bin may be a share of, in the reading's own unit.
    """
    number = parse(text, as_unit=reading.unit).to(reading.unit)
    for part in reading.bins:
        if part.below is None:
            break
        if number < part.below * (quantities[part.of] if part.of else 1.0):
            return part.outcome
    return reading.bins[-1].outcome
