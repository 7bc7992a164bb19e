"""A whole book: the files of a folder joined, with every name in them resolved."""

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from pathlib import Path
from typing import Any, Final, TypeVar

from knowledge.door import Document, file_bytes, read_bytes
from knowledge.kept import Kept, Sources, key_of
from knowledge.kept_book import keep_book, parts_of, recalled_book
from knowledge.problems import InputProblems, Problem
from knowledge.references import Parts, reference_problems
from knowledge.schema import (
    BookFile,
    Cause,
    Check,
    Complaint,
    Computed,
    Condition,
    Fact,
    Prices,
    Quantity,
    Triage,
)
from knowledge.schema_card import Card
from knowledge.schema_parts import Section
from knowledge.schema_phone import PhoneHelp
from knowledge.schema_steps import HoldStep, Procedure
from knowledge.validate import validate

SHIPPED: Final = Path(__file__).parent / "book"
"""The folder of the book that comes with the program."""
EXAMPLES: Final = Path(__file__).parent / "examples"
"""The folder of the example unit sheets."""
Given = TypeVar("Given")
Made = TypeVar("Made")
KINDS: Final = (
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
    "cards",
)
"""The kinds of entries that have an id, by their key in a file."""


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
    cards: Mapping[str, Card]
    prices: Prices
    coincidence: float
    """Share of a `base` at which that fault lies about on a unit at any one moment."""
    sections: Mapping[str, Section]
    """Section of every cause, condition and check, by id."""
    places: Mapping[str, str]
    """``file:line`` of every entry, by id."""
    digest: str
    """SHA-256 of the files' bytes, so that a callout can tell which book it was made with."""
    phone: Mapping[str, Mapping[str, PhoneHelp]]
    """What helps on the phone, by the question that it belongs to and by language."""
    language: str = "en"
    """What its texts are in, ISO 639-1."""

    def question(self, name: str) -> Check | Fact:
        """The check of that name, or the fact that is asked like one; `KeyError` when there is neither."""
        return self.checks[name] if name in self.checks else self.facts[name]

    @cached_property
    def links(self) -> tuple[tuple[str, str], ...]:
        """(from, to) of every link between causes and conditions."""
        both: dict[str, Cause | Condition] = {**self.causes, **self.conditions}
        return tuple((name, target) for name, entry in both.items() for target in entry.leads_to)


def load_book(folder: Path = SHIPPED, kept: Kept | None = None) -> Book:
    """Read every ``*.yaml`` of a folder, in the order of their names, into one book.

    ``kept``: where a book is kept, once it was right, for the next time.
    Raises `InputProblems` with everything that is wrong in all of the files at once.
    """
    paths = sorted(folder.glob("*.yaml")) if folder.is_dir() else []
    if not paths:
        raise InputProblems(
            [Problem(str(folder), "", "holds no book", "Name a folder with *.yaml files in it.")]
        )
    sources, problems = _gathered(lambda path: (path.name, file_bytes(path, path.name)), paths)
    if kept is None or problems:
        return _read(sources, problems)
    key = key_of(sources)
    parts = recalled_book(kept, key)
    if parts is not None and parts.keys() == {part.name for part in fields(Book)}:
        return Book(**parts)
    book = _read(sources, [])
    keep_book(kept, key, parts_of(book))
    return book


def _read(sources: Sources, problems: Sequence[Problem]) -> Book:
    """The book of its files' bytes; ``problems``: those of files that are not among them."""
    parts, wrong = _gathered(lambda source: _part(read_bytes(source[1], source[0])), sources)
    if problems := [*problems, *wrong]:
        raise InputProblems(problems)
    digest = hashlib.sha256(b"".join(raw for _, raw in sources)).hexdigest()
    book, doubles = _join(parts, digest)
    if problems := [*doubles, *reference_problems(parts)]:
        raise InputProblems(problems)
    return book


def _gathered(read: Callable[[Given], Made], given: Iterable[Given]) -> tuple[list[Made], list[Problem]]:
    """What is read of each one, and the problems of all that cannot be."""
    made: list[Made] = []
    problems: list[Problem] = []
    for one in given:
        try:
            made.append(read(one))
        except InputProblems as error:
            problems.extend(error.problems)
    return made, problems


def _part(document: Document) -> tuple[Document, BookFile]:
    return document, validate(BookFile, document)


def _join(parts: Parts, digest: str) -> tuple[Book, list[Problem]]:
    joined: dict[str, Any] = {kind: {} for kind in KINDS}
    sections: dict[str, Section] = {}
    places: dict[str, str] = {}
    problems: list[Problem] = []
    prices: Prices | None = None
    coincidence: float | None = None
    phone: dict[str, Mapping[str, PhoneHelp]] = {}
    for document, part in parts:
        phone |= part.phone
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
        phone=phone,
    )
    return whole, problems


def _entries(part: BookFile) -> Iterator[tuple[str, str, Any]]:
    for kind in KINDS:
        for name, entry in getattr(part, kind).items():
            yield kind, name, entry
