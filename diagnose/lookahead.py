"""One step of look-ahead, and the policy that it makes played on to the end.

One step: each open question is valued by the expected minutes of the plan (`diagnose.plan`) after each
of its answers. Rollout: the few best first steps are each followed by that one-step rule all the way,
answer by answer, until the unit is cured or help is called; the first step that comes out cheapest is
taken. In the plain model, followed to the end, that is never worse than the one-step rule itself. Here
what is seldom come to is cut short, so it is so nearly and not always.

How far rollout looks is a judgement: as far as a second or so on a laptop allows.

Sources: Heckerman, Breese & Rommelse, CACM 38(3) 1995 (one step of look-ahead over checks); Bertsekas,
Tsitsiklis & Wu, J. Heuristics 3, 1997 (rollout; from memory).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from diagnose.decision import Decision, Mask, Numbers
from diagnose.network import Table
from diagnose.plan import RUNNING, RepairPlan

LEAST_SAVING: Final = 0.1
"""Minutes that a question must save over going through the plan (judgement, no source)."""
MUCH_CHEAPER: Final = 0.9
"""Share of a question's minutes below which a repair is tried before it (judgement): the repair was looked at
one step further than the question."""
FIRST_STEPS: Final = 5
"""Questions that rollout tries as the first step, the best by one step of look-ahead."""
QUESTIONS: Final = 14
"""Questions that a rollout goes on with."""
LEAST_REACH: Final = 0.06
"""Chance of getting to a point below which it is valued by one step of look-ahead."""
DEPTH: Final = 12
"""Steps after which a point is valued by one step of look-ahead."""

Kind = Literal["check", "repair", "help"]


@dataclass(frozen=True)
class Action:
    """Something to do: a question to ask or a culprit to put right, by its number, or a call for help."""

    kind: Kind
    number: int = -1


CALL: Final = Action("help")


@dataclass(frozen=True, eq=False)
class Point:
    """Where a callout stands: what is believed, where the unit and the hand are, what is used up."""

    shares: Table
    """P(culprit), shape (H + 1,)."""
    hold: int
    place: int
    """Where the hand is, -1 when that does not matter."""
    used: Mask
    """Questions that are answered or cannot be asked, shape (Q,)."""
    tries: Numbers
    """How often each culprit can still be put right, shape (H,)."""

    @property
    def open(self) -> Table:
        """P(culprit) of those that can still be put right, 0 for the others; shape (H,)."""
        return np.where(self.tries > 0, self.shares[:-1], 0.0)


@dataclass(frozen=True)
class Choice:
    """The one-step rule's choice at a point."""

    action: Action
    expected: float
    """Expected minutes of the step with the plan after it."""


class Stopped(Exception):
    """Nobody waits for the rollout any more."""


class Outlook:
    """One decision, looked at from the points that it can come to."""

    def __init__(self, decision: Decision) -> None:
        self.decision = decision
        self._stop: Callable[[], bool] | None = None
        self.plan = RepairPlan(decision)
        self._question_of: Numbers = decision.question_of()

    def minutes_to_ask(self, point: Point) -> Table:
        """Minutes of each question from a point, shape (Q,)."""
        d = self.decision
        walks = (d.place != point.place) & (d.place >= 0) & (point.place >= 0)
        return np.asarray(d.ask[point.hold] + d.visit * walks)

    def values(self, point: Point) -> Table:
        """Expected minutes when each question is asked first and the plan follows, shape (Q,).

        Infinite for a question that cannot be asked.
        """
        d = self.decision
        open_answers = ~point.used[self._question_of]
        own = self._question_of[open_answers]
        both = d.likelihood[open_answers] * point.shares
        chance = both.sum(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            after = np.nan_to_num(both / chance[:, np.newaxis])
        after_open = np.where(point.tries > 0, after[:, :-1], 0.0)
        minutes = self.plan.expected(after_open, d.after[point.hold, own], point.used, own, point.open)
        value = np.bincount(own, chance * minutes, minlength=len(d.questions)) + self.minutes_to_ask(point)
        value[point.used] = np.inf
        return np.asarray(value)

    def choose(self, point: Point, values: Table | None = None) -> Choice:
        """The one-step rule: the question that saves most, else what the plan does first.

        Where the plan begins with a repair, the question is weighed against that repair with the best
        question after it: a cheap try comes before a costly look.
        """
        base = self.plan.first(point.open, point.hold, point.used)
        values = self.values(point) if values is None else values
        best = int(np.argmin(values)) if len(values) else -1
        if best >= 0 and values[best] <= base.expected - LEAST_SAVING:
            if base.culprit >= 0 and base.look < 0:
                tried = self._tried_first(point, base.culprit)
                if tried < MUCH_CHEAPER * values[best]:
                    return Choice(Action("repair", base.culprit), tried)
            return Choice(Action("check", best), float(values[best]))
        if base.look >= 0:
            return Choice(Action("check", base.look), min(float(values[base.look]), base.expected))
        if base.culprit < 0:
            return Choice(CALL, base.expected)
        return Choice(Action("repair", base.culprit), base.expected)

    def _tried_first(self, point: Point, culprit: int) -> float:
        """Minutes of a repair, and of the best question, or the plan, after it."""
        left, after = self.after_repair(point, culprit)
        cost = float(self.decision.repair[point.hold, culprit])
        if not left:
            return cost
        on = self.plan.first(after.open, after.hold, after.used).expected
        return cost + left * min(on, float(self.values(after).min(initial=np.inf)))

    def without(self, point: Point, question: int) -> float:
        """Expected minutes of the plan when a question is left out for good."""
        used = point.used.copy()
        used[question] = True
        return self.plan.first(point.open, point.hold, used).expected

    def after_answers(self, point: Point, question: int) -> list[tuple[int, float, Point]]:
        """(answer, its chance, where it leads) of each answer to a question that can come."""
        d = self.decision
        both = d.likelihood[d.first[question] : d.first[question + 1]] * point.shares
        used = point.used.copy()
        used[question] = True
        hold, place = int(d.after[point.hold, question]), int(d.place[question])
        return [
            (
                k,
                float(row.sum()),
                Point(row / row.sum(), hold, place if place >= 0 else point.place, used, point.tries),
            )
            for k, row in enumerate(both)
            if row.sum() > 0
        ]

    def after_repair(self, point: Point, culprit: int) -> tuple[float, Point]:
        """(chance that it is not cured, where that leads): the unit is back in service."""
        cured = float(point.open[culprit] * self.decision.takes[culprit])
        shares, tries = point.shares.copy(), point.tries.copy()
        shares[culprit] -= cured
        tries[culprit] -= 1
        if cured >= 1:
            return 0.0, point
        return 1 - cured, Point(shares / (1 - cured), RUNNING, -1, point.used, tries)

    def follow(self, point: Point, action: Action, reach: float = 1.0, depth: int = DEPTH) -> float:
        """Expected minutes of an action and of the one-step rule from there to the end."""
        d = self.decision
        match action.kind:
            case "help":
                return d.help
            case "repair":
                left, after = self.after_repair(point, action.number)
                cost = float(d.repair[point.hold, action.number])
                return cost + left * self._go_on(after, reach * left, depth) if left else cost
            case "check":
                cost = float(self.minutes_to_ask(point)[action.number])
                return cost + sum(
                    chance * self._go_on(after, reach * chance, depth)
                    for _, chance, after in self.after_answers(point, action.number)
                )

    def _go_on(self, point: Point, reach: float, depth: int) -> float:
        if self._stop and self._stop():
            raise Stopped
        choice = self.choose(point)
        if reach < LEAST_REACH or depth == 0:
            return choice.expected
        return self.follow(point, choice.action, reach, depth - 1)

    def first_steps(self, point: Point) -> list[Action]:
        """What rollout tries: the best questions, the plan's own first step, the likeliest repairs."""
        values = self.values(point)
        base = self.choose(point, values).action
        asked = [Action("check", int(q)) for q in np.argsort(values)[:FIRST_STEPS] if np.isfinite(values[q])]
        d = self.decision
        gain = point.open * d.takes / d.repair[point.hold]
        repairs = [Action("repair", int(h)) for h in np.argsort(-gain)[:2] if gain[h] > 0]
        return list(dict.fromkeys([base, *asked, *repairs, CALL]))

    def roll_out(self, point: Point, stop: Callable[[], bool] | None = None) -> tuple[Action, float]:
        """(the first step that is cheapest when the one-step rule follows, its expected minutes).

        ``stop``: asked at every point; once it says yes, `Stopped` is raised.
        """
        self._stop = stop
        narrow = self._narrowed(point)
        worth = {action: self.follow(narrow, action) for action in self.first_steps(point)}
        best = min(worth, key=worth.__getitem__)
        return best, worth[best]

    def _narrowed(self, point: Point) -> Point:
        """The same with only the most telling questions left to go on with."""
        telling = np.argsort(self.values(point) - self.minutes_to_ask(point))[:QUESTIONS]
        used = np.ones_like(point.used)
        used[telling] = point.used[telling]
        return replace(point, used=used)
