"""The best of all policies on a sub-model: dynamic programming over beliefs, to a twentieth of a minute.

What it minimises: expected minutes until every fault is gone or help is called. A check costs its
minutes, the talk, the way to its hold and the risk of moving the valve; a repair costs the way to its
hold, the work, the way back and the proof, after which the unit is running; help has its price.
After a repair that did not cure, everything learnt before it still counts.

Two limits keep the state space finite, and the policies that are compared keep to them too: a check
is made once in a callout, a cause is put right at most `MOST_TRIES` times.

Depth first, with a table of the states seen and bounds on each. Never more than: the repairs in order of
probability over cost, or help. Never less than: the same for somebody who is told for nothing what all open
checks will show, and whether there are two faults and which.
"""

from dataclasses import dataclass
from itertools import permutations
from typing import Final, Literal, NamedTuple

import numpy as np

from diagnose.advice import MOST_TRIES
from diagnose.network import Table
from knowledge.words import HOLDS
from tests.bench.submodels import SubModel, World

EXACT: Final = 0.05
"""Minutes by which a value is off at most."""
NOTHING: Final = 1e-12
"""A chance below which a branch is not followed."""
DIGITS: Final = 10
"""Beliefs that agree to so many digits are one state."""


class Act(NamedTuple):
    """One thing to do, with the hold that it needs reached on the way."""

    kind: Literal["check", "repair", "help"]
    id: str = ""


class Spot(NamedTuple):
    """What is left to do and where the unit stands; with the belief, the whole state."""

    checks: tuple[str, ...]
    """Checks not made yet."""
    tries: tuple[int, ...]
    """For each cause, how often it can still be put right."""
    hold: str = "running"

    def made(self, check: str, hold: str) -> "Spot":
        """After a check, in the hold that it was made in."""
        return Spot(tuple(name for name in self.checks if name != check), self.tries, hold)

    def tried(self, cause: int) -> "Spot":
        """After a repair: the unit is running."""
        tries = (*self.tries[:cause], self.tries[cause] - 1, *self.tries[cause + 1 :])
        return Spot(self.checks, tries, "running")


def start(model: SubModel) -> Spot:
    """Everything open, the unit running."""
    return Spot(model.checks, (MOST_TRIES,) * len(model.causes))


@dataclass(frozen=True)
class _Known:
    """Bounds on a state's value; ``high`` can be had."""

    low: float
    high: float


class Optimum:
    """The value of every state of one sub-model, worked out when asked for.

    Beliefs are P(world), shape (worlds,), in the order of the model's worlds.
    """

    def __init__(self, model: SubModel) -> None:
        self.model = model
        self.help = model.book.prices.help
        self._known: dict[tuple[bytes, Spot], _Known] = {}
        self._bounds = Bounds(model)
        self._ask = {
            hold: {name: model.costs.question_with_risk(name, hold) for name in model.checks}
            for hold in HOLDS
        }
        self._place = {
            hold: {name: model.costs.place_for(name, hold) for name in model.checks} for hold in HOLDS
        }

    @property
    def states(self) -> int:
        """How many states were looked at."""
        return len(self._known)

    def value(self, belief: Table, spot: Spot, slack: float = EXACT) -> float:
        """Least expected minutes from here, at most ``slack`` too much."""
        return self._solve(belief, spot, np.inf, slack)

    def best(self, belief: Table, spot: Spot, slack: float = EXACT) -> tuple[Act, float]:
        """The best act and its expected minutes."""
        costs = {act: self.cost_of(act, belief, spot, slack) for act in self.acts(spot)}
        act = min(costs, key=costs.__getitem__)
        return act, costs[act]

    def acts(self, spot: Spot) -> list[Act]:
        """Everything that can be done: help first, then repairs, then checks."""
        repairs = [
            Act("repair", name) for name, left in zip(self.model.causes, spot.tries, strict=True) if left
        ]
        return [Act("help"), *repairs, *(Act("check", name) for name in spot.checks)]

    def cost_of(self, act: Act, belief: Table, spot: Spot, slack: float = EXACT) -> float:
        """Expected minutes of doing this and the best from then on."""
        return self._follow(act, belief, spot, np.inf, slack)

    def _solve(self, belief: Table, spot: Spot, limit: float, slack: float) -> float:
        """A number that the value is at most ``slack`` below; where it is under ``limit`` it can be had."""
        key = (np.round(belief, DIGITS).tobytes(), spot)
        known = self._known.get(key)
        if known is None:
            known = _Known(self._bounds.low(belief, spot), min(self.help, self._bounds.high(belief, spot)))
            self._known[key] = known
        if known.low >= limit:
            return known.low
        best = known.high
        if best - known.low <= slack:
            return best
        for bound, act in self._promising(belief, spot):
            if bound >= min(best - slack, limit):
                break
            best = min(best, self._follow(act, belief, spot, min(best, limit), slack))
        had = best if best < limit else known.high
        self._known[key] = _Known(max(known.low, min(best, limit) - slack), min(had, known.high))
        return best if best < limit else max(best, limit)

    def _promising(self, belief: Table, spot: Spot) -> list[tuple[float, Act]]:
        """(least possible cost, act), the lowest first; help left out."""
        found: list[tuple[float, Act]] = []
        low: dict[str, float] = {}
        for name in spot.checks:
            place = self._place[spot.hold][name]
            if place not in low:
                low[place] = self._bounds.low(belief, spot._replace(hold=place))
            found.append((self._ask[spot.hold][name] + low[place], Act("check", name)))
        for at, name in enumerate(self.model.causes):
            if spot.tries[at]:
                left = self._bounds.low(self._bounds.after[name] @ belief, spot.tried(at))
                found.append((self._bounds.repair[spot.hold][name] + left, Act("repair", name)))
        return sorted(found)

    def _follow(self, act: Act, belief: Table, spot: Spot, limit: float, slack: float) -> float:
        """The same for an act and the best after it."""
        if act.kind == "help":
            return self.help
        if act.kind == "repair":
            return self._follow_repair(act.id, belief, spot, limit, slack)
        after = spot.made(act.id, self._place[spot.hold][act.id])
        joint = self.model.shows[act.id] * belief
        chance = joint.sum(axis=1)
        least = self._bounds.lows(joint, after)
        total = self._ask[spot.hold][act.id] + float(least.sum())
        for k in np.argsort(-chance):
            if total >= limit:
                break
            if chance[k] > NOTHING:
                room = (limit - total + least[k]) / chance[k]
                # Half of the slack for every branch alike, half in equal parts: a rare one needs little care.
                part = slack / 2 + slack / 2 / len(chance) / chance[k]
                total += float(chance[k] * self._solve(joint[k] / chance[k], after, room, part) - least[k])
        return total

    def _follow_repair(self, cause: str, belief: Table, spot: Spot, limit: float, slack: float) -> float:
        minutes = self._bounds.repair[spot.hold][cause]
        joint = self._bounds.after[cause] @ belief
        left = float(joint.sum())
        if left < NOTHING:
            return minutes
        after = spot.tried(self.model.causes.index(cause))
        return minutes + left * self._solve(joint / left, after, (limit - minutes) / left, slack / left)


class Bounds:
    """What a state costs at least and at most. Linear in the belief, which need not sum to 1."""

    def __init__(self, model: SubModel) -> None:
        self.model = model
        self.help = model.book.prices.help
        self.repair = {
            hold: {name: model.costs.repair(name, hold) for name in model.causes} for hold in HOLDS
        }
        """Minutes of each repair from each hold."""
        self.after = {name: model.repaired(name) for name in model.causes}
        """P(world after | world before) of each repair."""
        single = [model.worlds.index(frozenset({name})) for name in model.causes]
        self._single = np.array(single)
        self._takes = np.array([1 - self.after[n][k, k] for n, k in zip(model.causes, single, strict=True)])
        running = self._minutes("running")
        self._cheapest = {
            hold: np.tile(np.minimum(running, self._minutes(hold)), MOST_TRIES) for hold in HOLDS
        }
        self._alone = np.array([k for k, world in enumerate(model.worlds) if len(world) == 1])
        told = {hold: np.array([self._told(world, hold) for world in model.worlds]) for hold in HOLDS}
        for row in told.values():
            row[self._alone] = 0.0
        self._told_of_pairs = told
        self._joint: dict[tuple[str, ...], Table] = {}
        self._chances: dict[tuple[int, ...], Table] = {}

    def _minutes(self, hold: str) -> Table:
        return np.array([self.repair[hold][name] for name in self.model.causes])

    def _told(self, world: World, hold: str) -> float:
        """Minutes of somebody who is told the faults: the cheapest order of repairs, or help."""
        if not world.issubset(self.model.causes):
            return self.help
        best = self.help
        for order in permutations(world):
            places = [hold, *("running" for _ in order[1:])]
            best = min(best, sum(self._rid_of(name, at) for name, at in zip(order, places, strict=True)))
        return best

    def _rid_of(self, cause: str, hold: str) -> float:
        takes = self._takes[self.model.causes.index(cause)]
        again = min(self.help, self.repair["running"][cause] / takes)
        return float(self.repair[hold][cause] + (1 - takes) * again)

    def _shown(self, checks: tuple[str, ...]) -> Table:
        """P(all these checks' outcomes | each single fault), shape (joint outcomes, single faults)."""
        if checks not in self._joint:
            table = np.ones((1, len(self._alone)))
            for name in checks:
                one = self.model.shows[name][:, self._alone]
                table = (table[:, np.newaxis] * one[np.newaxis]).reshape(-1, len(self._alone))
            self._joint[checks] = table
        return self._joint[checks]

    def _taken(self, tries: tuple[int, ...]) -> Table:
        """P(this try takes, the ones before it did not | its fault), the tries one after another."""
        if tries not in self._chances:
            left = np.ones(len(tries))
            parts = []
            for k in range(MOST_TRIES):
                parts.append(left * self._takes * (np.array(tries) > k))
                left = left * (1 - self._takes)
            self._chances[tries] = np.concatenate(parts)
        return self._chances[tries]

    def low(self, belief: Table, spot: Spot) -> float:
        """No policy can do better."""
        return float(self.lows(belief[np.newaxis], spot)[0])

    def lows(self, beliefs: Table, spot: Spot) -> Table:
        """The same for each row of beliefs, shape (rows, worlds)."""
        shown = self._shown(spot.checks)
        shares = (beliefs[:, np.newaxis, self._alone] * shown).reshape(-1, len(self._alone))
        causes = len(self._single)
        taken = np.concatenate([shares[:, :causes]] * MOST_TRIES, axis=1) * self._taken(spot.tries)
        minutes = self._cheapest[spot.hold]
        order = (-taken / minutes).argsort(axis=1)
        taken, minutes = taken[np.arange(len(taken))[:, np.newaxis], order], minutes[order]
        whole = shares.sum(axis=1)
        left = whole[:, np.newaxis] - taken.cumsum(axis=1)
        spent = (minutes * (left + taken)).cumsum(axis=1)
        stopped = np.minimum(self.help * whole, (spent + self.help * left).min(axis=1))
        each = stopped.reshape(len(beliefs), -1).sum(axis=1)
        return np.asarray(each + beliefs @ self._told_of_pairs[spot.hold])

    def high(self, belief: Table, spot: Spot) -> float:
        """What the repairs in order of probability over cost take, help being called when it is cheaper."""
        spent, hold, best = 0.0, spot.hold, self.help * float(belief.sum())
        tries = list(spot.tries)
        while any(tries):
            left = [
                self.after[name] @ belief if n else belief
                for name, n in zip(self.model.causes, tries, strict=True)
            ]
            minutes = self._minutes(hold)
            cured = belief.sum() - np.array([float(row.sum()) for row in left])
            gain = np.where(np.array(tries) > 0, cured, -1) / minutes
            k = int(np.argmax(gain))
            spent += float(minutes[k] * belief.sum())
            if spent >= best or gain[k] <= 0:
                break
            belief, hold = left[k], "running"
            tries[k] -= 1
            best = min(best, spent + self.help * float(belief.sum()))
        return best
