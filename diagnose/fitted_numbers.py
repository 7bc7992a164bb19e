"""The numbers of a unit that stand in braces in a procedure's steps, as a person would write them."""

import re
from collections.abc import Mapping
from typing import Final

from diagnose.calculators.buoyancy import Hanging
from diagnose.loop import as_found_of, will_do
from diagnose.units import from_si

SHOWN: Final = {
    "gauge_span": ("controller.gauge_range", "psi"),
    "bench_low": ("valve.bench_low", "psi"),
    "bench_high": ("valve.bench_high", "psi"),
    "level_set": ("vessel.level", "in"),
    "high_trip": ("vessel.high_trip", "in"),
    "low_trip": ("vessel.low_trip", "in"),
    "displacer_length": ("displacer.length", "in"),
    "displacer_diameter": ("displacer.diameter", "in"),
    "displacer_weight": ("displacer.weight", "lb"),
    "supply_set": ("controller.supply_set", "psi"),
}
"""Name in a step: field of the sheet, unit that it is shown in."""
WORKED_OUT: Final = (
    "half_supply",
    "lift_full",
    "band_full",
    "lever_belongs",
    "lever_belongs_on",
    "spring_belongs_on",
)
"""Names that are worked out from several fields."""
UNKNOWN_NUMBER: Final = "what the sheet says"
"""Stands for a number that is not known where the step has no words of its own for it."""
NAMES: Final = frozenset({*SHOWN, *WORKED_OUT})
BRACES: Final = re.compile(r"\{([a-z_]+)(?:\|([^{}]*))?\}")
"""`{name}` or `{name|words while it is not known}`."""


def numbers_of(values: Mapping[str, float | str]) -> dict[str, str]:
    """Every number that can be told, by name; ``values``: the sheet's fields in SI, and its words.

    >>> numbers_of({"controller.supply_set": 206843.0})["half_supply"]
    '15 psi'
    """
    known = {
        name: f"{from_si(float(values[field]), unit):.3g} {unit}"
        for name, (field, unit) in SHOWN.items()
        if field in values
    }
    if "controller.supply_set" in values:
        half = from_si(float(values["controller.supply_set"]) / 2, "psi")
        known["half_supply"] = f"{half:.3g} psi"
    return known | _of_displacer(values) | _of_loop(values)


def filled(text: str, numbers: Mapping[str, str], unknown: str = UNKNOWN_NUMBER) -> str:
    """A step with its numbers put in; what is not known stands in words.

    >>> filled("Set {supply_set|the supply}. Read {gauge_span}.", {"supply_set": "30 psi"})
    'Set 30 psi. Read what the sheet says.'
    """
    return BRACES.sub(lambda found: numbers.get(found[1]) or found[2] or unknown, text)


def _of_displacer(values: Mapping[str, float | str]) -> dict[str, str]:
    names = ("displacer.diameter", "displacer.length", "displacer.hung")
    if any(name not in values for name in names):
        return {}
    diameter, length, hung = (values[name] for name in names)
    density = values.get("service.density")
    hanging = Hanging(
        float(diameter),
        float(length),
        str(hung),
        float(density or 0.0),
        float(values.get("service.upper_density", 0.0)),
        None,
    )
    told = {"band_full": f"{from_si(hanging.height, 'in'):.3g} in"}
    if density is not None:
        told["lift_full"] = f"{from_si(hanging.lift, 'lbf'):.3g} lbf"
    return told


def _of_loop(values: Mapping[str, float | str]) -> dict[str, str]:
    """Where lever and spring belong, in words."""
    found = as_found_of(values)
    result = will_do(found)
    told: dict[str, str] = {}
    if result.lever_belongs:
        same = result.lever_belongs == "spring_side"
        told["lever_belongs"] = (
            "on the same side as the spring" if same else "on the other side from the spring"
        )
    if result.lever_belongs_on:
        told["lever_belongs_on"] = f"on the {result.lever_belongs_on} side"
    if found.displacer_side:
        told["spring_belongs_on"] = f"on the {found.displacer_side} side"
    return told
