"""Minutes of checks and repairs, and the odds that a repair holds, as callouts have shown them.

A step takes the book's minutes times a factor of its own; single times are gamma distributed around that.
Then n times that sum to x of the book's minutes tell of the pace (1 / factor) just as n Poisson counts do,
so that the reckoning of `diagnose.history.pooling` serves for it. The odds that a repair holds are beta
distributed, with the book's word for them as so many repairs seen. All sites go together here.

Source: the gamma and beta models, NASA/SP-2009-569, ch. 4.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from diagnose.history.belief import HIGH, LOW
from diagnose.history.closed import ClosedCallout
from diagnose.history.quantiles import beta_quantile, gamma_quantile
from diagnose.history.tally import weight_at
from knowledge.book import Book
from knowledge.words import strength

TIMES_SHAPE: Final = 2.0
"""Shape of the gamma distribution of a step's single times (judgement, no source)."""
MINUTES_TRUST: Final = 5.0
"""The book's minutes count as so many times that were taken (judgement, no source)."""
TAKES_TRUST: Final = 10.0
"""The book's odds count as so many repairs that were seen (judgement, no source)."""


@dataclass(frozen=True)
class Minutes:
    """Minutes of a check, or of a repair by its cause."""

    step: str
    book: float
    minutes: float
    low: float
    """5 % quantile of the mean."""
    high: float
    """95 % quantile of the mean."""
    times: int
    """How often it was timed."""


@dataclass(frozen=True)
class Takes:
    """P(a repair holds), by its cause."""

    cause: str
    book: float
    takes: float
    low: float
    high: float
    held: int
    failed: int


def minutes_of(book: Book, callouts: Iterable[ClosedCallout], now: datetime) -> tuple[Minutes, ...]:
    """Every check, fact and repair that was timed, in the book's order."""
    usual = _usual(book)
    sums: dict[str, tuple[float, float, int]] = defaultdict(lambda: (0.0, 0.0, 0))
    for closed in callouts:
        weight = weight_at(closed.ended, now)
        for step, minutes in _timed(closed):
            if usual.get(step, 0.0) > 0:
                many, parts, times = sums[step]
                sums[step] = many + weight, parts + weight * minutes / usual[step], times + 1
    return tuple(_minutes(step, usual[step], *sums[step]) for step in usual if step in sums)


def _usual(book: Book) -> Mapping[str, float]:
    return (
        {name: check.minutes for name, check in book.checks.items()}
        | {name: fact.minutes for name, fact in book.facts.items()}
        | {name: cause.repair.minutes for name, cause in book.causes.items()}
    )


def _timed(closed: ClosedCallout) -> Iterator[tuple[str, float]]:
    yield from ((made.check, made.minutes) for made in closed.checks if made.minutes is not None)
    yield from ((tried.cause, tried.minutes) for tried in closed.repairs if tried.minutes is not None)


def _minutes(step: str, book: float, many: float, parts: float, times: int) -> Minutes:
    """The pace is gamma distributed; the mean factor is rate / (shape - 1)."""
    shape = TIMES_SHAPE * (MINUTES_TRUST + many) + 1
    rate = TIMES_SHAPE * (MINUTES_TRUST + parts)
    slow, fast = float(gamma_quantile(shape, rate, LOW)), float(gamma_quantile(shape, rate, HIGH))
    return Minutes(step, book, book * rate / (shape - 1), book / fast, book / slow, times)


def takes_of(book: Book, callouts: Iterable[ClosedCallout], now: datetime) -> tuple[Takes, ...]:
    """Every cause whose repair was seen to hold or not to, in the book's order."""
    held: dict[str, list[tuple[float, bool]]] = defaultdict(list)
    for closed in callouts:
        weight = weight_at(closed.ended, now)
        for tried in closed.repairs:
            if tried.held is not None:
                held[tried.cause].append((weight, tried.held))
    return tuple(
        _takes(name, strength(entry.repair.takes), held[name])
        for name, entry in book.causes.items()
        if name in held
    )


def _takes(cause: str, book: float, seen: Iterable[tuple[float, bool]]) -> Takes:
    seen = list(seen)
    a = TAKES_TRUST * book + sum(weight for weight, held in seen if held)
    b = TAKES_TRUST * (1 - book) + sum(weight for weight, held in seen if not held)
    count = sum(held for _, held in seen)
    return Takes(
        cause,
        book,
        a / (a + b),
        beta_quantile(a, b, LOW),
        beta_quantile(a, b, HIGH),
        count,
        len(seen) - count,
    )
