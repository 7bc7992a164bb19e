"""From a unit sheet to what the reasoning takes: facts, quantities and the sheet's own values."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.units import from_si
from knowledge.book import EXAMPLES, Book
from knowledge.door import Document, read_file
from knowledge.problems import InputProblems, Problem, nearest
from knowledge.validate import validate
from knowledge.words import UNKNOWN

if TYPE_CHECKING:
    from diagnose.computed import ComputedFact
    from diagnose.sheet_fields import UnitSheet


@dataclass(frozen=True)
class Unit:
    """A unit as the reasoning sees it."""

    name: str = "unknown unit"
    facts: Mapping[str, str] = field(default_factory=dict)
    """Known facts, fact to value."""
    quantities: Mapping[str, float] = field(default_factory=dict)
    """Quantities that the sheet gives, each in the book's unit for it."""
    values: Mapping[str, float | str] = field(default_factory=dict)
    """Every known field of the sheet by its path, in SI."""
    worked: "tuple[ComputedFact, ...]" = ()
    """The facts among them that were worked out, with their calculations."""
    site: str = ""
    """Where it stands; empty when the sheet does not say."""


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
                f"there is no unit sheet {name!r}, neither a file nor an example",
                nearest(name, known) or f"The examples are: {', '.join(known)}.",
            )
        ]
    )


def read_sheet(name: str) -> "tuple[UnitSheet, Document]":
    """A unit sheet (a file, or the name of an example) and the places of its lines.

    Raises `InputProblems` with everything that is wrong in it at once.
    """
    from diagnose.sheet_fields import UnitSheet  # a hundred fields, which nothing without a sheet needs

    document = read_file(find_sheet(name))
    return validate(UnitSheet, document), document


def read_unit(name: str, book: Book) -> Unit:
    """Read a unit sheet against a book; raises `InputProblems` as `read_sheet` does."""
    sheet, document = read_sheet(name)
    return unit_of(sheet, book, document)


def unit_of(sheet: "UnitSheet", book: Book, document: Document | None = None) -> Unit:
    """What a book makes of a sheet; ``document`` gives the places for `InputProblems`."""
    values = sheet.values()
    problems: list[Problem] = []
    for entry in book.facts.values():
        value = values.get(entry.sheet or "")
        if value is not None and value not in entry.values:
            place = document.place(tuple(str(entry.sheet).split("."))) if document else sheet.unit
            mend = nearest(str(value), [*entry.values, UNKNOWN])
            problems.append(Problem(place, str(entry.sheet), f"{value!r} is not one of its values", mend))
    if problems:
        raise InputProblems(problems)
    return replace(unit_from(sheet.unit, values, book), site=sheet.site or "")


def unit_from(name: str, values: Mapping[str, float | str], book: Book) -> Unit:
    """What a book makes of a sheet's values (SI, by path), which are right ones."""
    facts = {
        fact: str(values[entry.sheet])
        for fact, entry in book.facts.items()
        if entry.sheet and entry.sheet in values
    }
    from diagnose.computed import work_out  # ten calculators, which a callout without a sheet does not need

    worked = tuple(fact for fact in work_out(values).facts if fact.fact in book.computed)
    facts |= {fact.fact: fact.value for fact in worked}
    return Unit(name, facts, told_quantities(book, values), values, worked)


def told_quantities(book: Book, values: Mapping[str, float | str]) -> dict[str, float]:
    """The quantities that a sheet's values (SI, by path) give, each in the book's unit."""
    return {
        quantity: from_si(float(values[entry.sheet]), entry.unit)
        for quantity, entry in book.quantities.items()
        if entry.sheet in values
    }


def quantities_of(book: Book, given: Mapping[str, float]) -> dict[str, float]:
    """Every quantity of the book: the unit's own, else the usual one."""
    return {name: given.get(name, entry.usual) for name, entry in book.quantities.items()}
