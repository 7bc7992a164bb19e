"""Which causes no check can tell apart, in each of the standard set-ups, and which checks tell nothing."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

import numpy as np

from diagnose.alone import Alone, alone
from diagnose.decision import Mask
from diagnose.network import Table
from knowledge.book import Book
from knowledge.words import hold_rank

LEAST_APART: Final = 0.1
"""Bits below which two causes count as not told apart (judgement): no check is wrong less than one time in
three between the two."""
SHARED: Final = 0.1
"""Two causes are rivals where one complaint comes of each of them at least so often."""
UNOPENED: Final = "isolated"
"""The last hold in which nothing is taken apart."""
LEAST_TOLD: Final = 0.02
"""Bits between some two rivals that a check must give in some set-up to be worth its place."""


@dataclass(frozen=True)
class Pair:
    """Two rivals, and how well the best check that takes nothing apart tells them from each other."""

    setup: str
    one: str
    other: str
    bits: float
    check: str
    """The best check; empty when no check tells anything."""
    because: str
    """Why the book leaves them so; empty when it does not say."""


def standard_setups(book: Book) -> dict[str, dict[str, str]]:
    """Facts of the right pairings, by a short name; facts besides take the book's first value.

    A book without these facts has one set-up, its facts' first values.
    """
    first = {name: next(iter(fact.values)) for name, fact in book.facts.items()}
    wanted = {
        f"{action}, {acting}, fails {fails}": {"action": action, "acting": acting, "valve_fails": fails}
        for action, (acting, fails) in product(
            ("snap", "throttle"), (("direct", "closed"), ("indirect", "open"))
        )
    }
    if not {"action", "acting", "valve_fails"} <= set(book.facts):
        return {"any": first}
    return {name: {**first, **facts} for name, facts in wanted.items()}


def pairs(book: Book) -> list[Pair]:
    """Every pair of rivals below `LEAST_APART` in some set-up, each in the set-up where it is worst."""
    worst: dict[tuple[str, str], Pair] = {}
    for name, facts in standard_setups(book).items():
        for pair in _pairs_of(book, name, alone(book, facts)):
            known = worst.get((pair.one, pair.other))
            if known is None or pair.bits < known.bits:
                worst[pair.one, pair.other] = pair
    return sorted(worst.values(), key=lambda pair: (bool(pair.because), pair.bits))


def blind_checks(book: Book) -> list[str]:
    """The checks that tell no two rivals apart in any set-up: they never change the advice."""
    most = dict.fromkeys(book.checks, 0.0)
    for facts in standard_setups(book).values():
        seen = alone(book, facts)
        rivals = _rivals(seen)
        for check, table in seen.shows.items():
            most[check] = max(most[check], float((bits_between(table) * rivals).max(initial=0.0)))
    return [check for check, bits in most.items() if bits < LEAST_TOLD]


def unseen(book: Book) -> list[tuple[str, str]]:
    """(cause, set-up) where it brings about a complaint and no check shows anything of it.

    That nothing is wrong shows nowhere, of course.
    """
    wrong = np.array([not cause.nothing_wrong for cause in book.causes.values()], dtype=bool)
    found = []
    for setup, facts in standard_setups(book).items():
        seen = alone(book, facts)
        can_be = _reported(seen).any(axis=0)
        most = np.zeros(len(seen.causes))
        for name, table in seen.shows.items():
            both = np.column_stack([table, seen.healthy[name]])
            most = np.maximum(most, bits_between(both)[-1, :-1])
        missed = np.flatnonzero(wrong & can_be & (most < LEAST_APART)).tolist()
        found += [(seen.causes[k], setup) for k in missed]
    return found


def bits_between(table: Table) -> Table:
    """Bits that one answer gives between each two equally likely causes, shape (causes, causes).

    ``table``: P(answer | cause), shape (answers, causes). It is the Jensen-Shannon divergence, the mutual
    information of the answer and the cause (Lin, IEEE Trans. Inf. Theory 37, 1991; from memory).

    >>> bits_between(np.array([[1.0, 0.0, 0.5], [0.0, 1.0, 0.5]])).round(3).tolist()
    [[0.0, 1.0, 0.311], [1.0, 0.0, 0.311], [0.311, 0.311, 0.0]]
    """
    middle = (table[:, :, np.newaxis] + table[:, np.newaxis, :]) / 2
    own = _entropy(table)
    return np.asarray(np.clip(_entropy(middle) - (own[:, np.newaxis] + own[np.newaxis, :]) / 2, 0.0, 1.0))


def _entropy(table: Table) -> Table:
    """Bits, over the first axis."""
    return np.asarray(-(table * np.log2(np.where(table > 0, table, 1.0))).sum(axis=0))


def _reported(seen: Alone) -> Mask:
    """Which complaints come of each cause, shape (complaints, causes)."""
    return np.asarray(np.array(list(seen.reported.values())).reshape(-1, len(seen.causes)) >= SHARED)


def _rivals(seen: Alone) -> Table:
    """Which two causes share a complaint, shape (causes, causes)."""
    reported = _reported(seen)
    return np.asarray((reported[:, :, np.newaxis] & reported[:, np.newaxis, :]).any(axis=0))


def _pairs_of(book: Book, setup: str, seen: Alone) -> Iterator[Pair]:
    names: Sequence[str] = [
        name for name in seen.shows if hold_rank(book.checks[name].hold) <= hold_rank(UNOPENED)
    ]
    bits = np.stack([bits_between(seen.shows[name]) for name in names])
    best, most = bits.argmax(axis=0), bits.max(axis=0)
    close = (most < LEAST_APART) & _rivals(seen)
    for i, j in zip(*np.nonzero(np.triu(close, 1)), strict=True):
        one, other = seen.causes[i], seen.causes[j]
        check = names[best[i, j]] if most[i, j] > 0 else ""
        yield Pair(setup, one, other, float(most[i, j]), check, _because(book, one, other))


def _because(book: Book, one: str, other: str) -> str:
    """Why the book leaves two causes untold; empty when it does not say."""
    entries: Mapping[str, str | None] = {
        one: book.causes[one].same_repair_as,
        other: book.causes[other].same_repair_as,
    }
    if entries[one] == other or entries[other] == one or (entries[one] and entries[one] == entries[other]):
        return "the same repair"
    return book.causes[one].told_when_open or book.causes[other].told_when_open or ""
