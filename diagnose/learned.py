"""What history has taught about one unit, kept with the callout, and the book that it makes.

Base rates are multiplied, so that what season and service do to them stays the book's. A book that learned
keeps the digest of its files: a callout's opening holds both, so that a replay gives the same numbers.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Final, TypeVar

from pydantic import BaseModel, ConfigDict, Field

from diagnose.own_words import rests_on_text
from knowledge.book import Book
from knowledge.schema import Cause, Check, Fact
from knowledge.schema_parts import Likelier, Minutes
from knowledge.words import UNLISTED

Asked = TypeVar("Asked", Check, Fact)

MOST: Final = 999.0
"""Base rates are of 1000 callouts; one cause cannot be all of them."""
Times = Annotated[float, Field(gt=0, le=10_000)]
Odds = Annotated[float, Field(gt=0, lt=1)]


class Learned(BaseModel):
    """What differs from the book on one unit; empty where nothing was learned."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    times: dict[str, Times] = {}
    """How many times as often as the book says each cause comes here, unlisted ones too."""
    minutes: dict[str, Minutes] = {}
    """Minutes of checks and facts by their names, and of repairs by cause."""
    takes: dict[str, Odds] = {}
    """P(a repair holds), by cause."""
    counts: dict[str, tuple[int, int]] = {}
    """Callouts that a cause had: on this unit, and in all. Causes with none are left out."""
    callouts: tuple[int, int] = (0, 0)
    """Callouts that were learned from: of this unit, and in all."""

    def rests_on(self, cause: str, language: str = "") -> str:
        """What a cause's rate rests on, for people."""
        here, everywhere = self.counts.get(cause, (0, 0))
        return rests_on_text(here, everywhere, self.callouts[1], language)


def learned_book(book: Book, learned: Learned | None) -> Book:
    """The same book with what was learned in place of its numbers; names that it lacks are left out."""
    if learned is None or not (learned.times or learned.minutes or learned.takes):
        return book
    return replace(
        book,
        causes={name: _cause(name, entry, learned) for name, entry in book.causes.items()},
        checks={name: _timed(name, entry, learned.minutes) for name, entry in book.checks.items()},
        facts={name: _timed(name, entry, learned.minutes) for name, entry in book.facts.items()},
        complaints={
            name: entry.model_copy(
                update={"unlisted": _base(entry.unlisted, learned.times.get(UNLISTED + name, 1.0))}
            )
            for name, entry in book.complaints.items()
        },
    )


def _timed(name: str, asked: Asked, minutes: Mapping[str, float]) -> Asked:
    return asked.model_copy(update={"minutes": minutes[name]}) if name in minutes else asked


def _cause(name: str, cause: Cause, learned: Learned) -> Cause:
    changes: dict[str, object] = {}
    if name in learned.times:
        times = learned.times[name]
        changes["base"] = _base(cause.base, times)
        changes["more_likely"] = [_row(row, times) for row in cause.more_likely]
    repair = {
        field: found[name]
        for field, found in (("minutes", learned.minutes), ("takes", learned.takes))
        if name in found
    }
    if repair:
        changes["repair"] = cause.repair.model_copy(update=repair)
    return cause.model_copy(update=changes) if changes else cause


def _base(base: float, times: float) -> float:
    return min(MOST, base * times)


def _row(row: Likelier, times: float) -> Likelier:
    """A row that sets a rate of its own goes with the base; a chance goes by its odds, to stay below 1."""
    if row.base is not None:
        return row.model_copy(update={"base": _base(row.base, times)})
    if row.chance is not None:
        odds = times * row.chance / (1 - row.chance)
        return row.model_copy(update={"chance": odds / (1 + odds)})
    return row
