"""From the book and a unit's known facts to a network.

Known facts fold away: rows of the book that hold `when` a fact has another value are dropped.
Unknown facts stay as chance variables with the book's shares as their prior. Causes are roots (or
hang on unknown facts alone), conditions are noisy-OR gates, and checks are not in the network at all:
a finding is a likelihood on what the check looks at.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property
from itertools import product
from math import prod
from typing import Final

import numpy as np

from diagnose.gates import HELPER_MARK, Parent, noisy_or
from diagnose.network import Factor, Network, Table
from knowledge.book import Book
from knowledge.schema import Cause, Check, Condition, Show
from knowledge.schema_parts import LinkRow, When
from knowledge.words import UNKNOWN, UNLISTED, strength

NO_YES: Final = ("no", "yes")
LEAK: Final = 1e-5
"""Chance that a condition comes from nothing in the book. Small, because the unlisted causes stand for
the book's gaps; not zero, so that no set of findings is impossible."""
MAX_BASE: Final = 0.98
"""However much speaks for a cause before the first check, one check must be able to speak against it."""

Facts = Mapping[str, str]


def unlisted(complaint: str) -> str:
    """Id of the cause that stands for everything behind a complaint that the book does not hold."""
    return UNLISTED + complaint


def all_causes(book: Book) -> list[str]:
    """Ids of the book's causes and of the unlisted ones, in order."""
    return [*book.causes, *(unlisted(name) for name in book.complaints)]


def holds_when(when: When | None, facts: Facts) -> bool:
    """Whether every fact that a row names has one of the values that it asks for.

    >>> holds_when({"action": ["snap"]}, {"action": "throttle"}), holds_when(None, {})
    (False, True)
    """
    return all(facts[name] in values for name, values in (when or {}).items())


class Compiler:
    """Makes the parts of the network for one book and one set of known facts."""

    def __init__(self, book: Book, known: Facts) -> None:
        self.book = book
        self.known = {**dict.fromkeys(book.computed, UNKNOWN), **known}
        self.unknown = {name: tuple(fact.values) for name, fact in book.facts.items() if name not in known}

    @cached_property
    def barren(self) -> frozenset[str]:
        """Conditions that no check sees, nor anything that they lead to: they matter only when reported."""
        parents = self.parents
        seen = {given for name in self.book.checks for given in self.scope_of_check(name)}
        waiting = [name for name in seen if name in parents]
        while waiting:
            above = {parent.name for parent in parents[waiting.pop()]} - seen
            seen |= above
            waiting.extend(name for name in above if name in parents)
        return frozenset(self.book.conditions) - seen

    def network(
        self, reported: Collection[str] | None = None, without: tuple[str, str] | None = None
    ) -> Network:
        """The network of causes, conditions and unknown facts; the checks are not in it.

        ``reported``: the conditions that were complained of; barren ones that do not lead to any of them are
        left out, which changes no belief. None keeps all. ``without``: a link, (from, to), to leave out.
        """
        kept_conditions = self._with_reported(reported)
        states: dict[str, tuple[str, ...]] = dict(self.unknown)
        factors = [factor for name in self.book.facts if (factor := self._fact(name)).variables]
        for name in all_causes(self.book):
            states[name] = NO_YES
            factors.append(self.prior(name))
        parents = self.parents
        for name in kept_conditions:
            states[name] = NO_YES
            kept = [parent for parent in parents[name] if (parent.name, name) != without]
            gate = noisy_or(name, kept, LEAK)
            states |= {
                part: NO_YES for factor in gate for part in factor.variables if part.endswith(HELPER_MARK)
            }
            factors.extend(gate)
        return Network(states, tuple(factors))

    def _with_reported(self, reported: Collection[str] | None) -> list[str]:
        """The conditions that matter when some were complained of, in the book's order."""
        if reported is None:
            return list(self.book.conditions)
        parents = self.parents
        wanted, waiting = set(reported), list(reported)
        while waiting:
            above = {parent.name for parent in parents[waiting.pop()]} & self.barren - wanted
            wanted |= above
            waiting.extend(above)
        return [name for name in self.book.conditions if name not in self.barren or name in wanted]

    def _open_facts(self, whens: Iterable[When | None]) -> tuple[str, ...]:
        named = {name for when in whens for name in when or {}}
        return tuple(name for name in self.unknown if name in named)

    def _assignments(self, facts: Sequence[str]) -> Iterable[tuple[tuple[int, ...], dict[str, str]]]:
        """Every assignment of some unknown facts: (index of each value, all facts' values)."""
        for index in product(*(range(len(self.unknown[name])) for name in facts)):
            values = {name: self.unknown[name][k] for name, k in zip(facts, index, strict=True)}
            yield index, {**self.known, **values}

    def _tabulate(self, facts: Sequence[str], value: Mapping[tuple[int, ...], float]) -> Table:
        table = np.zeros(tuple(len(self.unknown[name]) for name in facts))
        for index, number in value.items():
            table[index] = number
        return table

    def _fact(self, name: str) -> Factor:
        """P(fact | unknown facts); of a known fact only the share of its value, which tells of the others."""
        fact = self.book.facts[name]
        others = self._open_facts(row.when for row in fact.prior)
        values = tuple(fact.values)
        table = np.zeros((*(len(self.unknown[other]) for other in others), len(values)))
        for index, facts in self._assignments(others):
            row = next(row for row in fact.prior if holds_when(row.when, facts))
            table[index] = [row.share[value] for value in values]
        if name in self.known:
            return Factor(others, table[..., values.index(self.known[name])])
        return Factor((*others, name), table)

    def prior(self, cause: str, remains: float = 1.0) -> Factor:
        """P(cause | unknown facts), axes (cause, *facts); ``remains`` is the share that repairs left."""
        if cause not in self.book.causes:
            rate = self.book.complaints[cause.removeprefix(UNLISTED)].unlisted
            base = rate / 1000 * self.book.coincidence * remains
            return Factor((cause,), np.array([1 - base, base]))
        entry = self.book.causes[cause]
        facts = self._open_facts(row.when for row in entry.more_likely)
        yes = self._tabulate(
            facts,
            {
                index: base_rate(entry, values, self.book.coincidence) * remains
                for index, values in self._assignments(facts)
            },
        )
        return Factor((cause, *facts), np.stack([1 - yes, yes]))

    @cached_property
    def parents(self) -> dict[str, list[Parent]]:
        """What leads to each condition for these facts; links that cannot hold are left out."""
        parents: dict[str, list[Parent]] = {name: [] for name in self.book.conditions}
        entries: dict[str, Cause | Condition] = {**self.book.causes, **self.book.conditions}
        for name, entry in entries.items():
            for target, rows in entry.leads_to.items():
                parent = self._link(name, rows)
                if parent.strength.any():
                    parents[target].append(parent)
        for name, complaint in self.book.complaints.items():
            parents[complaint.of].append(Parent(unlisted(name), (), np.array(strength("always"))))
        return parents

    def _link(self, name: str, rows: Sequence[LinkRow]) -> Parent:
        facts = self._open_facts(row.when for row in rows)
        values: dict[tuple[int, ...], float] = {}
        for index, assignment in self._assignments(facts):
            row = next((row for row in rows if holds_when(row.when, assignment)), None)
            values[index] = strength(row.strength) if row else 0.0
        return Parent(name, facts, self._tabulate(facts, values))

    def rows_of_check(self, name: str) -> list[Show]:
        """The rows of a check that can still hold, given the known facts."""
        rows = self.book.checks[name].shows
        return [
            row
            for row in rows
            if all(self.known[f] in v for f, v in (row.when or {}).items() if f in self.known)
        ]

    def scope_of_check(self, name: str) -> tuple[str, ...]:
        """What a check looks at: causes and conditions first, then the unknown facts."""
        rows = self.rows_of_check(name)
        seen = dict.fromkeys(given for row in rows for given in row.given)
        return (*seen, *self._open_facts(row.when for row in rows))

    def likelihoods(self, name: str) -> Factor:
        """P(outcome | what the check looks at); axes (outcome, *scope), outcomes in the book's order."""
        check = self.book.checks[name]
        rows = self.rows_of_check(name)
        scope = self.scope_of_check(name)
        seen = [part for part in scope if part not in self.unknown]
        facts = scope[len(seen) :]
        table = np.zeros((len(check.outcomes), *(2 for _ in seen), *(len(self.unknown[f]) for f in facts)))
        whole = slice(None)
        # The first row that holds counts, so it is written last.
        for row in reversed(rows):
            shown = shares(check, row).reshape(-1, *(1 for part in seen if part not in row.given))
            on = [1 if part in row.given else whole for part in seen]
            for index, values in self._assignments(facts):
                if holds_when(row.when, values):
                    table[(whole, *on, *index)] = shown
        return Factor((name, *scope), table)


def base_rate(cause: Cause, facts: Facts, coincidence: float = 1.0) -> float:
    """Probability of a cause on a unit with these facts, before anything is seen or complained of.

    ``coincidence``: share of a base rate of callouts at which the fault lies about at any one moment.
    """
    holding = [row for row in cause.more_likely if holds_when(row.when, facts)]
    base = next((row.base for row in holding if row.base is not None), cause.base)
    there = next((row.chance for row in holding if row.chance is not None), base / 1000 * coincidence)
    return min(MAX_BASE, there * prod(row.times for row in holding if row.times is not None))


def shares(check: Check, row: Show) -> Table:
    """P(outcome) in one row of a check, outcomes in the book's order, slips of the look mixed in.

    Strengths that sum to more than 1 are scaled to 1; what they leave is spread over the other
    outcomes.
    """
    named = np.array([strength(row.then[o]) if o in row.then else 0.0 for o in check.outcomes])
    others = np.array([o not in row.then for o in check.outcomes])
    if named.sum() >= 1 or not others.any():
        named = named / named.sum()
    else:
        named = named + others * (1 - named.sum()) / others.sum()
    return np.asarray((1 - check.slip) * named + check.slip / len(check.outcomes))
