"""What to do next: the check or the repair that lowers the expected minutes until the unit is proved.

The idea: from any beliefs, repairing in the order of probability over cost until it is cured, or
until calling for help is the better buy, takes a certain expected time. A check is worth what its
answers take off that time, averaged over them, less what it costs itself. The best buy is advised.

Sources: Heckerman, Breese & Rommelse, CACM 38(3) 1995 (repairs by probability over cost, one step of
look-ahead over checks). Pearl, Causality, ch. 9 (probability of necessity; from memory).
"""

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Literal

import networkx as nx
import numpy as np

from diagnose.compile import UNLISTED, all_causes, unlisted
from diagnose.costs import Costs
from diagnose.evidence import Evidence
from diagnose.network import Table
from diagnose.reasoner import Beliefs, Reasoner, WhatIf
from knowledge.book import Book
from knowledge.words import HOLDS, hold_rank

LEAST_SAVING = 0.05
"""Minutes that a check must save over repairing at once; below that the two are equal."""

Kind = Literal["check", "repair", "hold", "help", "complaint"]


@dataclass(frozen=True)
class Limits:
    """What cannot be done on this callout, and where the unit stands."""

    hold: str = "running"
    highest: str = "open"
    """The last hold that can be reached here."""
    asked: Collection[str] = field(default_factory=frozenset)
    """Checks and facts that are answered, or that nobody could tell."""
    no_repair: Collection[str] = field(default_factory=frozenset)
    """Causes that cannot be put right now, or that are in order."""


@dataclass(frozen=True)
class Advice:
    """The next thing to do."""

    kind: Kind
    id: str
    """The check or fact, the cause to put right, the hold to go to, or empty."""
    expected: float
    """Expected minutes from here until the unit is proved right or help is called, following it."""
    minutes: float
    """Minutes that this step takes."""
    saves: float = 0.0
    """For a check: expected minutes saved against repairing at once."""
    answers: tuple[tuple[str, float], ...] = ()
    """For a check: each answer's chance."""
    sake: str = ""
    """For a hold: the check or the cause that it is for."""


def blamed(book: Book, complaints: Collection[str]) -> set[str]:
    """The causes that can bring about what was complained of."""
    graph = nx.DiGraph(book.links)
    found = {unlisted(name) for name in complaints}
    for name in complaints:
        target = book.complaints[name].of
        if target in graph:
            found |= nx.ancestors(graph, target) & set(book.causes)
    return found


class Adviser:
    """Advice for one compiled book and one set of complaints."""

    def __init__(self, reasoner: Reasoner, evidence: Evidence) -> None:
        self.reasoner = reasoner
        self.evidence = evidence
        self.book = reasoner.book
        self.costs = Costs(self.book)
        self.causes = all_causes(self.book)
        self.beliefs: Beliefs = reasoner.beliefs(evidence)
        before = reasoner.beliefs(Evidence(remains=evidence.remains))
        self._prior = np.array([before.causes[name] for name in self.causes])
        guilty = blamed(self.book, evidence.complaints)
        self._relevant = np.array([name in guilty for name in self.causes], dtype=float)

    def culprits(self, causes: Table) -> Table:
        """P(this cause is there and the complaint would not be without it), shape (rows, causes).

        From P(cause) after and before the findings, under independent causes:
        (after - before) / (1 - before). Scaled to 1 where several at once make the sum larger.
        """
        blame = np.clip((causes - self._prior) / (1 - self._prior), 0.0, 1.0) * self._relevant
        return np.asarray(blame / np.maximum(1.0, blame.sum(axis=-1, keepdims=True)))

    def present_culprits(self) -> dict[str, float]:
        """Each cause's share of the blame as things stand; what is missing from 1 nobody can name."""
        causes = np.array([self.beliefs.causes[name] for name in self.causes])
        return dict(zip(self.causes, self.culprits(causes[np.newaxis])[0].tolist(), strict=True))

    def best(self, limits: Limits) -> Advice:
        """The best next step, from the present hold, that leads only through holds that can be reached."""
        if not self.evidence.complaints:
            return Advice("complaint", "", self.book.prices.help, 1.0)
        plan = _RepairPlan(self, limits)
        shares = np.array(list(self.present_culprits().values()))[np.newaxis]
        now, first = plan.expected(shares, limits.hold)
        repair_at_once = float(now[0])
        open_questions = self._open_questions(limits)
        worth = [
            (self._value(what_if, plan, question, limits), question, what_if)
            for question, what_if in self.reasoner.what_ifs(self.evidence, open_questions).items()
        ]
        if worth:
            value, question, what_if = min(worth, key=lambda item: item[0])
            if value < repair_at_once - LEAST_SAVING:
                answers = tuple(zip(what_if.outcomes, what_if.chance.tolist(), strict=True))
                place = self.costs.place_for(question, limits.hold)
                step = Advice(
                    "check",
                    question,
                    value,
                    self.costs.question(question, limits.hold),
                    repair_at_once - value,
                    answers,
                )
                return self._through_holds(step, place, limits.hold)
        cause = self.causes[int(first[0])] if first[0] >= 0 else ""
        if not cause or cause.startswith(UNLISTED):
            return Advice("help", "", repair_at_once, self.book.prices.help)
        step = Advice("repair", cause, repair_at_once, self.costs.repair(cause, limits.hold))
        return self._through_holds(step, self.costs.place_for_repair(cause, limits.hold), limits.hold)

    def _open_questions(self, limits: Limits) -> list[str]:
        names = [*self.book.checks, *(n for n in self.book.facts if n not in self.reasoner.facts)]
        return [
            name
            for name in names
            if name not in limits.asked
            and hold_rank(self.costs.place_for(name, limits.hold)) <= hold_rank(limits.highest)
        ]

    def _value(self, what_if: WhatIf, plan: "_RepairPlan", question: str, limits: Limits) -> float:
        """Expected minutes when this check is made first and repairs follow."""
        after = np.nan_to_num(what_if.causes)
        minutes, _ = plan.expected(self.culprits(after), self.costs.place_for(question, limits.hold))
        return self.costs.question(question, limits.hold) + float(what_if.chance @ minutes)

    @staticmethod
    def _through_holds(step: Advice, place: str, hold: str) -> Advice:
        """The step itself when the unit is in the hold for it, else the next hold on the way there."""
        if place == hold:
            return step
        rank = hold_rank(hold) + (1 if hold_rank(place) > hold_rank(hold) else -1)
        return Advice("hold", HOLDS[rank], step.expected, step.minutes, step.saves, step.answers, step.id)


class _RepairPlan:
    """Expected minutes of repairing in order of probability over cost, stopping where help is cheaper."""

    def __init__(self, adviser: Adviser, limits: Limits) -> None:
        self._adviser = adviser
        book = adviser.book
        self._can = np.array(
            [
                name.startswith(UNLISTED)
                or (
                    name not in limits.no_repair
                    and hold_rank(book.causes[name].repair.hold) <= hold_rank(limits.highest)
                )
                for name in adviser.causes
            ]
        )
        self._help = book.prices.help
        self._from_running = self._costs("running")
        self._from: dict[str, Table] = {}

    def _costs(self, hold: str) -> Table:
        costs = self._adviser.costs
        return np.array([costs.repair(name, hold) for name in self._adviser.causes])

    def expected(self, shares: Table, hold: str) -> tuple[Table, Table]:
        """(expected minutes, index of the first repair or -1 for help) for each row of shares.

        ``shares``: shape (rows, causes), each cause's share of the blame. The first repair starts from
        ``hold``, the later ones from a running unit.
        """
        if hold not in self._from:
            self._from[hold] = self._costs(hold)
        here, later = self._from[hold], self._from_running
        usable = np.where(self._can, shares, 0.0)
        rows = np.arange(len(shares))
        first = np.argmax(usable / here, axis=1)
        ratio = usable / later
        ratio[rows, first] = np.inf
        order = np.argsort(-ratio, axis=1, kind="stable")
        taken = np.take_along_axis(usable, order, axis=1)
        price = later[order]
        price[:, 0] = here[first]
        done = np.cumsum(taken, axis=1)
        left_before = np.clip(1.0 - (done - taken), 0.0, None)
        spent = np.cumsum(price * left_before, axis=1)
        stop_after = spent + self._help * np.clip(1.0 - done, 0.0, None)
        best = stop_after.min(axis=1)
        call = best >= self._help
        return np.where(call, self._help, best), np.where(call, -1, first)
