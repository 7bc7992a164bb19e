"""What a policy costs on a sub-model, summed over every branch with the exact chances.

The policy sees what a callout's advice sees: the real `Adviser` on the flat book, the findings, the
repairs done in vain, the hold, and what is used up. The chances of what follows are the sub-model's own.
A hand does every repair that is told; a hold is gone to one at a time, and its way paid as it is gone.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from diagnose.advice import MOST_TRIES, Advice, Adviser, Limits
from diagnose.callout import shown_by
from diagnose.evidence import Earlier, Evidence
from diagnose.network import Table
from diagnose.reasoner import Reasoner
from knowledge.words import strength
from tests.bench.optimum import EXACT, NOTHING, Act, Bounds, Optimum, Spot, start
from tests.bench.submodels import PROOF, SubModel

Policy = Callable[[Adviser, Limits], Advice]
RAREST: Final = 1e-5
"""Chance of a state below which it is taken to go on with repairs by probability over cost."""
STEPS: Final = 60
"""Steps after which a policy is taken to go round in a circle."""
RARELY: Final = 0.01
"""Chance of a state below which no decision is looked into."""


@dataclass(frozen=True)
class Standing:
    """What a policy knows: what it may use as evidence, and where the unit stands."""

    spot: Spot
    findings: tuple[tuple[str, str], ...] = ()
    remains: tuple[tuple[str, float], ...] = ()
    earlier: tuple["_Repair", ...] = ()


@dataclass(frozen=True)
class _Repair:
    """A repair that did not cure, and the findings that it put in doubt and those that it did not."""

    cause: str
    doubted: tuple[tuple[str, str], ...]
    beside: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Slip:
    """One decision that costs more than the best one: its loss, weighted by the chance of getting there."""

    loss: float
    chance: float
    told: Advice
    better: Act
    standing: Standing
    worlds: tuple[tuple[str, float], ...]
    """The likeliest sets of faults there, with their chances."""

    @property
    def told_act(self) -> Act:
        """What the advice leads to: the check or the repair that a hold is for."""
        name = self.told.sake or self.told.id
        if self.told.kind == "help":
            return Act("help")
        return Act("check" if name in self.standing.spot.checks else "repair", name)

    @property
    def kind(self) -> str:
        """What was done and what is better, in a word each."""
        told, other = self.told_act.kind, self.better.kind
        return f"{told} where {'another ' if told == other else ''}{other} is best"


class Evaluation:
    """Expected minutes of one policy on one sub-model, over every branch."""

    def __init__(self, model: SubModel, policy: Policy, reasoner: Reasoner, keeps: bool = True) -> None:
        """``keeps``: whether findings that a repair could have changed count whole after one in vain."""
        self.model, self.policy, self.reasoner, self.keeps = model, policy, reasoner, keeps
        self._advice: dict[Standing, Advice] = {}
        self.endless = 0.0
        """Chance that the policy was still at it after `STEPS` steps; help is called there."""
        self.cut = 0.0
        """Chance of the branches that were not followed to their end."""
        self._after = {name: model.repaired(name) for name in model.causes}

    def advise(self, standing: Standing) -> Advice:
        """What the policy says, from what it knows."""
        if standing not in self._advice:
            spot = standing.spot
            evidence = Evidence(
                (self.model.complaint,),
                dict(standing.findings),
                remains=dict(standing.remains),
                earlier=tuple(map(self._earlier, standing.earlier)),
            )
            asked = {PROOF, *self.model.checks} - set(spot.checks)
            tried = zip(self.model.causes, spot.tries, strict=True)
            repaired = tuple(n for n, left in tried for _ in range(MOST_TRIES - left))
            limits = Limits(spot.hold, asked=frozenset(asked), repaired=repaired)
            self._advice[standing] = self.policy(Adviser(self.reasoner, evidence), limits)
        return self._advice[standing]

    def minutes(self, belief: Table | None = None) -> float:
        """Expected minutes from the complaint to the end; ``belief``: P(world), else the model's."""
        total, bounds = 0.0, Bounds(self.model)
        first = self.model.prior if belief is None else belief
        here: dict[object, tuple[float, Table, Standing]] = {0: (1.0, first, Standing(start(self.model)))}
        for _ in range(STEPS):
            ahead: dict[object, tuple[float, Table, Standing]] = {}
            for reach, there, standing in here.values():
                if reach < RAREST:
                    self.cut += reach
                    total += reach * bounds.high(there, standing.spot)
                    continue
                minutes, branches = self.step(there, standing)
                total += reach * minutes
                for chance, after, then in branches:
                    key = (np.round(after, 10).tobytes(), then)
                    known = ahead[key][0] if key in ahead else 0.0
                    ahead[key] = (known + reach * chance, after, then)
            here = ahead
        self.endless = sum(reach for reach, _, _ in here.values())
        return total + self.endless * self.model.book.prices.help

    def step(self, belief: Table, standing: Standing) -> tuple[float, list[tuple[float, Table, Standing]]]:
        """(minutes of what is advised, (chance, belief, standing) of everything that can follow)."""
        advice, spot, costs = self.advise(standing), standing.spot, self.model.costs
        match advice.kind:
            case "hold":
                after = replace(standing, spot=spot._replace(hold=advice.id))
                return costs.move(spot.hold, advice.id), [(1.0, belief, after)]
            case "check":
                return costs.question_with_risk(advice.id, spot.hold), self._answers(
                    advice.id, belief, standing
                )
            case "repair":
                minutes = costs.repair(advice.id, spot.hold)
                return minutes, self._not_cured(advice.id, belief, standing)
            case _:
                return self.model.book.prices.help, []

    def _earlier(self, repair: _Repair) -> Earlier:
        takes = strength(self.model.book.causes[repair.cause].repair.takes)
        doubted = Evidence((self.model.complaint,), dict(repair.doubted))
        changes = frozenset(shown_by(self.model.book, repair.cause))
        return Earlier(repair.cause, takes, doubted, Evidence((), dict(repair.beside)), changes)

    def _answers(self, check: str, belief: Table, standing: Standing) -> list[tuple[float, Table, Standing]]:
        spot = standing.spot.made(check, self.model.costs.place_for(check, standing.spot.hold))
        branches = []
        for outcome, row in zip(self.model.outcomes(check), self.model.shows[check] * belief, strict=True):
            chance = float(row.sum())
            if chance > NOTHING:
                findings = tuple(sorted((*standing.findings, (check, outcome))))
                branches.append((chance, row / chance, replace(standing, spot=spot, findings=findings)))
        return branches

    def _not_cured(
        self, cause: str, belief: Table, standing: Standing
    ) -> list[tuple[float, Table, Standing]]:
        """What follows a repair that did not cure: a new epoch, as `diagnose.callout` begins it."""
        joint = self._after[cause] @ belief
        chance = float(joint.sum())
        if chance < NOTHING:
            return []
        kept, earlier = standing.findings, standing.earlier
        if not self.keeps:
            changes = shown_by(self.model.book, cause)
            kept = tuple(pair for pair in standing.findings if pair[0] not in changes)
            stale = tuple(pair for pair in standing.findings if pair[0] in changes)
            earlier = (*earlier, _Repair(cause, stale, kept))
        remains = dict(standing.remains)
        left = 1 - strength(self.model.book.causes[cause].repair.takes)
        remains[cause] = remains.get(cause, 1.0) * left
        spot = standing.spot.tried(self.model.causes.index(cause))
        return [(chance, joint / chance, Standing(spot, kept, tuple(sorted(remains.items())), earlier))]

    def slips(self, optimum: Optimum) -> list[Slip]:
        """Every decision that costs more than the best one, the dearest first.

        Losses weighted by the chance of getting there add up to all that the policy costs more than the
        optimum: at each state the loss is the best value after what was done, less the best value.
        """
        found: list[Slip] = []
        waiting = [(1.0, self.model.prior, Standing(start(self.model)))]
        while waiting:
            chance, belief, standing = waiting.pop()
            minutes, branches = self.step(belief, standing)
            care = EXACT / chance
            value = optimum.value(belief, standing.spot, care)
            after = sum(c * optimum.value(b, s.spot, care) for c, b, s in branches)
            loss = chance * (minutes + after - value)
            if loss > 3 * EXACT:
                better, _ = optimum.best(belief, standing.spot, care)
                found.append(
                    Slip(loss, chance, self.advise(standing), better, standing, self._likeliest(belief))
                )
            if chance > RARELY:
                waiting += [(chance * c, b, s) for c, b, s in branches]
        return sorted(found, key=lambda slip: -slip.loss)

    def _likeliest(self, belief: Table) -> tuple[tuple[str, float], ...]:
        best = np.argsort(-belief)[:4]
        return tuple((" + ".join(sorted(self.model.worlds[k])), float(belief[k])) for k in best)
