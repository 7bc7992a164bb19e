"""What a drill's hand may look at or name, found by typing words."""

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.volunteer import MOST, counted, words_of


@dataclass(frozen=True)
class Found:
    """A check, a fact or a cause."""

    id: str
    label: str


@dataclass(frozen=True)
class Entry:
    """Something to be found: by its label first, else by what else is said of it."""

    id: str
    label: str
    more: str = ""


def search(entries: Iterable[Entry], text: str) -> tuple[Found, ...]:
    """What has a word for every word typed that begins so, the best first; at most one for each digit.

    First come those with most of the words in the label, then those whose label begins with one, then the
    order given. Nothing when no word is long enough.

    >>> some = [Entry("a", "Gas lost", "the vent blows"), Entry("b", "Vent blocked"), Entry("c", "Stem")]
    >>> [found.id for found in search(some, "VEN")]
    ['b', 'a']
    """
    typed = counted(text)
    if not typed:
        return ()
    ranked: list[tuple[tuple[int, int], Found]] = []
    for entry in entries:
        label, more = words_of(entry.label), words_of(entry.more)
        places = [_place(word, label) for word in typed]
        beyond = [word for word, place in zip(typed, places, strict=True) if place is None]
        if all(_place(word, more) is not None for word in beyond):
            first = min((place for place in places if place is not None), default=len(label))
            ranked.append(((len(beyond), first), Found(entry.id, entry.label)))
    ranked.sort(key=lambda item: item[0])
    return tuple(found for _, found in ranked[:MOST])


def _place(typed: str, words: Iterable[str]) -> int | None:
    """Where the first of the words stands that begins so; None when none does."""
    return next((place for place, word in enumerate(words) if word.startswith(typed)), None)
