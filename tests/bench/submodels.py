"""Small flat models cut out of the shipped book, on which the best of all policies can be computed.

A sub-model has some causes of one complaint and some checks that tell them apart. Rates, repairs, holds,
minutes and prices are the book's. A check looks straight at the causes: one row for each cause and each
pair of them, whose shares are the book's P(outcome | exactly these faults, complaint) for a unit of which
only action, acting and fail position are known. Given the faults, the checks of a sub-model are
independent of each other; in the whole book they need not be.
"""

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import combinations
from typing import Any, Final

import numpy as np

from diagnose.advice import blamed
from diagnose.callout import shown_by
from diagnose.compile import LEAK, all_causes, holds_when, shares, unlisted
from diagnose.costs import Costs
from diagnose.evidence import Evidence
from diagnose.network import Factor, Table
from diagnose.reasoner import Reasoner
from knowledge.book import Book, load_book
from knowledge.words import HOLDS, strength
from tests.helpers import bare_book, book_of, changed

PROOF: Final = "drop_seen"
"""The check that stands behind every repair's `prove:`. It is no open question here."""
CERTAIN: Final = 0.999999
"""Strength of every cause's link: the complaint is there as long as any fault is."""
RARE: Final = 0.01
"""Sum of the rates in a model of rare faults: two at once are met in less than one callout in 100."""
TELLS: Final = 0.02
"""Bits about the faults that a check must give to be taken into a sub-model."""
MOST_CAUSES: Final = 6
MOST_CHECKS: Final = 5

World = frozenset[str]
"""The faults that are there together."""


@dataclass(frozen=True)
class SubModel:
    """A flat book with one complaint, and its exact chances: one or two faults at once, more left out."""

    title: str
    book: Book
    checks: tuple[str, ...]
    """The questions that are open; `PROOF` is not among them."""

    @cached_property
    def complaint(self) -> str:
        """The one complaint."""
        return next(iter(self.book.complaints))

    @cached_property
    def causes(self) -> tuple[str, ...]:
        """The causes that can be put right."""
        return tuple(self.book.causes)

    @cached_property
    def costs(self) -> Costs:
        """The prices of the flat book."""
        return Costs(self.book)

    @cached_property
    def worlds(self) -> tuple[World, ...]:
        """Every single fault and every pair, the unlisted one included: it stands for the leak too."""
        names = all_causes(self.book)
        return tuple(frozenset(some) for size in (1, 2) for some in combinations(names, size))

    @cached_property
    def prior(self) -> Table:
        """P(world | complaint), shape (worlds,): a product of odds, for faults are independent."""
        rate = {name: cause.base / 1000 for name, cause in self.book.causes.items()}
        other = self.book.complaints[self.complaint].unlisted / 1000
        rate[unlisted(self.complaint)] = 1 - (1 - other) * (1 - LEAK)
        weights = np.array([np.prod([rate[f] / (1 - rate[f]) for f in world]) for world in self.worlds])
        return np.asarray(weights / weights.sum())

    @cached_property
    def shows(self) -> dict[str, Table]:
        """For each check P(outcome | world), shape (outcomes, worlds)."""
        return {name: self._shown(name) for name in self.checks}

    def _shown(self, name: str) -> Table:
        check = self.book.checks[name]
        rows = [next(row for row in check.shows if world.issuperset(row.given)) for world in self.worlds]
        return np.stack([shares(check, row) for row in rows], axis=1)

    def outcomes(self, check: str) -> tuple[str, ...]:
        """What a check can show, in the order of `shows`."""
        return tuple(self.book.checks[check].outcomes)

    def repaired(self, cause: str) -> Table:
        """P(world after | world before) of one repair, shape (after, before).

        A column sums to less than 1 where the repair can leave no fault: that is the cure.
        """
        takes = strength(self.book.causes[cause].repair.takes)
        index = {world: k for k, world in enumerate(self.worlds)}
        table = np.eye(len(self.worlds))
        for world, k in index.items():
            if cause in world:
                table[k, k] = 1 - takes
                left = world - {cause}
                if left:
                    table[index[left], k] = takes
        return table


@dataclass(frozen=True)
class _Unit:
    """The shipped book for a unit of which three facts are known, and one complaint."""

    reasoner: Reasoner
    complaint: str

    @cached_property
    def candidates(self) -> dict[str, float]:
        """For each cause that can be blamed, and the unlisted one: its odds when it is the only fault.

        Odds of the fault against none times the chance that it alone is reported as this complaint.
        """
        names = sorted(blamed(self.reasoner.book, [self.complaint]))
        said = self._weights([frozenset({name}) for name in names], (self.complaint,))
        nothing = self._weights([frozenset()], ())[0]
        return dict(zip(names, (said / nothing).tolist(), strict=True))

    def _weights(
        self, worlds: Sequence[World], complaints: tuple[str, ...], findings: Mapping[str, str] | None = None
    ) -> Table:
        """P(exactly these faults, what was found), shape (worlds,)."""
        rows = []
        for name in self.reasoner.causes:
            there = np.array([float(name in world) for world in worlds])
            rows.append(Factor((name,), np.stack([1 - there, there])))
        return np.asarray(self.reasoner.calibrate(Evidence(complaints, findings or {}), rows).weight)

    def shown(self, checks: Iterable[str], worlds: Sequence[World]) -> dict[str, Table]:
        """For each check P(outcome | exactly these faults, the complaint), shape (outcomes, worlds)."""
        found = {}
        for name in checks:
            answers = self.reasoner.answers(name)
            both = np.stack([self._weights(worlds, (self.complaint,), {name: a}) for a in answers])
            found[name] = both / both.sum(axis=0)
        return found


@lru_cache(maxsize=1)
def _book() -> Book:
    return load_book()


@lru_cache(maxsize=32)
def _unit(facts: tuple[tuple[str, str], ...], complaint: str) -> _Unit:
    return _Unit(Reasoner(_book(), dict(facts)), complaint)


@lru_cache(maxsize=256)
def _reaches(cause: str) -> frozenset[str]:
    return frozenset(shown_by(_book(), cause))


def cut(seed: int, rare: bool = False) -> SubModel:
    """A sub-model of the shipped book, the same for the same seed.

    ``rare``: all rates are scaled down alike to a sum of `RARE`, so that faults hardly ever coincide.
    """
    rng = random.Random(seed)
    while True:
        unit, told = _draw_unit(rng)
        causes = _draw_some(rng, _listed(unit.candidates), rng.choice((3, 4, 5, 6, MOST_CAUSES)))
        useful = _useful_checks(unit, causes)
        checks = _draw_some(rng, useful, rng.choice((2, 3, 4, 5, MOST_CHECKS)))
        if len(causes) >= 2 and len(checks) >= 2:
            break
    odds = {name: unit.candidates[name] for name in (*causes, unlisted(unit.complaint))}
    scale = RARE / sum(odds.values()) if rare else 1.0
    book = book_of(_flat(unit, causes, checks, {name: scale * value for name, value in odds.items()}))
    kind = "rare faults" if rare else "faults as often as in the book"
    return SubModel(f"seed {seed}, {unit.complaint}, {told}; {kind}", book, tuple(checks))


def _draw_unit(rng: random.Random) -> tuple[_Unit, str]:
    """A unit with its three known facts drawn from the book's shares, and one of the complaints."""
    book = _book()
    facts: dict[str, str] = {}
    for name in ("valve_fails", "acting", "action"):
        row = next(row for row in book.facts[name].prior if holds_when(row.when, facts))
        facts[name] = rng.choices(list(row.share), list(row.share.values()))[0]
    told = ", ".join(f"{name} {value}" for name, value in facts.items())
    return _unit(tuple(facts.items()), rng.choice(list(book.complaints))), told


def _listed(odds: Mapping[str, float]) -> dict[str, float]:
    return {name: value for name, value in odds.items() if name in _book().causes}


def _draw_some(rng: random.Random, weights: Mapping[str, float], count: int) -> list[str]:
    """So many names, each drawn in proportion to its weight among those not drawn yet; in a fixed order."""
    left, drawn = dict(weights), set()
    while left and len(drawn) < count:
        name = rng.choices(list(left), list(left.values()))[0]
        drawn.add(name)
        del left[name]
    return [name for name in weights if name in drawn]


def _useful_checks(unit: _Unit, causes: Sequence[str]) -> dict[str, float]:
    """The checks that tell something about these causes, with the bits that they give."""
    book, level = _book(), _book().complaints[unit.complaint].level
    seen = set().union(*(_reaches(cause) for cause in causes))
    names = [n for n, check in book.checks.items() if check.level in (None, level) and n in seen]
    worlds = [frozenset({cause}) for cause in causes]
    odds = np.array([unit.candidates[cause] for cause in causes])
    shown = unit.shown(names, worlds)
    bits = {name: information(table, odds / odds.sum()) for name, table in shown.items()}
    return {name: value for name, value in bits.items() if value > TELLS}


def information(table: Table, chance: Table) -> float:
    """Bits that a check gives about the worlds: mutual information.

    ``table``: P(outcome | world), shape (outcomes, worlds); ``chance``: P(world).

    >>> information(np.array([[1.0, 0.0], [0.0, 1.0]]), np.array([0.5, 0.5]))
    1.0
    """
    joint = table * chance
    apart = joint.sum(axis=1, keepdims=True) * chance
    there = joint > 0
    return float((joint[there] * np.log2(joint[there] / apart[there])).sum())


def _flat(
    unit: _Unit, causes: Sequence[str], checks: Sequence[str], odds: Mapping[str, float]
) -> dict[str, Any]:
    """The data of the flat book; ``odds`` of each cause and of the unlisted one."""
    book = unit.reasoner.book
    complaint = book.complaints[unit.complaint]
    per_1000 = {name: 1000 * value / (1 + value) for name, value in odds.items()}
    bare = changed(bare_book(), {"complaints": None, "holds": None, "prices": None})
    named = {"title": complaint.title, "say": complaint.say, "of": "stays_shut", "false_report": 1e-9}
    return {
        **bare,
        "complaints": {unit.complaint: {**named, "unlisted": per_1000[unlisted(unit.complaint)]}},
        "causes": {name: _flat_cause(book, name, per_1000[name]) for name in causes},
        "checks": {**bare["checks"], **_flat_checks(unit, causes, checks)},
        "holds": {
            hold: {**book.holds[hold].model_dump(exclude={"card"}), "cautions": ["read_it"]}
            for hold in HOLDS
            if hold in book.holds
        },
        "prices": book.prices.model_dump(),
    }


def _flat_cause(book: Book, name: str, per_1000: float) -> dict[str, Any]:
    entry = book.causes[name]
    kept = entry.repair.model_dump(include={"do", "minutes", "hold", "takes"})
    return {
        **{"title": entry.title, "plain": entry.plain, "why": entry.why, "base": per_1000},
        "leads_to": {"stays_shut": CERTAIN},
        "repair": {**kept, "prove": PROOF},
    }


def _flat_checks(unit: _Unit, causes: Sequence[str], checks: Sequence[str]) -> dict[str, Any]:
    """Each check with a row for each pair and each one of the causes that reach it in the whole book."""
    worlds = [frozenset(some) for size in (2, 1) for some in combinations(causes, size)]
    nobody = frozenset({unlisted(unit.complaint)})
    shown = unit.shown(checks, [*worlds, nobody])
    found = {}
    for name in checks:
        check, outcomes = unit.reasoner.book.checks[name], list(unit.reasoner.book.checks[name].outcomes)
        columns = dict(zip([*worlds, nobody], shown[name].T, strict=True))
        rows = []
        for world in worlds:
            if all(name in _reaches(cause) for cause in world):
                rows.append({"given": sorted(world), "then": _then(outcomes, columns[world], check.slip)})
        rows.append({"then": _then(outcomes, columns[nobody], check.slip)})
        kept = check.model_dump(exclude={"shows", "reading", "level", "cautions", "steps", "tools", "card"})
        found[name] = {**kept, "shows": rows}
    return found


def _then(outcomes: Sequence[str], share: Table, slip: float) -> dict[str, float]:
    """The shares of a row before its slips, which the book mixes in again."""
    clean = np.clip((share - slip / len(outcomes)) / (1 - slip), 1e-6, 1 - 1e-6)
    return dict(zip(outcomes, (clean / clean.sum()).tolist(), strict=True))
