"""A book in another language: a folder of texts beside its files, named by the language, as ``es``.

Each file maps the English text, as it stands in the book, to the other one. So a text that is changed in the
book has none any more, and says so; and what stands in many entries is put into the other language once.
Where the same words need another one in one entry, they stand under its name in ``entries``.
The folder is read only when somebody asks for the language.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final, NamedTuple, TypeVar

from knowledge.book import KINDS, Book
from knowledge.door import Document, file_bytes, read_bytes
from knowledge.kept import Kept, keep, key_of, recalled
from knowledge.problems import InputProblems, Problem, nearest
from knowledge.schema import (
    Cause,
    Check,
    Complaint,
    Computed,
    Condition,
    Fact,
    Quantity,
    Repair,
    Triage,
    TriageOutcome,
)
from knowledge.schema_card import Card
from knowledge.schema_parts import Id, Part, Text
from knowledge.schema_steps import HoldStep, Procedure, ProcedureStep
from knowledge.validate import validate

ENGLISH: Final = "en"
"""The language that a book is written in."""
CODE: Final = re.compile(r"[a-z]{2}")
"""A language, ISO 639-1."""
_ASKED: Final = ("ask", "say", "why_it_splits", "steps", "tools")
READ: Final[Mapping[type[Part], tuple[str, ...]]] = {
    Cause: ("title", "plain", "why", "repair"),
    Repair: ("do", "parts", "tools"),
    Condition: ("title",),
    Check: (*_ASKED, "right", "outcomes"),
    Fact: (*_ASKED, "title", "values"),
    Computed: ("title", "values"),
    Quantity: ("title",),
    Complaint: ("title", "say"),
    Triage: ("ask", "say", "outcomes"),
    TriageOutcome: ("title", "do"),
    HoldStep: ("title", "done", "steps", "back"),
    Procedure: ("title", "purpose", "tools", "steps"),
    ProcedureStep: ("do",),
    Card: ("title", "names", "see", "where", "right", "wrong"),
}
"""The fields that a person reads, by kind of entry. ``say`` has its own other languages in ``say_in``."""
_NUMBER: Final = re.compile(r"\d+(?:[.,]\d+)?")
_BRACED: Final = re.compile(r"\{([a-z_]+)")
Some = TypeVar("Some", bound=Part)
Turn = Callable[[str], str]


class TextFile(Part):
    """One file of a language's folder."""

    texts: Mapping[Text, Text] = {}
    entries: Mapping[Id, Mapping[Text, Text]] = {}


@dataclass(frozen=True)
class Translation:
    """A book's texts in one language."""

    language: str
    texts: Mapping[str, str]
    """By the English text, for every entry."""
    entries: Mapping[str, Mapping[str, str]]
    """By the English text, for one entry alone, by its id."""
    places: Mapping[tuple[str, str], str]
    """``file:line`` of each text, by (id or nothing, English text)."""

    def of(self, entry: str, text: str) -> str | None:
        """The text of an entry in the language; None when there is none."""
        return self.entries.get(entry, {}).get(text) or self.texts.get(text)


class Read(NamedTuple):
    """A text of the book that a person reads."""

    entry: str
    text: str


def languages_of(folder: Path) -> list[str]:
    """The languages that have a folder beside the book's files."""
    return sorted(path.name for path in folder.iterdir() if path.is_dir() and CODE.fullmatch(path.name))


def load_translation(folder: Path, language: str, kept: Kept | None = None) -> Translation:
    """The texts of a book's folder in a language.

    ``kept``: where their plain data is kept for the next time. Raises `InputProblems` with everything that is
    wrong in all of the files, and when there is no such language.
    """
    if language not in languages_of(folder):
        what = f"the book has no texts in {language!r}"
        raise InputProblems([Problem(str(folder), "", what, nearest(language, languages_of(folder)))])
    paths = sorted((folder / language).glob("*.yaml"))
    sources = [(f"{language}/{path.name}", file_bytes(path, path.name)) for path in paths]
    key = key_of(sources)
    documents = recalled(kept, key) if kept is not None else []
    if not documents:
        documents = [read_bytes(raw, name) for name, raw in sources]
        if kept is not None:
            keep(kept, key, documents)
    return _joined(language, documents)


def _joined(language: str, documents: list[Document]) -> Translation:
    texts: dict[str, str] = {}
    entries: dict[str, dict[str, str]] = {}
    places: dict[tuple[str, str], str] = {}
    problems: list[Problem] = []
    for document in documents:
        try:
            part = validate(TextFile, document)
        except InputProblems as error:
            problems.extend(error.problems)
            continue
        for entry, trail, table in _tables(part):
            for text, other in table.items():
                place = document.place((*trail, text))
                if (entry, text) in places:
                    what = f"stands twice (first in {places[entry, text]}): {text}"
                    problems.append(Problem(place, "", what, "Keep one of them."))
                places.setdefault((entry, text), place)
                (entries.setdefault(entry, {}) if entry else texts)[text] = other
    if problems:
        raise InputProblems(problems)
    return Translation(language, texts, entries, places)


def _tables(part: TextFile) -> Iterator[tuple[str, tuple[str, ...], Mapping[str, str]]]:
    yield "", ("texts",), part.texts
    for entry, table in part.entries.items():
        yield entry, ("entries", entry), table


def in_language(book: Book, translation: Translation) -> Book:
    """The book with every text that a person reads in the language, in English where there is none."""

    def turned(name: str, entry: Any) -> Any:
        def turn(text: str) -> str:
            return translation.of(name, text) or text

        return turn(entry) if isinstance(entry, str) else _turned(entry, turn, translation.language)

    changed: dict[str, Any] = {
        kind: {name: turned(name, entry) for name, entry in getattr(book, kind).items()} for kind in KINDS
    }
    return replace(book, language=translation.language, **changed)


def texts_of(book: Book, language: str = "") -> list[Read]:
    """Every text that a person reads, with the entry that it stands in, in the book's order.

    Left out are the spoken lines that have one of their own in ``language``.
    """
    found: list[Read] = []
    for kind in KINDS:
        for name, entry in getattr(book, kind).items():
            seen: list[str] = []

            def note(text: str, seen: list[str] = seen) -> str:
                seen.append(text)
                return text

            if isinstance(entry, str):
                note(entry)
            else:
                _turned(entry, note, language)
            found += [Read(name, text) for text in dict.fromkeys(seen)]
    return found


def _turned(part: Some, turn: Turn, language: str) -> Some:
    """A copy of an entry with each text that is read put through ``turn``; `say` from its own languages."""
    spoken: dict[str, str] = getattr(part, "say_in", {})
    own = spoken.get(language)
    changes = {
        field: own if own and field == "say" else _value(getattr(part, field), turn, language)
        for field in READ[type(part)]
    }
    if own:
        # The English line stays to be had, for whoever is spoken to in it.
        changes["say_in"] = {**spoken, ENGLISH: getattr(part, "say", "")}
    return part.model_copy(update=changes)


def _value(value: Any, turn: Turn, language: str) -> Any:
    match value:
        case str():
            return turn(value)
        case list():
            return [_value(one, turn, language) for one in value]
        case dict():
            return {key: _value(one, turn, language) for key, one in value.items()}
        case Part():
            return _turned(value, turn, language)
    return value


def translation_hints(book: Book, translation: Translation) -> list[Problem]:
    """Texts of the book that are not in the language, those of it that no entry has, and those that differ
    from the English in a number or in what is put in for a unit."""
    language, hints = translation.language, list[Problem]()
    read = texts_of(book, language)
    for entry, text in read:
        other = translation.of(entry, text)
        if other is None:
            what, mend = f"has no {language} text for: {text}", f"Add it to the book's {language} folder."
            hints.append(Problem(book.places[entry], entry, what, mend))
    used = set(read) | {Read("", text) for _, text in read}
    for (entry, text), place in translation.places.items():
        if (entry, text) not in used:
            hints.append(
                Problem(place, entry, f"the book has no such text: {text}", "Take it out or mend it.")
            )
            continue
        other = translation.entries[entry][text] if entry else translation.texts[text]
        for what, told in (("numbers", _NUMBER), ("names in braces", _BRACED)):
            if sorted(told.findall(text)) != sorted(told.findall(other)):
                hints.append(
                    Problem(place, entry, f"its {what} are not those of: {text}", "Mend one of them.")
                )
    return hints


def folder_hints(folder: Path, book: Book) -> list[Problem]:
    """`translation_hints` for every language of the book's folder; raises `InputProblems`."""
    languages = languages_of(folder)
    return [hint for name in languages for hint in translation_hints(book, load_translation(folder, name))]
