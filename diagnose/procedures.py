"""A procedure of the book fitted to a unit: its numbers put in, the holds and cautions in their place.

A caution that was read since the unit came into its hold is not read again. A step for other units is
left out; one that hangs on what nobody knows of this unit stays, and says for which units it is.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from diagnose.fitted_numbers import UNKNOWN_NUMBER, filled, numbers_of
from diagnose.own_words import own
from diagnose.words import SAFETY, SKILLS
from knowledge.book import Book
from knowledge.schema_parts import When
from knowledge.schema_steps import Procedure
from knowledge.words import HOLDS, SHEET_WORDS, hold_rank

Kind = Literal["hold", "caution", "way", "step"]

IN_WORDS: Final = {
    ("action", "snap"): "it snaps",
    ("action", "throttle"): "it throttles",
    ("acting", "direct"): "it acts direct",
    ("acting", "indirect"): "it acts indirect",
    ("valve_fails", "closed"): "the valve fails closed",
    ("valve_fails", "open"): "the valve fails open",
    ("supply_medium", "field_gas"): "it runs on field gas",
    ("supply_medium", "air"): "it runs on air",
    ("weather", "freezing"): "it freezes",
    ("weather", "mild"): "it does not freeze",
    ("liquid", "interface"): "it holds an interface",
    ("liquid", "oil"): "it holds oil",
    ("liquid", "water"): "it holds water",
    ("mount", "left"): "it is mounted on the left",
    ("mount", "right"): "it is mounted on the right",
    ("mount", "back"): "it is mounted at the back",
    ("hung", "upright"): "the displacer hangs upright",
    ("hung", "flat"): "the displacer hangs flat",
}
"""A fact of a unit as the condition of a step."""


@dataclass(frozen=True)
class Line:
    """One line of a fitted procedure."""

    kind: Kind
    text: str
    number: int = 0
    """Of a step, from 1; 0 for the others."""
    hold: str = "running"
    """The hold that the unit is in, or is being taken to."""


@dataclass(frozen=True)
class Fitted:
    """A procedure for one unit."""

    name: str
    title: str
    purpose: str
    minutes: float
    skill: str
    tools: tuple[str, ...]
    cautions: tuple[str, ...]
    """What is read before the first step."""
    lines: tuple[Line, ...]
    who: str
    """The words for ``skill``."""
    safety: str
    """The standing line on safety."""
    language: str
    """What all of it is in."""


def fitted(
    book: Book,
    name: str,
    facts: Mapping[str, str] | None = None,
    values: Mapping[str, float | str] | None = None,
) -> Fitted:
    """A procedure for a unit of which these facts and fields of the sheet (in SI) are known.

    `KeyError` when the book has no such procedure.
    """
    procedure, sheet = book.procedures[name], values or {}
    words = {word: str(sheet[field]) for word, field in SHEET_WORDS.items() if field in sheet}
    known = {**words, **(facts or {})}
    told = {word: own(book, number) for word, number in numbers_of(sheet).items()}
    return Fitted(
        name,
        procedure.title,
        procedure.purpose,
        procedure.minutes,
        procedure.skill,
        tuple(procedure.tools),
        tuple(book.cautions[caution] for caution in procedure.cautions),
        tuple(_lines(book, procedure, known, told)),
        own(book, SKILLS[procedure.skill]),
        own(book, SAFETY),
        book.language,
    )


def _lines(
    book: Book, procedure: Procedure, known: Mapping[str, str], numbers: Mapping[str, str]
) -> Iterator[Line]:
    hold, number, said = HOLDS[0], 0, set(procedure.cautions)
    for step in procedure.steps:
        open_ended = _condition(book, step.when, known)
        if open_ended is None:
            continue
        if step.hold and step.hold != hold:
            yield from _way(book, hold, step.hold)
            hold = step.hold
            said = set(book.holds[hold].cautions) if hold in book.holds else set()
        for caution in step.cautions:
            if caution not in said:
                yield Line("caution", book.cautions[caution], hold=hold)
        said |= set(step.cautions)
        number += 1
        text = filled(step.do, numbers, own(book, UNKNOWN_NUMBER))
        yield Line("step", open_ended + text, number, hold)
    yield from _way(book, hold, HOLDS[0])


def _condition(book: Book, when: When | None, known: Mapping[str, str]) -> str | None:
    """Empty when a step is for this unit, None when it is not, else for which units it is."""
    unknown: list[str] = []
    for fact, values in (when or {}).items():
        if fact not in known:
            words = {value: IN_WORDS.get((fact, value)) for value in values}
            each = (own(book, text) if text else f"{fact} is {value}" for value, text in words.items())
            unknown.append(own(book, " or ").join(each))
        elif known[fact] not in values:
            return None
    return own(book, "If {facts}: ", facts=own(book, " and ").join(unknown)) if unknown else ""


def _way(book: Book, start: str, end: str) -> Iterator[Line]:
    """The steps from one hold to another, cautions before those that go further."""
    if hold_rank(end) > hold_rank(start):
        for hold in HOLDS[hold_rank(start) + 1 : hold_rank(end) + 1]:
            entry = book.holds[hold]
            yield Line("hold", entry.title, hold=hold)
            for caution in entry.cautions:
                yield Line("caution", book.cautions[caution], hold=hold)
            for step in entry.steps:
                yield Line("way", step, hold=hold)
        return
    for hold in HOLDS[hold_rank(start) : hold_rank(end) : -1]:
        before = HOLDS[hold_rank(hold) - 1]
        back = own(book, "Go back from {hold} to {target}", hold=own(book, hold), target=own(book, before))
        yield Line("hold", back, hold=before)
        for step in book.holds[hold].back:
            yield Line("way", step, hold=before)
