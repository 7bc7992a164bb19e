"""A whole book: the files of a folder joined, with every name in them resolved."""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from knowledge.door import Document, read_file
from knowledge.problems import InputProblems, Problem
from knowledge.references import reference_problems
from knowledge.schema import (
    BookFile,
    Cause,
    Check,
    Complaint,
    Computed,
    Condition,
    Fact,
    HoldStep,
    Prices,
    Procedure,
    Quantity,
    Triage,
)
from knowledge.schema_parts import Section
from knowledge.validate import validate

SHIPPED: Final = Path(__file__).parent / "book"
"""The folder of the book that comes with the program."""
EXAMPLES: Final = Path(__file__).parent / "examples"
"""The folder of the example unit sheets."""
_KINDS: Final = (
    "causes",
    "conditions",
    "checks",
    "facts",
    "computed",
    "quantities",
    "complaints",
    "triage",
    "holds",
    "cautions",
    "procedures",
)


@dataclass(frozen=True)
class Book:
    """The knowledge, whole. Mappings keep the order of the files and of the entries in them."""

    causes: Mapping[str, Cause]
    conditions: Mapping[str, Condition]
    checks: Mapping[str, Check]
    facts: Mapping[str, Fact]
    computed: Mapping[str, Computed]
    quantities: Mapping[str, Quantity]
    complaints: Mapping[str, Complaint]
    triage: Mapping[str, Triage]
    holds: Mapping[str, HoldStep]
    cautions: Mapping[str, str]
    procedures: Mapping[str, Procedure]
    prices: Prices
    coincidence: float
    """Share of a `base` at which that fault lies about on a unit at any one moment."""
    sections: Mapping[str, Section]
    """Section of every cause, condition and check, by id."""
    places: Mapping[str, str]
    """``file:line`` of every entry, by id."""
    digest: str
    """SHA-256 of the files' bytes, so that a callout can tell which book it was made with."""

    def question(self, name: str) -> Check | Fact:
        """The check of that name, or the fact that is asked like one; `KeyError` when there is neither."""
        return self.checks[name] if name in self.checks else self.facts[name]

    @cached_property
    def links(self) -> tuple[tuple[str, str], ...]:
        """(from, to) of every link between causes and conditions."""
        both: dict[str, Cause | Condition] = {**self.causes, **self.conditions}
        return tuple((name, target) for name, entry in both.items() for target in entry.leads_to)


def load_book(folder: Path = SHIPPED) -> Book:
    """Read every ``*.yaml`` of a folder, in the order of their names, into one book.

    Raises `InputProblems` with everything that is wrong in all of the files at once.
    """
    paths = sorted(folder.glob("*.yaml")) if folder.is_dir() else []
    if not paths:
        raise InputProblems(
            [Problem(str(folder), "", "holds no book", "Name a folder with *.yaml files in it.")]
        )
    problems: list[Problem] = []
    parts: list[tuple[Document, BookFile]] = []
    digest = hashlib.sha256()
    for path in paths:
        try:
            document = read_file(path)
            parts.append((document, validate(BookFile, document)))
            digest.update(path.read_bytes())
        except InputProblems as error:
            problems.extend(error.problems)
    if problems:
        raise InputProblems(problems)
    book, doubles = _join(parts, digest.hexdigest())
    problems = [*doubles, *reference_problems(parts)]
    if problems:
        raise InputProblems(problems)
    return book


def _join(parts: list[tuple[Document, BookFile]], digest: str) -> tuple[Book, list[Problem]]:
    joined: dict[str, dict[str, Any]] = {kind: {} for kind in _KINDS}
    sections: dict[str, Section] = {}
    places: dict[str, str] = {}
    problems: list[Problem] = []
    prices: Prices | None = None
    coincidence: float | None = None
    for document, part in parts:
        prices = part.prices or prices
        coincidence = part.coincidence or coincidence
        for kind, name, entry in _entries(part):
            place = document.place((kind, name))
            if name in places:
                problems.append(
                    Problem(
                        place,
                        f"{kind}.{name}",
                        f"the name is taken (see {places[name]})",
                        "Give one of them another name.",
                    )
                )
            places.setdefault(name, place)
            joined[kind][name] = entry
            if part.section and kind in ("causes", "conditions", "checks"):
                sections[name] = part.section
    if prices is None:
        problems.append(
            Problem(parts[0][0].name, "prices", "no file gives the prices", "Add `prices:` to one file.")
        )
        prices = Prices(help=0, proof=0)
    whole = Book(
        **joined,
        prices=prices,
        coincidence=coincidence or 1.0,
        sections=sections,
        places=places,
        digest=digest,
    )
    return whole, problems


def _entries(part: BookFile) -> Iterator[tuple[str, str, Any]]:
    for kind in _KINDS:
        for name, entry in getattr(part, kind).items():
            yield kind, name, entry
