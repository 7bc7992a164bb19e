"""What to do next: the check or the repair that lowers the expected minutes until the unit is proved.

The idea: from any beliefs, going through the causes in order until it is cured or help is called
(`diagnose.plan`) takes a certain expected time. A check is worth what its answers take off that time,
averaged over them, less what it costs itself. The best buy is advised.

Sources: Heckerman, Breese & Rommelse, CACM 38(3) 1995 (one step of look-ahead over checks). Pearl,
Causality, ch. 9 (probability of necessity; from memory).
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from diagnose.compile import all_causes, unlisted
from diagnose.costs import Costs
from diagnose.evidence import Evidence
from diagnose.network import Table
from diagnose.plan import RepairPlan, find_looks
from diagnose.reasoner import Beliefs, Reasoner, WhatIf
from knowledge.book import Book
from knowledge.words import HOLDS, UNLISTED, hold_rank

LEAST_SAVING = 1.0
"""Minutes that a check must save over going through the plan: a question costs attention too."""

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
    """For a check: expected minutes that splitting with it saves against the plan without it."""
    answers: tuple[tuple[str, float], ...] = ()
    """For a check: each answer's chance."""
    sake: str = ""
    """For a hold: the check or the cause that it is for."""


def blamed(book: Book, complaints: Collection[str]) -> set[str]:
    """The causes that can bring about what was complained of."""
    found = {unlisted(name) for name in complaints}
    waiting = [book.complaints[name].of for name in complaints]
    seen = set(waiting)
    for target in waiting:
        sources = {source for source, aim in book.links if aim == target} - seen
        seen |= sources
        waiting.extend(sources)
    found |= seen & set(book.causes)
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
        what_ifs = self.reasoner.what_ifs(self.evidence, self._open_questions(limits))
        plan = self._plan(limits, what_ifs)
        shares = np.array(list(self.present_culprits().values()))
        base = plan.first(shares, limits.hold)
        values = self._values(what_ifs, plan, limits)
        question = min(values, key=values.__getitem__, default="")
        if not question or values[question] > base.expected - LEAST_SAVING:
            question = list(what_ifs)[base.look] if base.look >= 0 else ""
        if question:
            what_if = what_ifs[question]
            answers = tuple(zip(what_if.outcomes, what_if.chance.tolist(), strict=True))
            value = min(values[question], base.expected)
            minutes = self.costs.question(question, limits.hold) - self.book.prices.talk
            step = Advice("check", question, value, minutes, base.expected - value, answers)
            return self._through_holds(step, self.costs.place_for(question, limits.hold), limits.hold)
        cause = self.causes[base.cause] if base.cause >= 0 else ""
        if not cause or cause.startswith(UNLISTED):
            return Advice("help", "", base.expected, self.book.prices.help)
        step = Advice("repair", cause, base.expected, self.costs.repair(cause, limits.hold))
        return self._through_holds(step, self.costs.place_for_repair(cause, limits.hold), limits.hold)

    def _plan(self, limits: Limits, what_ifs: Mapping[str, WhatIf]) -> RepairPlan:
        """The yardstick: repairs in order, each perhaps after a look."""
        holds = {"running", limits.hold, *(self.costs.place_for(name, limits.hold) for name in what_ifs)}
        here = {hold: np.array([self.costs.repair(name, hold) for name in self.causes]) for hold in holds}
        looks = find_looks(
            what_ifs,
            np.array([self.beliefs.causes[name] for name in self.causes]),
            np.array(list(self.present_culprits().values())),
            np.array([self.costs.question_with_risk(name, limits.hold) for name in what_ifs]),
            np.array([self.costs.question_with_risk(name, "running") for name in what_ifs]),
            here["running"],
        )
        can = np.array([float(self._can_repair(name, limits)) for name in self.causes])
        return RepairPlan(can, here, here["running"], looks, self.book.prices.help)

    def _can_repair(self, cause: str, limits: Limits) -> bool:
        if cause.startswith(UNLISTED):
            return True
        needs = hold_rank(self.book.causes[cause].repair.hold)
        return cause not in limits.no_repair and needs <= hold_rank(limits.highest)

    def _open_questions(self, limits: Limits) -> list[str]:
        levels = {self.book.complaints[name].level for name in self.evidence.complaints}
        checks = [
            name for name, check in self.book.checks.items() if check.level is None or check.level in levels
        ]
        names = [*checks, *(n for n in self.book.facts if n not in self.reasoner.facts)]
        return [
            name
            for name in names
            if name not in limits.asked
            and hold_rank(self.costs.place_for(name, limits.hold)) <= hold_rank(limits.highest)
        ]

    def _values(self, what_ifs: Mapping[str, WhatIf], plan: RepairPlan, limits: Limits) -> dict[str, float]:
        """Expected minutes when each check is made first and the plan follows."""
        values = {}
        for k, (question, what_if) in enumerate(what_ifs.items()):
            shares = self.culprits(np.nan_to_num(what_if.causes))
            minutes = plan.expected(shares, self.costs.place_for(question, limits.hold), used=k)
            values[question] = self.costs.question_with_risk(question, limits.hold) + float(
                what_if.chance @ minutes
            )
        return values

    @staticmethod
    def _through_holds(step: Advice, place: str, hold: str) -> Advice:
        """The step itself when the unit is in the hold for it, else the next hold on the way there."""
        if place == hold:
            return step
        rank = hold_rank(hold) + (1 if hold_rank(place) > hold_rank(hold) else -1)
        return Advice("hold", HOLDS[rank], step.expected, step.minutes, step.saves, step.answers, step.id)
