"""What somebody says without being asked, found among the answers to all checks and facts."""

import re
import unicodedata
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from diagnose.question import COMPLAINT
from knowledge.book import Book
from knowledge.schema import Check
from knowledge.words import strength

LEAST: Final = 3
"""Letters of the shortest word that counts."""
MOST: Final = 9
"""Offers at most: one for each digit."""
POINTS: Final = 0.5
"""An answer points at a fault or a condition that gives it at least this often (judgement)."""


MOST_COMPLAINTS: Final = 3
"""Complaints that are offered at most beside the findings."""
ALSO_WRONG: Final = "Also wrong:"


@dataclass(frozen=True)
class Offer:
    """A finding that the words may mean."""

    question: str
    """A check or a fact, or `complaint` for what else is wrong."""
    answer: str
    label: str
    """The question and its answer, for a person."""


@lru_cache(maxsize=4096)
def words_of(text: str) -> tuple[str, ...]:
    """The words of a text without case and accents.

    >>> words_of("Pilot's vent: GRÖßE")
    ('pilot', 's', 'vent', 'grosse')
    """
    letters = unicodedata.normalize("NFKD", text.casefold())
    return tuple(re.findall(r"[^\W_]+", "".join(c for c in letters if not unicodedata.combining(c))))


def counted(text: str) -> list[str]:
    """The words that are searched for, those long enough."""
    return [word for word in words_of(text) if len(word) >= LEAST]


def search(book: Book, text: str, known: Collection[str] = ()) -> tuple[Offer, ...]:
    """The findings that the words may mean, the best first; none when no word is long enough.

    Every word must begin one of the answer's own, of its question's, or of the title of what the answer
    points at. First come those with most words in the answer itself, then in the question, then those
    that begin earlier in the answer; then the book's order. ``known``: facts that are given already.
    """
    typed = counted(text)
    if not typed:
        return ()
    found: list[tuple[tuple[int, int, int], Offer]] = []
    for question, about, answer, label in _answers(book, known):
        own = words_of(label)
        places = [_place(word, own) for word in typed]
        others = [word for word, place in zip(typed, places, strict=True) if place is None]
        beyond = [word for word in others if _place(word, about) is None]
        if beyond:
            pointed = [word for title in _pointed_at(book, question, answer) for word in words_of(title)]
            if any(_place(word, pointed) is None for word in beyond):
                continue
        first = min((place for place in places if place is not None), default=0)
        found.append(
            (
                (len(others), len(beyond), first),
                Offer(question, answer, f"{book.question(question).ask} {label}"),
            )
        )
    return tuple(offer for _, offer in sorted(found, key=lambda item: item[0])[:MOST])


def complaints_meant(book: Book, text: str, told: Collection[str] = ()) -> tuple[Offer, ...]:
    """The complaints that the words may mean, in the book's order; ``told``: those that are told already."""
    typed = counted(text)
    if not typed:
        return ()
    found = []
    for name, entry in book.complaints.items():
        own = words_of(f"{entry.title} {entry.say}")
        if name not in told and all(_place(word, own) is not None for word in typed):
            found.append(Offer(COMPLAINT, name, f"{ALSO_WRONG} {entry.title}"))
    return tuple(found[:MOST_COMPLAINTS])


def _answers(book: Book, known: Collection[str]) -> Iterator[tuple[str, tuple[str, ...], str, str]]:
    """(question, its words, answer, its label) of all checks, then of the facts that are not known."""
    for name, check in book.checks.items():
        for answer, label in check.outcomes.items():
            yield name, words_of(check.ask), answer, label
    for name, fact in book.facts.items():
        if name not in known:
            for answer, label in fact.values.items():
                yield name, words_of(f"{fact.title} {fact.ask}"), answer, label


def _place(typed: str, words: Iterable[str]) -> int | None:
    """Where the first of the words stands that begins so; None when none does."""
    return next((place for place, word in enumerate(words) if word.startswith(typed)), None)


def _pointed_at(book: Book, question: str, answer: str) -> Iterator[str]:
    """Titles, and plain names, of the causes and conditions that mostly give this answer to a check."""
    asked = book.question(question)
    for row in asked.shows if isinstance(asked, Check) else ():
        if answer in row.then and strength(row.then[answer]) >= POINTS:
            for name in row.given:
                if name in book.causes:
                    yield f"{book.causes[name].title} {book.causes[name].plain}"
                elif name in book.conditions:
                    yield book.conditions[name].title
