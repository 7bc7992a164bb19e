"""Seven ways to work a callout, and rollout: each says what to do next from the same state.

They see what the program sees: the state of the callout. The clairvoyant alone sees the unit too. Beside
halfsplit's own advice they are a fixed fault table worked to its end, the same with an early call for help,
splitting by information until one cause has `SURE` of the blame, questions at random until then, repairs in
an order drawn by lot, and the repairs that are needed and nothing else.
"""

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final, Literal

import numpy as np

from diagnose.advice import Adviser, Limits
from diagnose.callout import State
from diagnose.decision import Numbers
from diagnose.evidence import Evidence
from diagnose.network import Table
from diagnose.reasoner import Beliefs, Reasoner
from diagnose.trees import Shapes
from diagnose.walk import limits_of
from knowledge.book import Book
from knowledge.words import UNLISTED, hold_rank

if TYPE_CHECKING:
    from diagnose.trial.working import Subject

SURE: Final = 0.8
"""Share of the blame at which splitting and random questions stop and a repair is made."""
KEPT: Final = 16
"""Advisers kept at hand: a move between holds leaves the beliefs as they are, and openings are met often."""

LEAST_BITS: Final = 1e-9
"""Bits below which a question tells nothing."""

Kind = Literal["check", "repair", "hold", "help"]


@dataclass(frozen=True)
class Act:
    """What to do: a check or a fact to look up, a cause to put right, one hold to go to, or a call for help.

    A check and a repair bring the unit to the hold that they need.
    """

    kind: Kind
    id: str = ""


HELP: Final = Act("help")


class _Remembering(Reasoner):
    """A reasoner that has the beliefs of the last few moments at hand."""

    def __init__(self, book: Book, facts: Mapping[str, str], shapes: Shapes | None) -> None:
        super().__init__(book, facts, shapes)
        self._kept: OrderedDict[Hashable, Beliefs] = OrderedDict()

    def beliefs(self, evidence: Evidence) -> Beliefs:
        key = _key(evidence)
        if key not in self._kept:
            self._kept[key] = super().beliefs(evidence)
        self._kept.move_to_end(key)
        if len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        return self._kept[key]


class Desk:
    """The reasoner for one set of known facts, with what was worked out on earlier callouts."""

    def __init__(self, book: Book, facts: Mapping[str, str], shapes: Shapes | None = None) -> None:
        """``shapes``: where compiled shapes are kept."""
        self.book, self.facts = book, dict(facts)
        self.reasoner = _Remembering(book, facts, shapes)
        self.costs = self.reasoner.costs
        self.base = self.reasoner.beliefs(Evidence()).causes
        """P(cause) for a unit with these facts, before any callout."""
        self._suspects: dict[str, list[str]] = {}
        self._acts: dict[Hashable, Act] = {}
        self._advisers: OrderedDict[Hashable, Adviser] = OrderedDict()

    def asking(self, question: str, hold: str, place: str) -> float:
        """Minutes to have a question answered from a hold, for a hand who is in a section or nowhere ("")."""
        section = self.book.sections.get(question, "")
        walks = bool(place and section and place != section)
        return self.costs.question(question, hold) + self.book.prices.visit * walks

    def suspects(self, complaint: str) -> list[str]:
        """The book's causes that can bring about a complaint on a unit with the known facts."""
        if complaint not in self._suspects:
            parents = self.reasoner.compiler.parents
            waiting, seen = [self.book.complaints[complaint].of], set[str]()
            for target in waiting:
                sources = {parent.name for parent in parents.get(target, ())} - seen
                seen |= sources
                waiting.extend(sources)
            self._suspects[complaint] = [name for name in self.book.causes if name in seen]
        return self._suspects[complaint]

    def open_questions(self, state: State) -> list[str]:
        """The checks and unknown facts that can still be asked, through holds that can be reached."""
        level = self.book.complaints[state.complaint].level
        checks = [name for name, check in self.book.checks.items() if check.level in (None, level)]
        return [
            name
            for name in [*checks, *(fact for fact in self.book.facts if fact not in self.facts)]
            if name not in state.findings
            and hold_rank(self.costs.place_for(name, state.hold)) <= hold_rank(state.highest)
        ]

    def adviser(self, state: State) -> Adviser:
        """The adviser for what a state knows; findings in order of name, so that sums come out the same."""
        known = state.evidence
        evidence = replace(
            known,
            findings=dict(sorted(known.findings.items())),
            remains=dict(sorted(known.remains.items())),
        )
        key = _key(evidence)
        if key not in self._advisers:
            self._advisers[key] = Adviser(self.reasoner, evidence)
        self._advisers.move_to_end(key)
        if len(self._advisers) > KEPT:
            self._advisers.popitem(last=False)
        return self._advisers[key]

    def once(self, name: str, state: State, work: Callable[[Adviser, Limits], Act]) -> Act:
        """What a policy does where its knowledge and the limits are these; worked out once."""
        limits = limits_of(self.book, state)
        known = _key(state.evidence), tuple(limits.repaired)
        key = (name, *known, limits.hold, limits.highest, limits.no_repair, limits.place, limits.again)
        if key not in self._acts:
            self._acts[key] = work(self.adviser(state), limits)
        return self._acts[key]


def _key(evidence: Evidence) -> Hashable:
    return (
        evidence.complaints,
        frozenset(evidence.findings.items()),
        evidence.in_order,
        frozenset(evidence.remains.items()),
        frozenset((name, tuple(sorted(weights.items()))) for name, weights in evidence.soft.items()),
        repr(evidence.earlier),
    )


Policy = Callable[[Desk, State, "Subject"], Act]


def halfsplit(desk: Desk, state: State, _: "Subject") -> Act:
    """The program's advice by one step of look-ahead."""

    def work(adviser: Adviser, limits: Limits) -> Act:
        advice = adviser.best(limits, then=False)
        assert advice.kind != "complaint"
        return Act(advice.kind, advice.id)

    return desk.once("halfsplit", state, work)


def rollout(desk: Desk, state: State, _: "Subject") -> Act:
    """The program's advice by rollout."""

    def work(adviser: Adviser, limits: Limits) -> Act:
        advice = adviser.best_ahead(limits, then=False)
        assert advice.kind != "complaint"
        return Act(advice.kind, advice.id)

    return desk.once("rollout", state, work)


def fixed_table(desk: Desk, state: State, _: "Subject") -> Act:
    """No checks: the complaint's causes by base rate over minutes to put right, once each, then help.

    The table is the one for this unit: base rates are those for its known facts, and causes that cannot bring
    about the complaint with these facts are not in it.
    """
    through = {*state.repaired, *state.in_order}
    left = [name for name in desk.suspects(state.complaint) if name not in through]
    if not left:
        return HELP
    minutes = {name: desk.costs.repair(name, "running") for name in left}
    return Act("repair", max(left, key=lambda name: desk.base[name] / minutes[name]))


def table_with_help(desk: Desk, state: State, subject: "Subject") -> Act:
    """The fixed table, worked as far as its own arithmetic says that it is cheaper than calling help.

    A cause's share is its base rate over the sum of those in the table; a repair takes it all.
    """
    names = desk.suspects(state.complaint)
    minutes = {name: desk.costs.repair(name, "running") for name in names}
    names = sorted(names, key=lambda name: -desk.base[name] / minutes[name])
    base = np.array([desk.base[name] for name in names])
    done = np.cumsum(base / base.sum())
    spent = np.cumsum(np.array([minutes[name] for name in names]) * (1 - np.append(0.0, done[:-1])))
    stops = np.append(desk.book.prices.help, spent + desk.book.prices.help * (1 - done))
    through = {*state.repaired, *state.in_order}
    left = [name for name in names[: int(np.argmin(stops))] if name not in through]
    return Act("repair", left[0]) if left else HELP


def entropy(desk: Desk, state: State, _: "Subject") -> Act:
    """The open question with most bits about the culprit for its minutes, until one has `SURE` of the blame.

    Then repairs in order of blame over minutes, with halfsplit's own rule for calling help.
    """

    def work(adviser: Adviser, limits: Limits) -> Act:
        outlook, point = adviser.outlook(limits)
        decision = outlook.decision
        if max(adviser.present_culprits().values()) < SURE and decision.questions:
            bits = information(decision.shares, decision.likelihood, decision.first)
            minutes = [desk.asking(name, limits.hold, limits.place) for name in decision.questions]
            best = int(np.argmax(bits / minutes))
            if bits[best] > LEAST_BITS:
                return Act("check", decision.questions[best])
        move = outlook.plan.first(point.shares[:-1], point.hold, np.ones_like(point.used))
        return Act("repair", decision.culprits[move.culprit]) if move.culprit >= 0 else HELP

    return desk.once("entropy", state, work)


def information(shares: Table, likelihood: Table, first: Numbers) -> Table:
    """Bits about the culprit that the answer to each question gives on average, shape (questions,).

    ``shares``: P(culprit), (H,); ``likelihood``: P(answer | culprit), (A, H); ``first``: where each
    question's answers begin, (Q + 1,). It is the mutual information (Cover & Thomas, Elements of Information
    Theory, ch. 2; from memory).

    >>> sure, blind = [[1.0, 0.0], [0.0, 1.0]], [[0.5, 0.5], [0.5, 0.5]]
    >>> information(np.array([0.5, 0.5]), np.array(sure + blind), np.array([0, 2, 4])).tolist()
    [1.0, 0.0]
    """
    chance = likelihood @ shares
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = np.where(likelihood > 0, np.log2(likelihood / chance[:, np.newaxis]), 0.0)
    return np.asarray(np.add.reduceat((likelihood * logs) @ shares, first[:-1]))


def at_random(desk: Desk, state: State, subject: "Subject") -> Act:
    """Any open question until one cause has `SURE` of the blame, then its repair.

    Where no question is left, any cause of the complaint that was not put right yet; then help.
    """
    adviser = desk.adviser(state)
    blame = adviser.present_culprits()
    likeliest = max(blame, key=blame.__getitem__)
    if blame[likeliest] >= SURE and likeliest not in state.in_order:
        return HELP if likeliest.startswith(UNLISTED) else Act("repair", likeliest)
    through = {*state.repaired, *state.in_order}
    asked, left = desk.open_questions(state), desk.suspects(state.complaint)
    acts = [Act("check", name) for name in asked] or [Act("repair", c) for c in left if c not in through]
    if not acts:
        return HELP
    done = (state.epoch, len(state.findings), len(through))
    return acts[int(subject.draw("random", *done) * len(acts))]


def in_any_order(desk: Desk, state: State, subject: "Subject") -> Act:
    """No checks: the complaint's causes in an order drawn by lot, once each, then help."""
    through = {*state.repaired, *state.in_order}
    left = [name for name in desk.suspects(state.complaint) if name not in through]
    return Act("repair", min(left, key=lambda name: subject.draw("order", name))) if left else HELP


def clairvoyant(desk: Desk, _: State, subject: "Subject") -> Act:
    """The cheapest set of repairs that cures it and nothing else; help where that is cheaper."""

    def minutes(repairs: list[str]) -> float:
        return sum(desk.costs.repair(cause, "running") for cause in repairs)

    best = min(subject.repairs_to_cure(), key=minutes, default=[])
    return Act("repair", best[0]) if best and minutes(best) < desk.book.prices.help else HELP


HALFSPLIT: Final = "halfsplit"
TABLE: Final = "fixed table"
BEST: Final = "clairvoyant"
ROLLOUT: Final = "rollout"
ANY_ORDER: Final = "random order"
POLICIES: Final[dict[str, Policy]] = {
    HALFSPLIT: halfsplit,
    TABLE: fixed_table,
    "table, then help": table_with_help,
    "entropy to 80 %": entropy,
    "random": at_random,
    ANY_ORDER: in_any_order,
    BEST: clairvoyant,
    ROLLOUT: rollout,
}
