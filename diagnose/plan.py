"""What it would cost to go on without further splitting: the yardstick that advice is measured by.

The plan takes the culprits one after another, in the order of probability over cost, until the unit is
cured or calling for help is the better buy. A culprit is either put right outright, or looked at first
with the check that tells it best and put right only when the look points to it, whichever gets more
probability for its minutes. What a look misses is not come back to, so the plan of repairs outright is
worked out besides, and the cheaper of the two is the yardstick.

Costs of one culprit with share r, when `left` is the chance that it is not cured yet: outright: repair
x left; after a look: look x left + (hit x r + false alarm x (left - r)) x repair.

Source: Heckerman, Breese & Rommelse, CACM 38(3) 1995, for the order and for a look before a repair.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from diagnose.decision import Decision, Mask, Numbers
from diagnose.network import Table

POINTS_TO: Final = 1.5
"""An answer points to a culprit when it makes it at least this much likelier."""
LEAST_PRICE: Final = 1e-9
"""Minutes below which nothing is counted as cheaper: a price stands under a fraction."""
LOOKS: Final = 4
"""Looks kept for each culprit: when the best is used up, the next serves."""
RUNNING: Final = 0
"""Number of the hold that a proved repair leaves the unit in."""


@dataclass(frozen=True)
class FirstMove:
    """How the plan starts."""

    expected: float
    """Minutes of the whole plan."""
    culprit: int
    """Number of the first culprit, -1 when help is called."""
    look: int
    """Number of the question to ask first, -1 when the culprit is put right outright."""


@dataclass(frozen=True)
class _Looks:
    """For each row and culprit, the look that is left to use. All of shape (rows, H)."""

    check: Numbers
    hit: Table
    alarm: Table
    here: Table
    later: Table

    def rows(self, places: Numbers) -> "_Looks":
        """The looks of some rows, which may come again and again."""
        return _Looks(
            self.check.take(places, axis=0),
            *(part.take(places, axis=0) for part in (self.hit, self.alarm, self.here, self.later)),
        )


@dataclass(frozen=True)
class _Order:
    """Which culprit comes when, and whether it is looked at first. All of shape (rows, H)."""

    order: Numbers
    looking: Mask | None
    """None where nothing is looked at first."""

    def rows(self, places: Numbers) -> "_Order":
        """The order of some rows, which may come again and again."""
        looking = None if self.looking is None else self.looking.take(places, axis=0)
        return _Order(self.order.take(places, axis=0), looking)


class RepairPlan:
    """Expected minutes of taking the culprits in order, stopping where help is cheaper."""

    def __init__(self, decision: Decision) -> None:
        self._decision = decision
        self._columns = np.arange(len(decision.culprits))
        # The last column is for no look at all, whose number is -1.
        self._ask = np.column_stack([decision.ask, np.zeros(len(decision.ask))])

    @cached_property
    def _best_looks(self) -> tuple[Numbers, Table, Table]:
        """(check, P(it points to the culprit | it is), P(it points to it | it is not)) of the looks that
        get most for their minutes, best first, shape (LOOKS + 1, H); the last is none at all."""
        d = self._decision
        shares, likelihood = d.shares[:-1], d.likelihood[:, :-1]
        chance = d.likelihood @ d.shares
        starts = d.first[:-1]
        pointing = likelihood > POINTS_TO * chance[:, np.newaxis]
        hit = np.add.reduceat(likelihood * pointing, starts, axis=0)
        others = np.clip(chance[:, np.newaxis] - likelihood * shares, 0.0, None)
        alarm = np.add.reduceat(others * pointing, starts, axis=0) / np.maximum(1 - shares, LEAST_PRICE)
        spent = d.ask[RUNNING][:, np.newaxis] + (hit * shares + alarm * (1 - shares)) * d.repair[RUNNING]
        score = hit * shares / np.maximum(spent, LEAST_PRICE)
        best = np.argsort(-score, axis=0, kind="stable")[:LOOKS]
        none = np.zeros((1, len(shares)))
        return (
            np.vstack([best, none - 1]).astype(np.intp),
            np.vstack([hit[best, self._columns], none]),
            np.vstack([alarm[best, self._columns], none]),
        )

    def _looks(self, hold: Numbers, used: Mask, own: Numbers) -> _Looks:
        """The best look that neither is used up nor is the row's own question."""
        checks, hits, alarms = self._best_looks
        free = ~np.append(used, False)[checks]
        first = np.argmax(free, axis=0)
        free[first, self._columns] = False
        free[-1] = True
        second = np.argmax(free, axis=0)
        rank = np.where(checks[first, self._columns] == own[:, np.newaxis], second, first)
        check = checks[rank, self._columns]
        return _Looks(
            check,
            hits[rank, self._columns],
            alarms[rank, self._columns],
            self._ask[hold[:, np.newaxis], check],
            self._ask[RUNNING, check],
        )

    def first(self, shares: Table, hold: int, used: Mask) -> FirstMove:
        """What the plan does first, and the expected minutes of all of it; ``shares``: shape (H,)."""
        rows, holds = shares[np.newaxis], np.array([hold])
        looks = self._looks(holds, used, np.array([-1]))
        plans = [self._ordered(rows, holds, looks), self._outright(rows, holds)]
        minutes = [float(self._minutes(rows, holds, looks, plan)[0]) for plan in plans]
        plan = plans[int(np.argmin(minutes))]
        if min(minutes) >= self._decision.help:
            return FirstMove(self._decision.help, -1, -1)
        culprit = int(plan.order[0, 0])
        looking = plan.looking is not None and plan.looking[0, 0]
        return FirstMove(min(minutes), culprit, int(looks.check[0, culprit]) if looking else -1)

    def expected(
        self, shares: Table, hold: Numbers, used: Mask, own: Numbers, before: Table | None = None
    ) -> Table:
        """Expected minutes for each row of shares, shape (rows, H), each from its hold.

        ``used``: questions that can serve as a look no more, shape (Q,); ``own``: one more of each row, and
        the rows with the same one have the same hold.
        ``before``: shares, shape (H,), whose plan may be kept to where the row's own is no better.
        """
        # The answers to one question leave the unit in one hold and the same looks to use.
        _, first, places = np.unique(own, return_index=True, return_inverse=True)
        hold_of, looks_of = hold[first], self._looks(hold[first], used, own[first])
        looks = looks_of.rows(places)
        plans = [self._ordered(shares, hold, looks), self._outright(shares, hold)]
        if before is not None:
            same = np.broadcast_to(before, (len(first), len(before)))
            plans += [self._ordered(same, hold_of, looks_of).rows(places)]
            plans += [self._outright(same, hold_of).rows(places)]
        return np.asarray(np.min([self._minutes(shares, hold, looks, plan) for plan in plans], axis=0))

    def _look_ratio(self, shares: Table, looks: _Looks, minutes: Table, repair: Table) -> Table:
        """Probability over cost of a look with its repair, shape (rows, H)."""
        price = minutes + (looks.hit * shares + looks.alarm * (1 - shares)) * repair
        return np.asarray(looks.hit * shares * self._decision.takes / np.maximum(price, LEAST_PRICE))

    def _ordered(self, shares: Table, hold: Numbers, looks: _Looks) -> _Order:
        """By probability over cost; what comes first is chosen by its minutes from the present hold."""
        here, later = self._decision.repair[hold], self._decision.repair[RUNNING]
        cured = shares * self._decision.takes
        direct, by_look = cured / later, self._look_ratio(shares, looks, looks.later, later)
        direct_now, by_look_now = cured / here, self._look_ratio(shares, looks, looks.here, here)
        first = np.argmax(np.maximum(direct_now, by_look_now), axis=1)
        rows = np.arange(len(shares))
        looking = by_look > direct
        looking[rows, first] = (by_look_now > direct_now)[rows, first]
        ratio = np.maximum(direct, by_look)
        ratio[rows, first] = np.inf
        order = np.argsort(-ratio, axis=1, kind="stable")
        return _Order(order, looking[rows[:, np.newaxis], order])

    def _outright(self, shares: Table, hold: Numbers) -> _Order:
        """The same without a look before any repair."""
        cured = shares * self._decision.takes
        first = np.argmax(cured / self._decision.repair[hold], axis=1)
        ratio = cured / self._decision.repair[RUNNING]
        ratio[np.arange(len(shares)), first] = np.inf
        return _Order(np.argsort(-ratio, axis=1, kind="stable"), None)

    def _minutes(self, shares: Table, hold: Numbers, looks: _Looks, plan: _Order) -> Table:
        """Expected minutes of going through the culprits in an order, with the best place to stop."""
        d, order, looking = self._decision, plan.order, plan.looking
        rows = np.arange(len(shares))
        cells = order + rows[:, np.newaxis] * order.shape[1]
        first = order[:, 0]
        share, repair = shares.take(cells), d.repair[RUNNING].take(order)
        repair[:, 0] = d.repair[hold, first]
        cured = share * d.takes.take(order)
        if looking is not None:
            hit, alarm, look = looks.hit.take(cells), looks.alarm.take(cells), looks.later.take(cells)
            look[:, 0] = looks.here[rows, first]
            cured = np.where(looking, hit, 1.0) * share * d.takes.take(order)
        done = np.cumsum(cured, axis=1)
        left = np.maximum(1.0 - (done - cured), 0.0)
        spending = repair * left
        if looking is not None:
            after_look = look * left + (hit * share + alarm * np.maximum(left - share, 0.0)) * repair
            spending = np.where(looking, after_look, spending)
        stop_after = np.cumsum(spending, axis=1) + d.help * np.maximum(1.0 - done, 0.0)
        return np.asarray(np.minimum(stop_after.min(axis=1), d.help))
