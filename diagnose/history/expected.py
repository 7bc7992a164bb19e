"""What share of a unit's callouts the book expects each cause to have.

A cause is called about as often as it is there (its base rate for what is known of the unit) times how
surely it is complained of. So a cause that seldom shows is not taken for a rare one.
"""

from collections.abc import Mapping, Sequence
from functools import cached_property
from itertools import product
from math import prod

import numpy as np
import numpy.typing as npt

from diagnose.compile import Compiler, all_causes, base_rate, holds_when, unlisted
from knowledge.book import Book
from knowledge.schema import Cause
from knowledge.words import UNKNOWN, strength

Shares = npt.NDArray[np.float64]


class Expected:
    """The book's expectation; shapes end in (causes,), in the order of `diagnose.compile.all_causes`."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.causes = all_causes(book)
        self._named = {
            name: {fact for row in entry.more_likely for fact in row.when}
            for name, entry in book.causes.items()
        }
        self._bases: dict[tuple[str, tuple[tuple[str, str], ...]], float] = {}

    def shares(self, known: Sequence[Mapping[str, str]]) -> Shares:
        """Each cause's share of callouts for each set of known facts, shape (sets, causes); rows sum to 1."""
        there = np.array([[self._base(name, facts) for name in self.causes] for facts in known])
        weight = there.reshape(len(known), len(self.causes)) * self.complained_of
        return np.asarray(weight / weight.sum(axis=1, keepdims=True))

    def _base(self, name: str, known: Mapping[str, str]) -> float:
        """P(cause is there) on a unit with these facts, the unknown ones averaged by the book's shares."""
        if name not in self.book.causes:
            return self._unlisted[name]
        named = self._named[name]
        key = name, tuple(sorted((fact, known[fact]) for fact in named if fact in known))
        if key not in self._bases:
            self._bases[key] = self._averaged(self.book.causes[name], dict(key[1]), sorted(named))
        return self._bases[key]

    def _averaged(self, cause: Cause, known: Mapping[str, str], named: Sequence[str]) -> float:
        facts = {**dict.fromkeys(self.book.computed, UNKNOWN), **known}
        unknown = [fact for fact in named if fact not in facts]
        shares = [self._marginal[fact] for fact in unknown]
        return sum(
            prod(share[value] for share, value in zip(shares, values, strict=True))
            * base_rate(cause, {**facts, **dict(zip(unknown, values, strict=True))}, self.book.coincidence)
            for values in product(*shares)
        )

    @cached_property
    def _unlisted(self) -> dict[str, float]:
        return {
            unlisted(name): entry.unlisted / 1000 * self.book.coincidence
            for name, entry in self.book.complaints.items()
        }

    @cached_property
    def _marginal(self) -> dict[str, dict[str, float]]:
        """The share of each value of each fact among all units."""
        found: dict[str, dict[str, float]] = {}
        for name in self.book.facts:
            self._find_marginal(name, found)
        return found

    def _find_marginal(self, name: str, found: dict[str, dict[str, float]]) -> dict[str, float]:
        if name in found:
            return found[name]
        fact = self.book.facts[name]
        others = sorted({other for row in fact.prior for other in row.when or {}})
        shares = [self._find_marginal(other, found) for other in others]
        total = dict.fromkeys(fact.values, 0.0)
        for values in product(*shares):
            weight = prod(share[value] for share, value in zip(shares, values, strict=True))
            row = next(r for r in fact.prior if holds_when(r.when, dict(zip(others, values, strict=True))))
            for value in fact.values:
                total[value] += weight * row.share[value]
        found[name] = total
        return total

    @cached_property
    def complained_of(self) -> Shares:
        """P(somebody complains | the cause alone is there), on a unit that nothing is known of.

        The ways from a cause to the complaints are taken as independent of each other.
        """
        compiler = Compiler(self.book, {})
        index = {name: k for k, name in enumerate(self.causes)}
        on: dict[str, Shares] = {}

        def reached(name: str) -> Shares:
            """P(the cause or condition is on | each cause alone)."""
            if name in index:
                return np.asarray(np.eye(len(index))[index[name]])
            if name not in on:
                off = np.ones(len(index))
                for parent in compiler.parents[name]:
                    weights = self._joint(parent.facts)
                    off = off * (1 - reached(parent.name) * float((parent.strength * weights).sum()))
                on[name] = 1 - off
            return on[name]

        spared = np.ones(len(index))
        for complaint in self.book.complaints.values():
            spared = spared * (1 - reached(complaint.of) * strength(complaint.reported))
        return np.asarray(1 - spared)

    def _joint(self, facts: Sequence[str]) -> Shares:
        """The shares of the facts' values together, as if they were independent."""
        table = np.ones(())
        for fact in facts:
            table = np.multiply.outer(table, np.array(list(self._marginal[fact].values())))
        return np.asarray(table)
