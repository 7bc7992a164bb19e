"""What to do next: the check or the repair that lowers the expected minutes until the unit is proved.

The exact beliefs and what-ifs are turned into a plain choice under doubt (`diagnose.decision`), and the
best first step is found there (`diagnose.lookahead`).

Source: Pearl, Causality, ch. 9 (probability of necessity; from memory) for the blame.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal

import numpy as np

from diagnose.compile import all_causes, unlisted
from diagnose.decision import Decision, martingale
from diagnose.evidence import Evidence
from diagnose.fit import misread
from diagnose.guard import band
from diagnose.lookahead import Action, Outlook, Point
from diagnose.network import Table
from diagnose.reasoner import Beliefs, Reasoner, WhatIf
from knowledge.book import Book
from knowledge.words import HOLDS, SECTIONS, UNLISTED, hold_rank, strength

NEXT: Final = 3
"""Steps that are named in advance."""
MOST_TRIES: Final = 2
"""How often one cause is put right on a callout: a third time would not do what the second did not."""
LEAST_SHARE: Final = 1e-5
"""Blame below which a cause is counted among what nobody can name: it cannot change the advice."""

SPARED: Final = 0.3
"""Share of the price of help that finding a wrong answer spares (judgement)."""

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
    repaired: Sequence[str] = ()
    """Causes put right on this callout in vain, once for each time."""
    place: str = ""
    """The section that the hand is at; empty when that does not matter."""
    again: Collection[str] = field(default_factory=frozenset)
    """Checks and facts that were looked at more than once already."""


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
    """For a check: expected minutes that asking it first saves against the plan without it."""
    answers: tuple[tuple[str, float], ...] = ()
    """For a check: each answer's chance."""
    sake: str = ""
    """For a hold: the check or the cause that it is for."""
    then: tuple["Following", ...] = ()
    """What most likely comes after it, so that the tools can be brought."""
    again: bool = False
    """For a check: it is answered, and is to be looked at once more."""


@dataclass(frozen=True)
class Following:
    """A step that most likely comes later."""

    kind: Literal["check", "repair", "help"]
    id: str
    answer: str
    """The answer to the step before it that leads here; empty after a repair."""
    chance: float
    """Chance of coming this far."""


def blamed(book: Book, complaints: Collection[str]) -> set[str]:
    """The causes that can bring about what was complained of."""
    found = {unlisted(name) for name in complaints}
    waiting = [book.complaints[name].of for name in complaints]
    seen = set(waiting)
    above: dict[str, set[str]] = {}
    for source, aim in book.links:
        above.setdefault(aim, set()).add(source)
    for target in waiting:
        sources = above.get(target, set()) - seen
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
        self.costs = reasoner.costs
        self.causes = all_causes(self.book)
        self.beliefs: Beliefs = reasoner.beliefs(evidence)
        before, beside = reasoner.beliefs_before(evidence), reasoner.beliefs_beside(evidence)
        self._anyway = np.array([min(before.causes[n], beside.causes[n]) for n in self.causes])
        guilty = blamed(self.book, evidence.complaints)
        self._what_ifs: dict[tuple[str, ...], dict[str, WhatIf]] = {}
        self._looked_at: tuple[Limits, Outlook, Point] | None = None
        self._relevant = np.array([name in guilty for name in self.causes], dtype=float)

    def culprits(self, causes: Table) -> Table:
        """P(this cause is there and the complaint would not be without it), shape (rows, causes).

        From P(cause) with the complaint and without it, under independent causes: (after - anyway) /
        (1 - anyway). What speaks against a cause speaks as much against its lying about beside the culprit;
        what speaks for it came of the same fault as the complaint, and is not counted for that. Scaled to 1
        where several at once make the sum larger.
        """
        blame = np.clip((causes - self._anyway) / (1 - self._anyway), 0.0, 1.0) * self._relevant
        return np.asarray(blame / np.maximum(1.0, blame.sum(axis=-1, keepdims=True)))

    def present_culprits(self) -> dict[str, float]:
        """Each cause's share of the blame as things stand; what is missing from 1 nobody can name."""
        causes = np.array([self.beliefs.causes[name] for name in self.causes])
        return dict(zip(self.causes, self.culprits(causes[np.newaxis])[0].tolist(), strict=True))

    def best(self, limits: Limits, then: bool = True) -> Advice:
        """The best next step by one step of look-ahead, through holds that can be reached.

        ``then``: say what most likely comes after it.
        """
        if known := self._without_looking():
            return known
        outlook, start = self.outlook(limits)
        choice = outlook.choose(start)
        return self._before_help(self._advice(choice.action, choice.expected, limits, then), limits)

    def best_ahead(self, limits: Limits, stop: Callable[[], bool] | None = None, then: bool = True) -> Advice:
        """The best next step by rollout: better, and some ten times slower.

        ``then``: as for `best`. ``stop``: asked again and again; once it says yes,
        `diagnose.lookahead.Stopped` is raised.
        """
        if known := self._without_looking():
            return known
        outlook, start = self.outlook(limits)
        return self._before_help(self._advice(*outlook.roll_out(start, stop), limits, then), limits)

    def _before_help(self, advice: Advice, limits: Limits) -> Advice:
        """The advice; before a call for help, the answer that is likeliest to be wrong is looked at again."""
        if advice.kind != "help":
            return advice
        help_, gains = self.book.prices.help, {}
        for name, wrong in misread(self.reasoner, self.evidence).items():
            place = self.costs.place_for(name, limits.hold)
            if name not in limits.again and hold_rank(place) <= hold_rank(limits.highest):
                gains[name] = SPARED * help_ * wrong - self.costs.question(name, limits.hold)
        best = max(gains, key=gains.__getitem__, default="")
        if not best or gains[best] <= 0:
            return advice
        minutes = self.costs.question(best, limits.hold) - self.book.prices.talk
        step = Advice("check", best, help_ - gains[best], minutes, gains[best], again=True)
        return self._through_holds(step, self.costs.place_for(best, limits.hold), limits.hold)

    def _without_looking(self) -> Advice | None:
        """The advice where there is nothing to choose from: no complaint yet, or impossible findings."""
        help_ = self.book.prices.help
        if not self.evidence.complaints:
            return Advice("complaint", "", help_, 1.0)
        return None if self.beliefs.weight > 0 else Advice("help", "", help_, help_)

    def outlook(self, limits: Limits) -> tuple[Outlook, Point]:
        """The plain choice that the advice is worked out on, and where it starts."""
        if self._looked_at is None or self._looked_at[0] != limits:
            decision = self._decision(limits)
            place = SECTIONS.index(limits.place) if limits.place else -1
            used = np.zeros(len(decision.questions), dtype=bool)
            tries = np.array([MOST_TRIES - limits.repaired.count(name) for name in decision.culprits])
            start = Point(decision.shares, hold_rank(limits.hold), place, used, tries)
            self._looked_at = limits, Outlook(decision), start
        return self._looked_at[1:]

    def what_ifs(self, limits: Limits) -> dict[str, WhatIf]:
        """What every open question would say, in the book's order; nothing where that takes too long."""
        slow = band(self.reasoner.tree(self.evidence.complaints).cells) == "red"
        names = () if slow else tuple(self._open_questions(limits))
        if names not in self._what_ifs:
            self._what_ifs[names] = self.reasoner.what_ifs(self.evidence, names)
        return self._what_ifs[names]

    def _decision(self, limits: Limits) -> Decision:
        what_ifs = self.what_ifs(limits)
        names = list(what_ifs)
        blame = np.array(list(self.present_culprits().values()))
        listed = [k for k, name in enumerate(self.causes) if not name.startswith(UNLISTED)]
        least = min(LEAST_SHARE, max(blame[listed]))
        kept = [k for k in listed if blame[k] >= least]
        culprits = [self.causes[k] for k in kept]
        shares = np.append(blame[kept], max(0.0, 1 - blame[kept].sum()))
        chance = np.concatenate([w.chance for w in what_ifs.values()]) if names else np.zeros(0)
        after = [np.nan_to_num(w.causes) for w in what_ifs.values()] or [np.zeros((0, len(self.causes)))]
        joint = self.culprits(np.concatenate(after))[:, kept] * chance[:, np.newaxis]
        first = np.cumsum([0, *(len(w.outcomes) for w in what_ifs.values())])
        asking = [self.costs.asking[name] for name in names]
        sections = [self.book.sections.get(name) for name in names]
        return Decision(
            culprits,
            names,
            shares,
            martingale(shares, joint, chance, first),
            first,
            np.array([minutes for minutes, _ in asking]).reshape(-1, len(HOLDS)).T,
            np.array([after for _, after in asking], dtype=np.intp).reshape(-1, len(HOLDS)).T,
            np.array([self.costs.repairing[name] for name in culprits]).reshape(-1, len(HOLDS)).T,
            np.array([self._takes(name, limits) for name in culprits]),
            np.array([SECTIONS.index(s) if s else -1 for s in sections], dtype=np.intp),
            self.book.prices.visit,
            self.book.prices.help,
        )

    def _takes(self, cause: str, limits: Limits) -> float:
        """P(cured | put right, it being the culprit); 0 where it cannot be put right."""
        repair = self.book.causes[cause].repair
        if cause in limits.no_repair or hold_rank(repair.hold) > hold_rank(limits.highest):
            return 0.0
        return strength(repair.takes)

    def _open_questions(self, limits: Limits) -> list[str]:
        levels = {self.book.complaints[name].level for name in self.evidence.complaints}
        checks = [n for n, check in self.book.checks.items() if check.level in {None, *levels}]
        names = [*checks, *(n for n in self.book.facts if n not in self.reasoner.facts)]
        return [
            name
            for name in names
            if name not in limits.asked
            and hold_rank(self.costs.place_for(name, limits.hold)) <= hold_rank(limits.highest)
        ]

    def _advice(self, action: Action, expected: float, limits: Limits, with_next: bool) -> Advice:
        outlook, start = self.outlook(limits)
        decision, hold = outlook.decision, limits.hold
        if action.kind == "help":
            return Advice("help", "", expected, self.book.prices.help)
        then = tuple(self._following(outlook, start, action)) if with_next else ()
        if action.kind == "repair":
            cause = decision.culprits[action.number]
            step = Advice("repair", cause, expected, self.costs.repair(cause, hold), then=then)
            return self._through_holds(step, self.costs.place_for_repair(cause, hold), hold)
        question = decision.questions[action.number]
        chances = decision.likelihood @ decision.shares
        of_answer = chances[decision.first[action.number] : decision.first[action.number + 1]]
        answers = tuple(zip(self.reasoner.answers(question), of_answer.tolist(), strict=True))
        minutes = self.costs.question(question, hold) - self.book.prices.talk
        saves = max(0.0, outlook.without(start, action.number) - expected)
        step = Advice("check", question, expected, minutes, saves, answers, then=then)
        return self._through_holds(step, self.costs.place_for(question, hold), hold)

    def _following(self, outlook: Outlook, point: Point, action: Action) -> Iterator[Following]:
        """The steps that most likely come after an action, each after the likeliest answer to the last."""
        decision, reach, answer = outlook.decision, 1.0, ""
        for _ in range(NEXT):
            if action.kind == "help":
                return
            if action.kind == "check":
                answers = self.reasoner.answers(decision.questions[action.number])
                k, chance, point = max(
                    outlook.after_answers(point, action.number), key=lambda after: after[1]
                )
                answer = answers[k]
            else:
                chance, point = outlook.after_repair(point, action.number)
                answer = ""
            reach *= chance
            action = outlook.choose(point).action
            names = decision.questions if action.kind == "check" else decision.culprits
            name = "" if action.kind == "help" else names[action.number]
            yield Following(action.kind, name, answer, reach)

    @staticmethod
    def _through_holds(step: Advice, place: str, hold: str) -> Advice:
        """The step itself when the unit is in the hold for it, else the next hold on the way there."""
        if place == hold:
            return step
        rank = hold_rank(hold) + (1 if hold_rank(place) > hold_rank(hold) else -1)
        return replace(step, kind="hold", id=HOLDS[rank], sake=step.id)
