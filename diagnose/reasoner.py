"""Exact beliefs and every what-if, for one book and one set of known facts."""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from diagnose.calibrated import Calibrated
from diagnose.compile import Compiler, Facts, all_causes
from diagnose.costs import Costs
from diagnose.epochs import Epochs
from diagnose.evidence import Evidence
from diagnose.fitting import fitting
from diagnose.guard import refusal, wide_looks
from diagnose.junction_tree import JunctionTree
from diagnose.looks import Looks
from diagnose.mixture import Mixture
from diagnose.network import Factor, Table
from diagnose.propagation import Kind, Weights
from diagnose.trees import Compiled, Scope, Shapes, Trees, clamp_rows
from diagnose.triangulate import TooDense
from knowledge.book import Book
from knowledge.problems import InputProblems
from knowledge.words import strength

MAX_SPREAD: Final = 1e-9
"""Above this reading of the error meter everything is computed again in longer numbers."""
LOOK_SLIP: Final = 0.05
"""Chance that a part looked at and called in order is the fault after all (judgement, no source)."""


NO_REPAIR: Final[tuple[float, list[Factor]]] = (1.0, [])
"""The one way that things have gone where no repair was in vain, see `diagnose.epochs`."""
Joint = tuple[Weights, Weights]
"""(P(answer, findings), P(answer, cause, findings)), shapes (answers,) and (answers, causes)."""


@dataclass(frozen=True)
class Beliefs:
    """What the findings say."""

    causes: dict[str, float]
    """P(cause | findings) for every cause, in the book's order."""
    weight: float
    """P(findings and known facts). 0 when they contradict the book outright: the probabilities are NaN."""
    error: float
    """Reading of the error meter: bounds the relative error that rounding can have made."""


@dataclass(frozen=True)
class WhatIf:
    """What one open question would say."""

    outcomes: tuple[str, ...]
    chance: Table
    """P(outcome | findings), shape (outcomes,)."""
    causes: Table
    """P(cause | findings, outcome), shape (outcomes, causes); causes in the book's order."""


class Reasoner:
    """The compiled network. Questions leave it as it was."""

    def __init__(
        self, book: Book, facts: Facts, shapes: Shapes | None = None, complaints: Iterable[str] = ()
    ) -> None:
        """``facts``: known facts of the unit, fact to value. ``shapes``: where compiled shapes are kept.
        ``complaints``: those that will be asked about first, when they are known.

        Raises `InputProblems` for a book that is too dense to be reasoned over exactly.
        """
        self.book = book
        self.facts = dict(facts)
        self.causes = all_causes(book)
        self.costs = Costs(book)
        self.compiler = Compiler(book, facts)
        self._last_ways: tuple[str, list[tuple[float, list[Factor]]]] = ("", [])
        self._before: dict[Hashable, Beliefs] = {}
        self._box_rows: dict[tuple[str, ...], list[list[Factor]]] = {}
        self._cardinalities = self.compiler.network().cardinalities
        self._cause_rows = clamp_rows([{name: 1} for name in self.causes], self._cardinalities)
        if wide := wide_looks(self.compiler):
            raise InputProblems(wide)
        self._shapes = {} if shapes is None else shapes
        self._looks = Looks(self.compiler, self._shapes)
        self._trees: dict[frozenset[str], Trees] = {}
        self.tree(complaints)

    def _trees_of(self, reported: frozenset[str]) -> Trees:
        """The trees for some conditions that matter only when they are reported."""
        if reported not in self._trees:
            looks: dict[Scope, list[str]] = {}
            for name in self.book.checks:
                looks.setdefault(self.compiler.scope_of_check(name), []).append(name)
            try:
                self._trees[reported] = Trees(
                    self.compiler.network(reported),
                    list(looks),
                    lambda scope: sum(len(self._looks.boxes(name)) for name in looks[scope]),
                    len(self.causes),
                    self._shapes,
                )
            except TooDense as error:
                raise InputProblems([refusal(self.compiler, reported)]) from error
        return self._trees[reported]

    def _holding(self, factors: Sequence[Factor]) -> Compiled:
        """A tree in which each of the factors lies in a clique."""
        named = {name for factor in factors for name in factor.variables}
        reported = self.compiler.barren & named
        return self._trees_of(reported).holding(factor.variables for factor in factors)

    def tree(self, complaints: Iterable[str] = ()) -> JunctionTree:
        """The tree for some complaints, before anything is found."""
        reported = {self.book.complaints[name].of for name in complaints} & self.compiler.barren
        return self._trees_of(frozenset(reported)).base

    def likelihood(self, question: str) -> Factor:
        """P(answer | what is looked at) of a check or an unknown fact; axes (answer, *scope)."""
        return self._looks.likelihood(question)

    def answers(self, question: str) -> tuple[str, ...]:
        """The answers that a check or a fact can have, in the book's order."""
        return self._looks.answers(question)

    def factors(self, evidence: Evidence) -> dict[str, Factor]:
        """One factor for each finding, by the name of what was found."""
        factors: dict[str, Factor] = {}
        for name in evidence.complaints:
            complaint = self.book.complaints[name]
            factors[name] = Factor(
                (complaint.of,), np.array([complaint.false_report, strength(complaint.reported)])
            )
        for name, answer in evidence.findings.items():
            if name not in self.facts:
                factors[name] = self._looks.seen(name, evidence.soft.get(name, {answer: 1.0}))
        for cause in evidence.in_order:
            factors[f"{cause} in order"] = Factor((cause,), np.array([1 - LOOK_SLIP, LOOK_SLIP]))
        return factors

    def _remaining(self, cause: str, remains: float) -> Factor:
        """What turns a cause's prior into the share of it that repairs left."""
        before, after = self.compiler.prior(cause), self.compiler.prior(cause, remains)
        return Factor(before.variables, after.table / before.table)

    def _gone(self, cause: str, share: float) -> Factor:
        """What turns a cause's prior into a share of P(it was there), the cause being off."""
        prior = self.compiler.prior(cause)
        odds = prior.table[1] / prior.table[0]
        return Factor(prior.variables, np.stack([share * odds, np.zeros_like(odds)]))

    def ways(self, evidence: Evidence, extra: Sequence[Factor] = ()) -> list[tuple[float, list[Factor]]]:
        """(weight, factors) of each way that the repairs can have gone, with all that was found.

        ``extra``: more factors on each way.
        """
        split = {step.cause for step in evidence.earlier}
        mended = [self._remaining(name, left) for name, left in evidence.remains.items() if name not in split]
        now = [*self.factors(evidence).values(), *mended, *extra]
        key = repr(evidence.earlier)
        if evidence.earlier and self._last_ways[0] != key:
            epochs = Epochs(self.factors, self._gone, self._weight)
            self._last_ways = key, epochs.ways(evidence.earlier)
        return [
            (weight, part)
            for weight, factors in (self._last_ways[1] if evidence.earlier else [NO_REPAIR])
            for part in self._fitting([*factors, *now])
        ]

    def _fitting(self, factors: Sequence[Factor]) -> list[list[Factor]]:
        return fitting(factors, self._holding, self._cardinalities)

    def _weight(self, factors: Sequence[Factor]) -> float:
        """P(what the factors say)."""
        return sum(float(self._run(part).weight[0]) for part in self._fitting(factors))

    def _run(self, factors: Sequence[Factor]) -> Calibrated:
        """The tree with these on it; in longer numbers where rounding was seen to matter."""
        compiled = self._holding(factors)
        done = compiled.calibrate(factors)
        if done.spread > MAX_SPREAD:
            return compiled.calibrate(factors, np.longdouble)
        return done

    def calibrate(self, evidence: Evidence, extra: Iterable[Factor] = ()) -> Mixture:
        """The tree with these findings on it, for each way that the repairs so far can have gone."""
        ways = self.ways(evidence, list(extra))
        return Mixture([(weight, self._run(factors)) for weight, factors in ways])

    def beliefs(self, evidence: Evidence) -> Beliefs:
        """P(cause | findings) of every cause, several at once and all."""
        return self._beliefs(self.calibrate(evidence))

    def beliefs_before(self, evidence: Evidence) -> Beliefs:
        """P(cause) of every cause before anything was found on this callout, repairs counted."""
        key = frozenset(evidence.complaints), frozenset(evidence.remains.items())
        if key not in self._before:
            self._before[key] = self._uncomplained(evidence, Evidence(remains=evidence.remains))
        return self._before[key]

    def beliefs_beside(self, evidence: Evidence) -> Beliefs:
        """P(cause) of every cause by the findings that stand, without the complaint and what is in doubt."""
        return self._uncomplained(evidence, replace(evidence, complaints=(), earlier=()))

    def _uncomplained(self, evidence: Evidence, left: Evidence) -> Beliefs:
        # A factor that says nothing keeps to the tree that the complaints need anyway.
        ends = {self.book.complaints[name].of for name in evidence.complaints}
        silent = [Factor((end,), np.ones(2)) for end in sorted(ends)]
        return self._beliefs(self.calibrate(left, silent))

    def _beliefs(self, done: Mixture) -> Beliefs:
        with np.errstate(divide="ignore", invalid="ignore"):
            causes = (done.last_weights(self.causes)[:, 0] / done.weight[0]).astype(float)
        return Beliefs(
            dict(zip(self.causes, causes.tolist(), strict=True)), float(done.weight[0]), done.spread
        )

    def what_ifs(self, evidence: Evidence, questions: Sequence[str]) -> dict[str, WhatIf]:
        """For each open question, each answer's probability and what every cause would then be.

        One batched run: a row for each cause taken as certain, from which the joint of that cause with
        whatever a check looks at is read off; where no clique holds that together, a row for each box of
        states that the check tells apart.
        """
        ways = [(weight, self._joint(factors, questions)) for weight, factors in self.ways(evidence)]
        results = {}
        for name in questions:
            weights = np.sum([weight * joint[name][0] for weight, joint in ways], axis=0)
            causes = np.sum([weight * joint[name][1] for weight, joint in ways], axis=0)
            with np.errstate(divide="ignore", invalid="ignore"):
                results[name] = WhatIf(
                    self.answers(name),
                    (weights / weights.sum()).astype(float),
                    (causes / weights[:, np.newaxis]).astype(float),
                )
        return results

    def _joint(self, factors: Sequence[Factor], questions: Sequence[str]) -> dict[str, Joint]:
        """The joint of each question with every cause."""
        plain = self._run(factors)
        kind = plain.weight.dtype.type
        compiled = self._holding(factors)
        held = [name for name in questions if compiled.tree.holds(self.likelihood(name).variables[1:])]
        loose = [name for name in questions if name not in held]
        joint = self._from_cliques(compiled, plain, factors, held, kind)
        return joint | self._from_boxes(compiled, factors, loose, kind)

    def _from_cliques(
        self,
        compiled: Compiled,
        plain: Calibrated,
        factors: Sequence[Factor],
        questions: Sequence[str],
        kind: Kind,
    ) -> dict[str, Joint]:
        """The joint of each question whose scope a clique holds, from a row for each cause."""
        scopes = list(dict.fromkeys(self.likelihood(name).variables[1:] for name in questions))
        parts = compiled.rows(
            factors, self._cause_rows, lambda done: [done.weights(scope) for scope in scopes], kind
        )
        with_cause = {
            scope: np.concatenate([part[k] for part in parts], axis=-1) for k, scope in enumerate(scopes)
        }
        joint = {}
        for name in questions:
            table, scope = self.likelihood(name).table, self.likelihood(name).variables[1:]
            joint[name] = (
                np.tensordot(table, plain.weights(scope)[..., 0], axes=len(scope)),
                np.tensordot(table, with_cause[scope], axes=len(scope)),
            )
        return joint

    def _from_boxes(
        self, compiled: Compiled, factors: Sequence[Factor], questions: Sequence[str], kind: Kind
    ) -> dict[str, Joint]:
        """The joint of each question whose scope no clique holds, from a row for each of its boxes."""
        if not questions:
            return {}
        # All that the first tree does not hold: what is kept must not hang on what is open just now.
        first = next(iter(self._trees.values())).base
        self._looks.recall_boxes(
            [name for name in self.book.checks if not first.holds(self.compiler.scope_of_check(name))]
        )
        given = list(dict.fromkeys(box.given for name in questions for box in self._looks.boxes(name)))
        key = tuple(questions)
        if key not in self._box_rows:
            self._box_rows[key] = clamp_rows([dict(part) for part in given], self._cardinalities)
        parts = compiled.rows(
            factors, self._box_rows[key], lambda done: (done.weight, done.last_weights(self.causes)), kind
        )
        weights = dict(zip(given, np.concatenate([weight for weight, _ in parts]), strict=True))
        causes = dict(zip(given, np.concatenate([own for _, own in parts], axis=1).T, strict=True))
        joint = {}
        for name in questions:
            chance = np.stack([box.chance for box in self._looks.boxes(name)], axis=1)
            own = np.stack([weights[box.given] for box in self._looks.boxes(name)])
            with_causes = np.stack([causes[box.given] for box in self._looks.boxes(name)])
            joint[name] = chance @ own, chance @ with_causes
        return joint
