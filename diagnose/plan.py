"""What it would cost to go on without further splitting: the yardstick that advice is measured by.

The plan takes the causes one after another, in the order of probability over cost, until the unit is
cured or calling for help is the better buy. A cause is either put right outright, or looked at first
with the check that tells it best and put right only when the look points to it, whichever gets more
probability for its minutes.

Costs of one cause with share r of the blame, when `left` is the chance that it is not cured yet:
outright: repair x left; after a look: look x left + (hit x r + false alarm x (left - r)) x repair.

Source: Heckerman, Breese & Rommelse, CACM 38(3) 1995, for the order and for a look before a repair.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.network import Table
from diagnose.reasoner import WhatIf

POINTS_TO = 1.5
"""An outcome points to a cause when it makes it at least this much likelier."""
LEAST_PRICE = 1e-9
"""Minutes below which nothing is counted as cheaper: a price stands under a fraction."""


@dataclass(frozen=True)
class Looks:
    """The best check for each cause, and the second best for when the best is used up.

    All arrays have shape (2, causes): best, second best. ``check`` holds indices into the list of
    questions, -1 where there is none; then ``hit`` is 0.
    """

    check: Table
    hit: Table
    """P(the look points to the cause | it is the cause)."""
    false_alarm: Table
    """P(the look points to the cause | it is not)."""
    here: Table
    """Minutes of the look from the present hold."""
    later: Table
    """Minutes of the look from a running unit."""


def find_looks(
    what_ifs: Mapping[str, WhatIf], causes: Table, shares: Table, here: Table, later: Table, repair: Table
) -> Looks:
    """The two looks that get most for their minutes, for each cause.

    ``causes``: P(cause | findings); ``shares``: of the blame; ``repair``: minutes of each repair from a
    running unit; all of shape (causes,). ``here`` and ``later``: minutes of each question, shape
    (questions,), in the order of ``what_ifs``.
    """
    count = len(causes)
    score = np.zeros((len(what_ifs) + 2, count))
    hit, alarm = np.zeros_like(score), np.zeros_like(score)
    for k, what_if in enumerate(what_ifs.values()):
        both = np.nan_to_num(what_if.causes) * what_if.chance[:, np.newaxis]
        pointing = both > POINTS_TO * what_if.chance[:, np.newaxis] * causes
        with np.errstate(divide="ignore", invalid="ignore"):
            hit[k] = np.nan_to_num((both * pointing).sum(axis=0) / causes)
            alarm[k] = np.nan_to_num(
                ((what_if.chance[:, np.newaxis] - both) * pointing).sum(axis=0) / (1 - causes)
            )
        price = later[k] + (hit[k] * shares + alarm[k] * (1 - shares)) * repair
        score[k] = hit[k] * shares / np.maximum(price, LEAST_PRICE)
    best = np.argsort(-score, axis=0, kind="stable")[:2]
    column = np.arange(count)
    known = best < len(what_ifs)
    minutes_here, minutes_later = np.append(here, [0, 0])[best], np.append(later, [0, 0])[best]
    return Looks(
        np.where(known, best, -1), hit[best, column], alarm[best, column], minutes_here, minutes_later
    )


@dataclass(frozen=True)
class FirstMove:
    """How the plan starts."""

    expected: float
    """Minutes of the whole plan."""
    cause: int
    """Index of the first cause, -1 when help is called."""
    look: int
    """Index of the question to ask first, -1 when the cause is put right outright."""


@dataclass(frozen=True)
class RepairPlan:
    """Expected minutes of taking the causes in order, stopping where help is cheaper."""

    can: Table
    """1 where the cause can be put right on this callout, shape (causes,)."""
    here: Mapping[str, Table]
    """Minutes of each repair from each hold that a question leaves the unit in, shape (causes,)."""
    later: Table
    """Minutes of each repair from a running unit, shape (causes,)."""
    looks: Looks
    help: float

    def first(self, shares: Table, hold: str) -> "FirstMove":
        """What the plan does first, and the expected minutes of all of it; ``shares``: shape (causes,)."""
        usable = (shares * self.can)[np.newaxis]
        looks = self._looks_but(None)
        outright = usable / self.here[hold]
        by_look = self._look_ratio(usable, looks, looks[2], hold)
        minutes = float(self.expected(shares[np.newaxis], hold)[0])
        cause = int(np.argmax(np.maximum(outright, by_look)))
        if minutes >= self.help:
            return FirstMove(self.help, -1, -1)
        look = int(self.looks.check[0, cause]) if by_look[0, cause] > outright[0, cause] else -1
        return FirstMove(minutes, cause, look)

    def expected(self, shares: Table, hold: str, used: int | None = None) -> Table:
        """Expected minutes for each row of shares, shape (rows, causes), from a hold.

        ``used``: index of a question that was just asked, which can serve as no look any more.
        """
        usable = shares * self.can
        looks = self._looks_but(used)
        first = np.argmax(
            np.maximum(usable / self.here[hold], self._look_ratio(usable, looks, looks[2], hold)), axis=1
        )
        return self._run(usable, looks, hold, first)

    def _looks_but(self, used: int | None) -> tuple[Table, Table, Table, Table]:
        """(hit, false alarm, minutes here, minutes later) of the best look that is not used up."""
        row = (
            np.where(self.looks.check[0] == used, 1, 0)
            if used is not None
            else np.zeros(len(self.can), dtype=int)
        )
        column = np.arange(len(self.can))
        looks = self.looks
        return (
            looks.hit[row, column],
            looks.false_alarm[row, column],
            looks.here[row, column],
            looks.later[row, column],
        )

    def _look_ratio(
        self, usable: Table, looks: tuple[Table, Table, Table, Table], minutes: Table, hold: str
    ) -> Table:
        """Probability over cost of a look with its repair, shape (rows, causes)."""
        hit, alarm = looks[0], looks[1]
        repair = self.here[hold]
        price = minutes + (hit * usable + alarm * (1 - usable)) * repair
        return np.asarray(hit * usable / np.maximum(price, LEAST_PRICE))

    def _run(
        self,
        usable: Table,
        looks: tuple[Table, Table, Table, Table],
        hold: str,
        first: Table,
    ) -> Table:
        """Expected minutes of the whole plan with the given first cause in each row."""
        hit, alarm, look_here, look_later = looks
        rows = np.arange(len(usable))
        direct = usable / self.later
        by_look = self._look_ratio(usable, looks, look_later, "running")
        look = by_look > direct
        first_look = (
            self._look_ratio(usable, looks, look_here, hold)[rows, first]
            > (usable / self.here[hold])[rows, first]
        )
        look[rows, first] = first_look
        ratio = np.maximum(direct, by_look)
        ratio[rows, first] = np.inf
        order = np.argsort(-ratio, axis=1, kind="stable")

        def ordered(values: Table) -> Table:
            return np.take_along_axis(np.broadcast_to(values, usable.shape), order, axis=1)

        shares, looking = ordered(usable), np.take_along_axis(look, order, axis=1)
        repair, minutes = ordered(self.later).copy(), ordered(look_later).copy()
        repair[:, 0], minutes[:, 0] = self.here[hold][first], look_here[first]
        hits, alarms = ordered(hit), ordered(alarm)
        taken = np.where(looking, hits * shares, shares)
        done = np.cumsum(taken, axis=1)
        left = np.clip(1.0 - (done - taken), 0.0, None)
        after_look = minutes * left + (hits * shares + alarms * np.clip(left - shares, 0.0, None)) * repair
        spent = np.cumsum(np.where(looking, after_look, repair * left), axis=1)
        stop_after = spent + self.help * np.clip(1.0 - done, 0.0, None)
        return np.asarray(np.minimum(stop_after.min(axis=1), self.help))
