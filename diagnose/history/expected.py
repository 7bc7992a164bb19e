"""What share of a unit's callouts the book expects each cause to have.

A cause is called about as often as it is there (its base rate for what is known of the unit) times how
surely it is complained of. So a cause that seldom shows is not taken for a rare one.
"""

from collections.abc import Collection, Mapping, Sequence
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
        tells = named | self._bound(named)
        key = name, tuple(sorted((fact, known[fact]) for fact in tells if fact in known))
        if key not in self._bases:
            self._bases[key] = self._averaged(self.book.causes[name], dict(key[1]), sorted(named))
        return self._bases[key]

    def _averaged(self, cause: Cause, known: Mapping[str, str], named: Sequence[str]) -> float:
        facts = {**dict.fromkeys(self.book.computed, UNKNOWN), **known}
        unknown = [fact for fact in named if fact not in facts]
        return sum(
            chance
            * base_rate(cause, {**facts, **dict(zip(unknown, values, strict=True))}, self.book.coincidence)
            for values, chance in self._chances(unknown, known).items()
        )

    def _bound(self, facts: Collection[str]) -> set[str]:
        """The facts that tell something of these, through the shares that hang on each other; these too."""
        bound = {fact for fact in facts if fact in self.book.facts}
        while True:
            more = {
                one
                for fact, others in self._hangs_on.items()
                if bound & {fact, *others}
                for one in (fact, *others)
            }
            if more <= bound:
                return bound
            bound |= more

    @cached_property
    def _hangs_on(self) -> dict[str, set[str]]:
        """For each fact, those that its shares hang on."""
        return {
            name: {other for row in fact.prior for other in row.when or {}}
            for name, fact in self.book.facts.items()
        }

    def _chances(self, facts: Sequence[str], known: Mapping[str, str]) -> dict[tuple[str, ...], float]:
        """P(values of these unknown facts | the known ones), by the book's shares."""
        bound = sorted(self._bound(facts))
        free = [fact for fact in bound if fact not in known]
        found: dict[tuple[str, ...], float] = {}
        for values in product(*(self.book.facts[fact].values for fact in free)):
            given = {**known, **dict(zip(free, values, strict=True))}
            chance = prod(self._share(fact, given) for fact in bound)
            key = tuple(given[fact] for fact in facts)
            found[key] = found.get(key, 0.0) + chance
        total = sum(found.values())
        return {key: chance / total for key, chance in found.items()}

    def _share(self, fact: str, given: Mapping[str, str]) -> float:
        """The share of a fact's value, all facts that it hangs on being given."""
        row = next(row for row in self.book.facts[fact].prior if holds_when(row.when, given))
        return row.share[given[fact]]

    @cached_property
    def _unlisted(self) -> dict[str, float]:
        return {
            unlisted(name): entry.unlisted / 1000 * self.book.coincidence
            for name, entry in self.book.complaints.items()
        }

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
        """P(values of these facts together), an axis for each."""
        table = np.zeros([len(self.book.facts[fact].values) for fact in facts])
        names = [list(self.book.facts[fact].values) for fact in facts]
        for values, chance in self._chances(facts, {}).items():
            table[tuple(name.index(value) for name, value in zip(names, values, strict=True))] = chance
        return table
