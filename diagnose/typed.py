"""What somebody typed, as an answer to a step."""

from typing import NamedTuple

from diagnose.callout import State
from diagnose.events import COULD_NOT_TELL
from diagnose.readings import judge
from diagnose.sheet import quantities_of
from diagnose.steps import Step
from diagnose.trip import minutes_typed, outcome_of
from diagnose.units import NotAQuantity
from diagnose.unsure import told
from knowledge.book import Book


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
                raise NotAnAnswer("Only what was looked at can be not sure. Answer it without the “?”.")
            return Typed(choice.answer, "", sure or choice.answer == COULD_NOT_TELL)
    if step.kind == "triage" and book.triage[step.id].minutes:
        question = book.triage[step.id]
        try:
            return Typed(outcome_of(question, minutes_typed(text, state.sheet)), text, True)
        except NotAQuantity as error:
            raise NotAnAnswer(str(error)) from error
    check = book.checks.get(step.id) if step.kind == "check" else None
    if check and check.reading:
        numbers = quantities_of(book, state.quantities)
        try:
            return Typed(judge(check.reading, text, numbers).outcome, text, sure)
        except NotAQuantity as error:
            raise NotAnAnswer(str(error)) from error
    keys = ", ".join(choice.key for choice in step.choices)
    raise NotAnAnswer(f"{typed.strip()!r} is not an answer here. Press one of: {keys}.")
