"""What somebody typed, as an answer to a step."""

from typing import Final, NamedTuple

from diagnose.callout import State
from diagnose.events import COULD_NOT_TELL
from diagnose.own_words import own
from diagnose.readings import judge
from diagnose.sheet import quantities_of
from diagnose.steps import Step
from diagnose.trip import minutes_typed, outcome_of
from diagnose.units import NotAQuantity
from diagnose.unsure import told
from knowledge.book import Book

KINDS: Final = ("one", "other")
"""Parts of a `NotAQuantity` that are words, kinds of quantity."""


class NotAnAnswer(ValueError):
    """What was typed is not an answer to the step; the message says what would be."""


class Typed(NamedTuple):
    """An answer as an event carries it."""

    answer: str
    text: str
    """A reading as it was typed, without its doubt."""
    sure: bool


def understand(book: Book, state: State, step: Step, typed: str) -> Typed:
    """A choice's key, its answer's name, or a reading with its unit; a `?` behind it says "not sure".

    "Could not tell" is as sure with a `?` as without. Raises `NotAnAnswer` when it is none of these.
    """
    text, sure = told(typed)
    for choice in step.choices:
        if text in (choice.key, choice.answer):
            if not sure and step.kind != "check":
                what = "Only what was looked at can be not sure. Answer it without the “?”."
                raise NotAnAnswer(own(book, what))
            return Typed(choice.answer, "", sure or choice.answer == COULD_NOT_TELL)
    if step.kind == "triage" and book.triage[step.id].minutes:
        question = book.triage[step.id]
        try:
            return Typed(outcome_of(question, minutes_typed(text, state.sheet)), text, True)
        except NotAQuantity as error:
            raise NotAnAnswer(_in_language(book, error)) from error
    check = book.checks.get(step.id) if step.kind == "check" else None
    if check and check.reading:
        numbers = quantities_of(book, state.quantities)
        try:
            return Typed(judge(check.reading, text, numbers).outcome, text, sure)
        except NotAQuantity as error:
            raise NotAnAnswer(_in_language(book, error)) from error
    keys = ", ".join(choice.key for choice in step.choices)
    what = own(
        book, "{typed} is not an answer here. Press one of: {keys}.", typed=repr(typed.strip()), keys=keys
    )
    raise NotAnAnswer(what)


def _in_language(book: Book, error: NotAQuantity) -> str:
    parts = dict(error.parts)
    parts.update({name: own(book, str(parts[name])) for name in KINDS if name in parts})
    return own(book, error.text, **parts)
