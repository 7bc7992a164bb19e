"""What helps somebody who asks by phone: the line to say, and what may come back."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.events import COULD_NOT_TELL
from diagnose.phone_text import phone_words
from diagnose.steps import Step
from knowledge.book import Book
from knowledge.schema import Check

MOST_STEPS = 2
"""Steps of a check that are said to one who hesitates: more are not kept in mind (judgement)."""


@dataclass(frozen=True)
class PhoneLines:
    """One step, as it goes over the phone."""

    say: str
    hesitates: str
    """What to say when the caller hesitates."""
    sounds: Mapping[str, str]
    """What an answer may sound like in the caller's words, by answer; only where that is known."""


def phone_lines(book: Book, step: Step, language: str) -> PhoneLines:
    """The lines of a step that is spoken in this language."""
    words = phone_words(language)
    help_of = book.phone.get(step.id, {}).get(language) if step.kind in ("check", "triage") else None
    hesitates = help_of.hesitates if help_of and help_of.hesitates else _smaller_steps(book, step, language)
    sounds = _as_complained(book, language) if step.kind == "complaint" else {}
    if step.kind == "check":
        sounds = {COULD_NOT_TELL: words.cannot_tell}
    if help_of:
        sounds = {**sounds, **help_of.sounds_like}
    return PhoneLines(step.say, hesitates or words.hesitates.get(step.kind, ""), sounds)


def _smaller_steps(book: Book, step: Step, language: str) -> str:
    """The first steps of a check, or what a right one looks like; empty where the book has no such line."""
    if step.kind != "check" or language != book.language:
        return ""
    asked = book.question(step.id)
    if asked.steps:
        return " ".join(asked.steps[:MOST_STEPS])
    return f"{phone_words(language).right}: {asked.right}" if isinstance(asked, Check) else ""


def _as_complained(book: Book, language: str) -> dict[str, str]:
    """Complaints as callers say them."""
    return {name: entry.say_in.get(language, entry.say) for name, entry in book.complaints.items()}
