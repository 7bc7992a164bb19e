"""The words that are spoken on the phone: how many, and whether a field hand knows them."""

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Final

from knowledge.book import Book
from knowledge.problems import Problem

MOST_WORDS: Final = 20
"""Words of a spoken line: more are not kept in mind beside a running vessel (judgement)."""
PLAIN_WORDS: Final = Path(__file__).parent / "plain_words.txt"
"""The field hand's plain list: everyday English and the words that every hand uses for the parts."""
_WORD: Final = re.compile(r"[a-z]+(?:'[a-z]+)?", re.IGNORECASE)


@cache
def plain_words() -> frozenset[str]:
    """Every word of the plain list, small."""
    return frozenset(PLAIN_WORDS.read_text(encoding="utf-8").split())


def spoken_lines(book: Book) -> Iterator[tuple[str, str]]:
    """(id, line) of everything that is spoken in English."""
    for entries in (book.triage, book.complaints, book.facts, book.checks):
        for name, entry in entries.items():
            yield name, entry.say
    for name, cause in book.causes.items():
        yield name, cause.plain
    for name, by_language in book.phone.items():
        if "en" in by_language and by_language["en"].hesitates:
            yield name, by_language["en"].hesitates


def word_hints(book: Book) -> list[Problem]:
    """Lines that are too long, and words above the plain list."""
    return [hint for name, line in spoken_lines(book) for hint in _hints(book.places[name], name, line)]


def _hints(place: str, name: str, line: str) -> Iterator[Problem]:
    words = _WORD.findall(line)
    if len(words) > MOST_WORDS:
        what = f"its spoken line has {len(words)} words, {MOST_WORDS} are the most"
        yield Problem(place, name, what, "Ask one thing, shorter.")
    hard = sorted({word.lower() for word in words} - plain_words())
    if hard:
        what = f"not on the field hand's plain list: {', '.join(hard)}"
        yield Problem(place, name, what, f"Say it plainer, or add it to {PLAIN_WORDS.name}.")
