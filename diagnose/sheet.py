"""The unit sheet: what is known of one vessel's level loop. Every field may be unknown."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict

from diagnose.units import NotAQuantity, parse
from knowledge.book import EXAMPLES, Book
from knowledge.door import Document, read_file
from knowledge.problems import InputProblems, Problem, nearest
from knowledge.validate import validate

UNKNOWN = "unknown"


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Controller(_Part):
    """The level controller, as it is meant to be."""

    action: str | None = None
    acting: str | None = None
    supply_set: str | None = None


class Valve(_Part):
    """The dump valve."""

    fails: str | None = None


class Service(_Part):
    """What the controller feels."""

    liquid: str | None = None


class Supply(_Part):
    """What the controller runs on."""

    medium: str | None = None


class UnitSheet(_Part):
    """One unit. A field that is left out, empty or ``unknown`` is not known."""

    unit: str
    site: str | None = None
    controller: Controller = Controller()
    valve: Valve = Valve()
    service: Service = Service()
    supply: Supply = Supply()


@dataclass(frozen=True)
class Unit:
    """A unit as the reasoning sees it."""

    name: str = "unknown unit"
    facts: Mapping[str, str] = field(default_factory=dict)
    """Known facts, fact to value."""
    quantities: Mapping[str, float] = field(default_factory=dict)
    """Quantities that the sheet gives, each in the book's unit for it."""


def find_sheet(name: str) -> Path:
    """The file of that name or, when there is none, the packaged example of that name."""
    path = Path(name)
    example = EXAMPLES / f"{name}.yaml"
    if path.exists():
        return path
    if Path(name).name == name and example.exists():
        return example
    known = sorted(entry.stem for entry in EXAMPLES.glob("*.yaml"))
    raise InputProblems(
        [
            Problem(
                "--unit",
                "",
                f"there is no unit sheet {name!r}",
                nearest(name, known) or f"The examples are: {', '.join(known)}.",
            )
        ]
    )


def read_unit(name: str, book: Book) -> Unit:
    """Read a unit sheet (a file, or the name of an example) against a book.

    Raises `InputProblems` with everything that is wrong in it at once.
    """
    document = read_file(find_sheet(name))
    sheet = validate(UnitSheet, document)
    data = sheet.model_dump()
    problems: list[Problem] = []
    facts: dict[str, str] = {}
    quantities: dict[str, float] = {}
    for fact, entry in book.facts.items():
        value = _at(data, entry.sheet)
        if value is not None and value not in entry.values:
            problems.append(
                _problem(
                    document,
                    entry.sheet,
                    f"{value!r} is not one of its values",
                    nearest(value, [*entry.values, UNKNOWN]),
                )
            )
        elif value is not None:
            facts[fact] = value
    for quantity, number in book.quantities.items():
        value = _at(data, number.sheet)
        if value is not None:
            try:
                quantities[quantity] = parse(value, as_unit=number.unit).to(number.unit)
            except NotAQuantity as error:
                problems.append(_problem(document, number.sheet, str(error), ""))
    if problems:
        raise InputProblems(problems)
    return Unit(sheet.unit, facts, quantities)


def quantities_of(book: Book, given: Mapping[str, float]) -> dict[str, float]:
    """Every quantity of the book: the unit's own, else the usual one."""
    return {name: given.get(name, entry.usual) for name, entry in book.quantities.items()}


def _at(data: Any, field: str | None) -> str | None:
    for step in field.split(".") if field else ():
        data = data.get(step) if isinstance(data, dict) else None
    return data if isinstance(data, str) and data != UNKNOWN else None


def _problem(document: Document, field: str | None, what: str, mend: str) -> Problem:
    trail = tuple((field or "").split("."))
    return Problem(document.place(trail), field or "", what.rstrip("."), mend)
