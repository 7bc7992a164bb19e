"""Everything that can be said of a unit sheet at once: what does not fit together, what is missing."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from diagnose.calculators.run import as_json
from diagnose.computed import Worked, work_out
from diagnose.events import SCHEMA_VERSION
from diagnose.loop import as_found_of, will_do
from diagnose.sheet_fields import UnitSheet, fields, shown
from knowledge.problems import Problem

Values = Mapping[str, float | str]


@dataclass(frozen=True)
class SheetReport:
    """What a check of a sheet found."""

    unit: str
    misfits: tuple[Problem, ...]
    """Fields that are possible by themselves and not together."""
    unknown: tuple[str, ...]
    worked: Worked
    will_do: tuple[str, ...]
    """What the loop does as it was found, a sentence each."""


def check_sheet(sheet: UnitSheet, place_of: Callable[[str], str]) -> SheetReport:
    """Check a sheet that was read; ``place_of`` gives ``file:line`` of a field."""
    values = sheet.values()
    misfits = tuple(Problem(place_of(field), field, what, mend) for field, what, mend in _misfits(values))
    unknown = tuple(name for name in fields() if name not in values)
    return SheetReport(
        sheet.unit, misfits, unknown, work_out(values), tuple(will_do(as_found_of(values)).sentences)
    )


ORDERED: Final = (
    ("vessel.low_trip", "vessel.level"),
    ("vessel.level", "vessel.high_trip"),
    ("valve.bench_low", "valve.bench_high"),
    ("valve.bench_high", "controller.supply_set"),
    ("controller.supply_set", "supply.upstream"),
    ("service.upper_density", "service.density"),
    ("displacer.diameter", "vessel.diameter"),
    ("valve.seat", "discharge.size"),
)
"""Pairs of fields of which the first must be the smaller one."""


def _misfits(values: Values) -> Iterator[tuple[str, str, str]]:
    """(field, what does not fit, mend)."""
    about = fields()
    for low, high in ORDERED:
        if low in values and high in values and float(values[low]) >= float(values[high]):
            first, second = shown(values[low], about[low]), shown(values[high], about[high])
            yield low, f"{first} is not below {high} ({second})", "Look at both again."
    yield from _heights(values)
    if values.get("service.liquid") == "interface" and "service.upper_density" not in values:
        yield (
            "service.liquid",
            "an interface has two liquids, and the upper one's density is not given",
            ("Add service.upper_density."),
        )
    if values.get("service.liquid") != "interface" and "service.upper_density" in values:
        yield (
            "service.upper_density",
            "there is an upper liquid and the service is no interface",
            ("Set service.liquid to interface, or take it out."),
        )


def _heights(values: Values) -> Iterator[tuple[str, str, str]]:
    upright = values.get("vessel.orientation") == "vertical"
    top = "vessel.length" if upright else "vessel.diameter"
    if top not in values or "vessel.orientation" not in values:
        return
    about = fields()
    for field in ("vessel.level", "vessel.high_trip", "vessel.low_trip"):
        if field in values and float(values[field]) > float(values[top]) * (1.6 if upright else 1.0):
            yield (
                field,
                f"{shown(values[field], about[field])} is above the top of the vessel",
                (f"{top} is {shown(values[top], about[top])}."),
            )


def report_json(report: SheetReport) -> dict[str, Any]:
    """A report for `json.dumps`."""
    worked = report.worked
    return {
        "schema_version": SCHEMA_VERSION,
        "unit": report.unit,
        "misfits": [vars(problem) for problem in report.misfits],
        "missing": {name: list(lacking) for name, lacking in worked.missing.items()},
        "refused": {name: list(why) for name, why in worked.refused.items()},
        "facts": [
            {"fact": fact.fact, "value": fact.value, "calculator": fact.calculation.calculator}
            for fact in worked.facts
        ],
        "calculations": [as_json(calculation) for calculation in worked.calculations.values()],
        "will_do": list(report.will_do),
        "unknown": list(report.unknown),
    }
