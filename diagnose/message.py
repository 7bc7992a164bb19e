"""A step as a message for somebody who reads: the question and how to answer it, in short numbered parts."""

import textwrap
from collections.abc import Sequence
from typing import Final

from diagnose.phone_text import phone_words
from diagnose.steps import Step
from knowledge.book import Book

LIMIT: Final = 300
"""A message has fewer characters than this."""
_NUMBERING: Final = len("99/99 ")
"""Characters that are kept free for the number of a part."""


def messages_of(book: Book, step: Step, language: str) -> tuple[str, ...]:
    """The message of a step; several, numbered, where one does not hold it. No caution is ever left out.

    Cautions and the line that defers to the site come first, then what is asked or to be done, then the
    answers with their numbers.
    """
    words = phone_words(language)
    cautions = [*(f"{words.caution}: {text}" for text in step.cautions), *filter(None, [step.defer])]
    asked = f"{words.caution}: {step.say}" if step.kind == "caution" else step.say
    heading = [step.heading] if step.kind in ("hold", "repair", "prove", "help") else []
    # A check is asked in one line; what else is to be done is told step by step.
    steps = step.steps if step.kind != "check" else ()
    doing = [*heading, asked, *(f"{number}) {text}" for number, text in enumerate(steps, 1))]
    answers = [f"{choice.key} {choice.label}" for choice in step.choices]
    answers.append(words.by_number)
    reading = book.checks[step.id].reading if step.kind == "check" and step.id in book.checks else None
    if reading:
        answers.append(words.by_reading.format(unit=reading.unit))
    return numbered(packed([cautions, doing, answers], LIMIT - 1 - _NUMBERING))


def packed(groups: Sequence[Sequence[str]], most: int) -> list[str]:
    """Lines put together into texts of at most ``most`` characters, in order.

    A group that fits a text of its own is not parted; a line is parted between words only where it is
    longer than a text.

    >>> packed([["one"], ["two", "three"]], 10)
    ['one', 'two\\nthree']
    """
    texts: list[str] = []
    for group in groups:
        whole = "\n".join(group)
        units = [whole] if len(whole) <= most else [part for line in group for part in _cut(line, most)]
        for unit in filter(None, units):
            if texts and len(texts[-1]) + 1 + len(unit) <= most:
                texts[-1] += f"\n{unit}"
            else:
                texts.append(unit)
    return texts


def numbered(texts: Sequence[str]) -> tuple[str, ...]:
    """Each text with its number among them; one alone has none.

    >>> numbered(["a", "b"])
    ('1/2 a', '2/2 b')
    """
    if len(texts) < 2:
        return tuple(texts)
    return tuple(f"{number}/{len(texts)} {text}" for number, text in enumerate(texts, 1))


def _cut(line: str, most: int) -> list[str]:
    return textwrap.wrap(line, most, break_on_hyphens=False)
