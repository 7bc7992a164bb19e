"""The sentence to speak on the phone, in the language of the one who hears it."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from diagnose.steps import Step
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest
from knowledge.schema import Check, Complaint, Fact, Triage

ENGLISH: Final = "en"
"""The language that the book is written in."""

OWN_LINES: Final[Mapping[str, Mapping[str, str]]] = {
    "es": {
        "complaint": "Dígame qué hace, o qué no hace.",
        "complaint again": "¿Qué hace ahora, después de la reparación?",
        "notice": "Haga esto antes que nada. Se lo leo.",
        "hold": "Vamos a cambiar el estado del equipo. Le leo los pasos.",
        "repair": "Sospecho esto. Le leo qué hacer.",
        "prove": "¿Llenó, descargó y cerró dos veces por sí solo?",
        "help": "Vamos a llamar a alguien que sepa más.",
    }
}
"""What the program itself says, by kind of step. Not for a caution: its line is all there is of it."""


def languages(book: Book) -> list[str]:
    """The languages that the book's questions can be spoken in, English first."""
    asked: list[Check | Fact | Complaint | Triage] = []
    for entries in (book.checks, book.facts, book.complaints, book.triage):
        asked.extend(entries.values())
    return [ENGLISH, *sorted({language for entry in asked for language in entry.say_in} - {ENGLISH})]


def known_language(book: Book, language: str) -> str:
    """The language itself; `InputProblems` when the book is not spoken in it."""
    known = languages(book)
    if language not in known:
        mend = nearest(language, known)
        raise InputProblems([Problem("--lang", "", f"the book is not spoken in {language!r}", mend)])
    return language


def say(book: Book, kind: str, name: str, otherwise: str, language: str, again: bool = False) -> str:
    """What is said for a step; ``otherwise``: the line in English, where there is no other.

    ``again``: after a repair that did not cure it.
    """
    if kind in ("check", "triage"):
        asked = book.triage[name] if kind == "triage" else book.question(name)
        return asked.say_in.get(language, otherwise)
    own = OWN_LINES.get(language, {})
    return own.get(f"{kind} again" if again and kind == "complaint" else kind, otherwise)


def spoken(book: Book, step: Step, language: str, again: bool = False) -> Step:
    """The step with its line in a language."""
    return replace(step, say=say(book, step.kind, step.id, step.say, language, again))
