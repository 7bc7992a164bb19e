"""The units of the demo site. The site, the units and their habits are invented."""

from dataclasses import dataclass, field
from typing import Final

from diagnose.sheet import Unit, unit_of
from diagnose.sheet_fields import UnitSheet
from knowledge.book import Book
from knowledge.door import read_text
from knowledge.validate import validate

SITE: Final = "Copper Draw (demo)"
WINTER: Final = frozenset({11, 12, 1, 2, 3})
ALL_YEAR: Final = frozenset(range(1, 13))
_SHEET: Final = """
unit: {name}
site: {site}
vessel: {{orientation: {lies}, diameter: {diameter} in, length: 10 ft, level: 18 in, inflow: {inflow} bbl/d}}
service: {{liquid: {liquid}}}
controller: {{action: {action}, acting: {acting}, supply_set: 25 psi}}
supply: {{medium: {medium}}}
valve: {{fails: {fails}}}
"""


@dataclass(frozen=True)
class Habit:
    """A fault that comes back on a unit."""

    cause: str
    a_year: float
    """Callouts of it a year, on average; for one that grows at the end of the years."""
    months: frozenset[int] = ALL_YEAR
    """When it comes."""
    grows: bool = False
    """Whether it comes ever oftener."""


@dataclass(frozen=True)
class DemoUnit:
    """One invented unit."""

    name: str
    liquid: str = "oil"
    action: str = "snap"
    acting: str = "direct"
    fails: str = "closed"
    medium: str = "field_gas"
    lies: str = "horizontal"
    diameter: int = 36
    inflow: int = 300
    a_year: float = 3.0
    """Callouts a year that are nobody's habit."""
    habits: tuple[Habit, ...] = field(default=())

    def unit(self, book: Book) -> Unit:
        """Its sheet, read against a book."""
        document = read_text(_SHEET.format(site=SITE, **vars(self)), self.name)
        return unit_of(validate(UnitSheet, document), book, document)


UNITS: Final = (
    DemoUnit("V-101 inlet separator", a_year=2.5),
    DemoUnit("V-102 test separator", "water", "throttle", a_year=3.0),
    DemoUnit(
        "V-104 cold bench scrubber",
        "oil",
        lies="vertical",
        a_year=2.0,
        habits=(Habit("ice_in_supply", 7.0, WINTER), Habit("output_line_frozen", 1.2, WINTER)),
    ),
    DemoUnit(
        "V-107 sand knockout",
        "water",
        a_year=2.5,
        habits=(
            Habit("trash_under_seat", 4.0),
            Habit("trim_washed_out", 1.5),
            Habit("solids_in_vessel", 1.0),
        ),
    ),
    DemoUnit(
        "V-110 old treater",
        a_year=0.7,
        habits=(Habit("pilot_gummed", 15.0, grows=True), Habit("pilot_diaphragm_cracked", 4.0, grows=True)),
    ),
    DemoUnit("V-112 water leg", "interface", "throttle", "indirect", "open", a_year=4.0),
    DemoUnit("V-115 flash drum", "oil", "throttle", lies="vertical", diameter=24, a_year=2.0),
    DemoUnit("V-118 suction scrubber", "water", lies="vertical", diameter=24, inflow=40, a_year=1.5),
    DemoUnit(
        "V-201 wax separator",
        a_year=2.0,
        habits=(Habit("displacer_coated", 2.5), Habit("paraffin_in_line", 1.5, WINTER)),
    ),
    DemoUnit("V-203 air-run separator", medium="air", action="throttle", a_year=1.0),
    DemoUnit("V-206 two-valve separator", acting="indirect", fails="open", a_year=3.0),
    DemoUnit("V-209 knockout", "interface", a_year=3.5, habits=(Habit("set_point_low", 1.5),)),
)
