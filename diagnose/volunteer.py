"""What somebody says without being asked, found among the answers to all checks and facts."""

import math
import re
import unicodedata
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from diagnose.own_words import own
from diagnose.question import COMPLAINT
from knowledge.book import Book
from knowledge.schema import Check
from knowledge.words import strength

LEAST: Final = 3
"""Letters of the shortest word that counts."""
MOST: Final = 9
"""Offers at most: one for each digit."""
STEM: Final = 4
"""Letters that another ending of a word leaves at least."""
ENDING: Final = 3
"""Letters of the longest ending that is taken off: blowing, blows."""
BEGINNING: Final = 0.8
OTHER_ENDING: Final = 0.6
"""What a longer word, and one with another ending, counts against the word itself (judgement)."""
NEAR: Final = (1.0, 0.8, 0.5)
"""What a word counts in the answer, in its question, in what the answer points at (judgement)."""
TELLS_ENOUGH: Final = 0.5
"""Part of the best answer's telling words below which another is not worth its line (judgement)."""
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


class Findings:
    """All answers to a book's checks and facts, by their words. Slow to make, quick to search."""

    def __init__(self, book: Book) -> None:
        self._offers: list[Offer] = []
        self._found: dict[str, dict[tuple[int, int], int]] = {}
        """By word: the answers that have it, how near (`NEAR`), and the first place where it stands there."""
        for question, about, answer, label in _answers(book):
            number = len(self._offers)
            self._offers.append(Offer(question, answer, f"{book.question(question).ask} {label}"))
            near = (words_of(label), about, _pointed_at(book, question, answer))
            for how, words in enumerate(near):
                for place, word in enumerate(words):
                    self._found.setdefault(word, {}).setdefault((number, how), place)

    def search(self, text: str, known: Collection[str] = ()) -> tuple[Offer, ...]:
        """The findings that the words may mean, the best first; none when no word is long enough, or known.

        In any order, every word must begin one of the answer's own, of its question's, or of the title of
        what the answer points at. First come those with most words in the answer itself, then in the
        question, then those that begin earlier in the answer; then the book's order. Where no answer has
        all words, those are offered that have the most telling of them, in this or with another ending; a
        word tells the more, the fewer answers have it. ``known``: facts that are given already.
        """
        typed = counted(text)
        left = {number for number, offer in enumerate(self._offers) if offer.question not in known}
        exact = [self._fitting(word, left) for word in typed]
        whole = set.intersection(*map(set, exact)) if exact else set()
        best = sorted(whole, key=lambda number: _rank([fits[number] for fits in exact], number))
        return tuple(self._offers[number] for number in (best or self._nearly(typed, exact, left))[:MOST])

    def _nearly(
        self, typed: Sequence[str], exact: Sequence[Mapping[int, tuple[int, int]]], left: Collection[int]
    ) -> list[int]:
        """The answers that have some of the words, those with the most telling ones first."""
        gains: dict[int, float] = {}
        places: dict[int, int] = {}
        for word, fits in zip(typed, exact, strict=True):
            stem = word[: max(STEM, len(word) - ENDING)]
            wide = self._fitting(stem, left) if len(stem) < len(word) else fits
            telling = 1.0 - math.sqrt(len(wide) / len(left)) if wide else 0.0
            itself = {number for number, _ in self._found.get(word, {})}
            for number, (how, place) in wide.items():
                surely = 1.0 if number in itself else BEGINNING if number in fits else OTHER_ENDING
                gains[number] = gains.get(number, 0.0) + telling * surely * NEAR[how]
                places[number] = places.get(number, 0) + place
        least = max(gains.values(), default=0.0) * TELLS_ENOUGH
        kept = [number for number in gains if gains[number] >= least]
        return sorted(kept, key=lambda number: (-gains[number], places[number], number))

    def _fitting(self, start: str, left: Collection[int]) -> dict[int, tuple[int, int]]:
        """By answer: how near the nearest word that begins so is, and where it stands."""
        fits: dict[int, tuple[int, int]] = {}
        for word, found in self._found.items():
            if word.startswith(start):
                for (number, how), place in found.items():
                    if number in left and (number not in fits or (how, place) < fits[number]):
                        fits[number] = how, place
        return fits


def _rank(fits: Sequence[tuple[int, int]], number: int) -> tuple[int, int, int, int]:
    """Words that are not in the answer, words that are not in the question either, first place, order."""
    beyond = [how for how, _ in fits if how]
    first = min((place for how, place in fits if not how), default=0)
    return len(beyond), sum(how > 1 for how in beyond), first, number


def complaints_meant(book: Book, text: str, told: Collection[str] = ()) -> tuple[Offer, ...]:
    """The complaints that all the words may mean, in the book's order; ``told``: those told already."""
    typed = counted(text)
    if not typed:
        return ()
    found = []
    for name, entry in book.complaints.items():
        words = words_of(f"{entry.title} {entry.say}")
        if name not in told and all(any(word.startswith(start) for word in words) for start in typed):
            found.append(Offer(COMPLAINT, name, f"{own(book, ALSO_WRONG)} {entry.title}"))
    return tuple(found[:MOST_COMPLAINTS])


def _answers(book: Book) -> Iterator[tuple[str, tuple[str, ...], str, str]]:
    """(question, its words, answer, its label) of all checks, then of all facts."""
    for name, check in book.checks.items():
        for answer, label in check.outcomes.items():
            yield name, words_of(check.ask), answer, label
    for name, fact in book.facts.items():
        for answer, label in fact.values.items():
            yield name, words_of(f"{fact.title} {fact.ask}"), answer, label


def _pointed_at(book: Book, question: str, answer: str) -> tuple[str, ...]:
    """The words of the titles, and plain names, of what mostly gives this answer to a check."""
    asked, found = book.question(question), list[str]()
    for row in asked.shows if isinstance(asked, Check) else ():
        if answer in row.then and strength(row.then[answer]) >= POINTS:
            for name in row.given:
                if name in book.causes:
                    found += words_of(f"{book.causes[name].title} {book.causes[name].plain}")
                elif name in book.conditions:
                    found += words_of(book.conditions[name].title)
    return tuple(found)
