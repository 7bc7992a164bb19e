"""The eight standard set-ups: snap and throttle, the two right pairings, one liquid and an interface.

The unit is invented, and the same but for that.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from diagnose.rig.plant import Plant, plant_of
from diagnose.sheet import Unit, unit_from, unit_of
from diagnose.sheet_fields import UnitSheet
from diagnose.trial.case import Case
from knowledge.book import Book
from knowledge.door import read_text
from knowledge.validate import validate

_SHEET: Final = """
unit: trial {name}
vessel: {{orientation: horizontal, diameter: 30 in, length: 8 ft, level: {level} in, inflow: 300 bbl/d}}
service: {{liquid: {liquid}}}
controller: {{action: {action}, acting: {acting}, supply_set: 20 psi}}
displacer: {displacer}
supply: {{medium: field_gas}}
valve: {{fails: {fails}}}
"""
_WATER: Final = {"level": "14", "liquid": "water", "displacer": "{hung: upright}"}
_INTERFACE: Final = {
    "level": "10",
    "liquid": "interface",
    "displacer": "{diameter: 4 in, length: 10 in, hung: flat}",
}


def _sheets() -> dict[str, str]:
    sheets = {}
    for action in ("snap", "throttle"):
        for acting, fails in (("direct", "closed"), ("indirect", "open")):
            for liquids in (_WATER, _INTERFACE):
                name = f"{action}_{acting}_{liquids['liquid']}"
                sheets[name] = _SHEET.format(name=name, action=action, acting=acting, fails=fails, **liquids)
    return sheets


SHEETS: Final[Mapping[str, str]] = MappingProxyType(_sheets())
"""The unit sheet's text of each set-up."""


@dataclass(frozen=True)
class SetUp:
    """One set-up, healthy."""

    name: str
    unit: Unit
    plant: Plant


def set_up(name: str, book: Book) -> SetUp:
    """The set-up of that name; `KeyError` when there is none."""
    document = read_text(SHEETS[name], name)
    unit = unit_of(validate(UnitSheet, document), book, document)
    return SetUp(name, unit, plant_of(unit.values))


def as_found(unit: Unit, case: Case, book: Book) -> Unit:
    """The unit as its sheet tells it, once somebody has read the tags of the valve that is there."""
    fails = case.plant.actuator.fails
    if not case.sees("tags_of_controller_and_valve_disagree") or unit.values["valve.fails"] == fails:
        return unit
    return unit_from(unit.name, {**unit.values, "valve.fails": fails}, book)
