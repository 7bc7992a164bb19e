"""Numbers with units, as a person writes them.

A pressure is a gauge pressure unless its unit says absolute (`psia`, `kPaa`, `bara`): the two are
dimensions of their own, and `absolute` leads from one to the other by the site's atmosphere.
Factors: NIST SP 811 (from memory). The barrel is the oil barrel of 42 US gallons, M is a thousand and
MM a million, a standard cubic foot is at 60 degF and 14.696 psia.
"""

import math
import re
from dataclasses import dataclass
from typing import Final, NamedTuple, NewType

from knowledge.problems import nearest_name

_NUMBER: Final = re.compile(
    r"\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d{1,3})?)\s*([A-Za-z%°][A-Za-z0-9%/°]*)?\s*"
)

Gauge = NewType("Gauge", float)
"""A pressure above the atmosphere, in Pa."""
Absolute = NewType("Absolute", float)
"""A pressure above nothing, in Pa."""

WATER_60F: Final = 999.016
"""kg/m3 of water at 60 degF: what specific gravity is measured against (IAPWS-95 at 1 atm gives 999.017)."""
_LB: Final = 0.45359237
_FT3: Final = 0.3048**3
_GAL: Final = 231 * 0.0254**3
_BBL: Final = 42 * _GAL
_PSI: Final = 6894.757293168
_DAY: Final = 86400.0


class Unit(NamedTuple):
    """A unit: SI value = number x factor + offset, or the other way round for `API` (see `Quantity.to`)."""

    dimension: str
    factor: float
    offset: float = 0.0


_API: Final = Unit("density", 141.5 * WATER_60F, 131.5)
"""Degrees API: density = 141.5 x water / (number + 131.5)."""

UNITS: Final[dict[str, Unit]] = {
    "psi": Unit("pressure", _PSI),
    "psig": Unit("pressure", _PSI),
    "kPa": Unit("pressure", 1000.0),
    "kPag": Unit("pressure", 1000.0),
    "MPa": Unit("pressure", 1e6),
    "bar": Unit("pressure", 1e5),
    "barg": Unit("pressure", 1e5),
    "mbar": Unit("pressure", 100.0),
    "inH2O": Unit("pressure", 249.08891),
    "psia": Unit("absolute pressure", _PSI),
    "kPaa": Unit("absolute pressure", 1000.0),
    "bara": Unit("absolute pressure", 1e5),
    "atm": Unit("absolute pressure", 101_325.0),
    "s": Unit("time", 1.0),
    "sec": Unit("time", 1.0),
    "min": Unit("time", 60.0),
    "h": Unit("time", 3600.0),
    "d": Unit("time", _DAY),
    "in": Unit("length", 0.0254),
    "ft": Unit("length", 0.3048),
    "mm": Unit("length", 0.001),
    "cm": Unit("length", 0.01),
    "m": Unit("length", 1.0),
    "in2": Unit("area", 0.0254**2),
    "cm2": Unit("area", 1e-4),
    "mm2": Unit("area", 1e-6),
    "in3": Unit("volume", 0.0254**3),
    "ft3": Unit("volume", _FT3),
    "gal": Unit("volume", _GAL),
    "bbl": Unit("volume", _BBL),
    "L": Unit("volume", 0.001),
    "cm3": Unit("volume", 1e-6),
    "m3": Unit("volume", 1.0),
    "bbl/d": Unit("flow", _BBL / _DAY),
    "bbl/h": Unit("flow", _BBL / 3600),
    "gpm": Unit("flow", _GAL / 60),
    "m3/h": Unit("flow", 1 / 3600),
    "m3/d": Unit("flow", 1 / _DAY),
    "scf/h": Unit("gas flow", _FT3 / 3600),
    "scf/d": Unit("gas flow", _FT3 / _DAY),
    "scfm": Unit("gas flow", _FT3 / 60),
    "Mscf/d": Unit("gas flow", 1000 * _FT3 / _DAY),
    "scf": Unit("gas volume", _FT3),
    "Mscf": Unit("gas volume", 1000 * _FT3),
    "Sm3": Unit("gas volume", 1.0),
    "kg/m3": Unit("density", 1.0),
    "g/cm3": Unit("density", 1000.0),
    "lb/ft3": Unit("density", _LB / _FT3),
    "lb/gal": Unit("density", _LB / _GAL),
    "SG": Unit("density", WATER_60F),
    "API": _API,
    "kg": Unit("mass", 1.0),
    "g": Unit("mass", 0.001),
    "lb": Unit("mass", _LB),
    "oz": Unit("mass", _LB / 16),
    "N": Unit("force", 1.0),
    "lbf": Unit("force", _LB * 9.80665),
    "degF": Unit("temperature", 5.0 / 9.0, 459.67 * 5.0 / 9.0),
    "F": Unit("temperature", 5.0 / 9.0, 459.67 * 5.0 / 9.0),
    "degC": Unit("temperature", 1.0, 273.15),
    "C": Unit("temperature", 1.0, 273.15),
    "K": Unit("temperature", 1.0),
    "%": Unit("share", 0.01),
}
"""Every unit that can be written. Small letters do where only one unit is meant."""


def absolute(pressure: Gauge, atmosphere: Absolute) -> Absolute:
    """The absolute pressure of a gauge pressure where the atmosphere weighs so much.

    >>> absolute(Gauge(100_000.0), Absolute(90_000.0))
    190000.0
    """
    return Absolute(pressure + atmosphere)


MOST_TOLD: Final = 12
"""Units that a message names at most."""


class NotAQuantity(ValueError):
    """The text is not a number with a unit that is known here; the message says what to write.

    ``text`` with ``parts`` put in where it has braces; so it can be said in another language.
    """

    def __init__(self, text: str, **parts: object) -> None:
        super().__init__(text.format(**parts) if parts else text)
        self.text = text if parts else text.replace("{", "{{").replace("}", "}}")
        self.parts = parts


@dataclass(frozen=True)
class Quantity:
    """A number in SI units (Pa, s, m, m2, m3, m3/s, kg/m3, kg, N, K, or a share), with its text."""

    value: float
    dimension: str
    text: str

    def to(self, unit: str) -> float:
        """The number in another unit of the same dimension.

        >>> round(parse("12 psi").to("kPa"), 2), round(parse("35 API").to("SG"), 6)
        (82.74, 0.84985)
        """
        if UNITS[unit].dimension != self.dimension:
            raise NotAQuantity(
                "{typed} is {one}, not {other}. Give it in {unit}.",
                typed=repr(self.text),
                one=_a(self.dimension),
                other=_a(UNITS[unit].dimension),
                unit=unit,
            )
        return from_si(self.value, unit)


def from_si(value: float, unit: str) -> float:
    """A number in a unit, from its SI value.

    >>> round(from_si(0.158987294928, "bbl"), 9)
    1.0
    """
    into = UNITS[unit]
    return into.factor / value - into.offset if into is _API else (value - into.offset) / into.factor


def to_si(number: float, unit: str) -> float:
    """The SI value of a number in a unit."""
    out_of = UNITS[unit]
    if out_of is not _API:
        return number * out_of.factor + out_of.offset
    density = out_of.factor / (number + out_of.offset) if number > -out_of.offset else math.inf
    return density or math.inf  # lighter than nothing: there is no way back from it


def _a(dimension: str) -> str:
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension}"


def parse(text: str, *, as_unit: str = "psi") -> Quantity:
    """Read ``12 psi`` or ``0.8bar``; `NotAQuantity` with the mend for anything else.

    ``as_unit`` is the unit that the messages give as an example.
    """
    found = _NUMBER.fullmatch(text)
    if not found:
        raise NotAQuantity(
            "{typed} is not a number with a unit. Write it as: 12 {unit}.", typed=repr(text), unit=as_unit
        )
    number, unit = found.groups()
    if unit is None:
        raise NotAQuantity(
            "{typed} has no unit. Write it as: {number} {unit}.",
            typed=repr(text),
            number=number,
            unit=as_unit,
        )
    name = _unit_named(unit)
    if name is None:
        known = [known for known, entry in UNITS.items() if entry.dimension == UNITS[as_unit].dimension]
        near = nearest_name(unit, known)
        if near:
            what = "{typed} is not a unit known here. Did you mean {near}?"
            raise NotAQuantity(what, typed=repr(unit), near=near)
        what = "{typed} is not a unit known here. It can be: {units}."
        raise NotAQuantity(what, typed=repr(unit), units=", ".join(known[:MOST_TOLD]))
    value = to_si(float(number), name)
    if not math.isfinite(value) or value < 0:
        raise NotAQuantity(
            "{typed} is not possible: it is below zero or beyond any number. Read it again.", typed=repr(text)
        )
    return Quantity(value, UNITS[name].dimension, text.strip())


def _unit_named(unit: str) -> str | None:
    """The unit of that spelling, or the only one that differs from it in capitals alone."""
    if unit in UNITS:
        return unit
    close = [known for known in UNITS if known.lower() == unit.lower()]
    return close[0] if len({UNITS[known] for known in close}) == 1 else None
