"""Exact beliefs and every what-if, for one book and one set of known facts."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.compile import Compiler, Facts, all_causes
from diagnose.evidence import Evidence
from diagnose.junction_tree import Calibrated, JunctionTree
from diagnose.network import Factor, Table
from knowledge.book import Book
from knowledge.words import strength

CHUNK: Final = 96
"""Rows of one batched pass: enough for every cause of the book at once, so that no second pass is begun."""
LOOK_SLIP: Final = 0.05
"""Chance that a part looked at and called in order is the fault after all (judgement, no source)."""


@dataclass(frozen=True)
class Beliefs:
    """What the findings say."""

    causes: dict[str, float]
    """P(cause | findings) for every cause, in the book's order."""
    weight: float
    """P(findings). 0 when they contradict the book outright; the probabilities are then NaN."""


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

    def __init__(self, book: Book, facts: Facts) -> None:
        """``facts``: known facts of the unit, fact to value. Compiles the tree once.

        Raises `diagnose.triangulate.TooDense` for a book that cannot be reasoned over exactly.
        """
        self.book = book
        self.facts = dict(facts)
        self.causes = all_causes(book)
        self.compiler = Compiler(book, facts)
        self.network = self.compiler.network()
        self.tree = JunctionTree.of(self.network)
        self._prepared = self.tree.prepare(self.network.factors)
        self._likelihoods: dict[str, Factor] = {}

    def likelihood(self, question: str) -> Factor:
        """P(answer | what is looked at) of a check or an unknown fact; axes (answer, *scope)."""
        if question not in self._likelihoods:
            if question in self.book.checks:
                self._likelihoods[question] = self.compiler.likelihoods(question)
            else:
                fact = self.book.facts[question]
                size = len(fact.values)
                table = (1 - fact.slip) * np.eye(size) + fact.slip / size
                self._likelihoods[question] = Factor((question, question), table)
        return self._likelihoods[question]

    def answers(self, question: str) -> tuple[str, ...]:
        """The answers that a check or a fact can have, in the book's order."""
        if question in self.book.checks:
            return tuple(self.book.checks[question].outcomes)
        return tuple(self.book.facts[question].values)

    def _seen(self, question: str, weights: Mapping[str, float]) -> Factor:
        whole = self.likelihood(question)
        by_answer = np.array([weights.get(answer, 0.0) for answer in self.answers(question)])
        return Factor(whole.variables[1:], np.tensordot(by_answer, whole.table, axes=1))

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
                factors[name] = self._seen(name, evidence.soft.get(name, {answer: 1.0}))
        for cause in evidence.in_order:
            factors[f"{cause} in order"] = Factor((cause,), np.array([1 - LOOK_SLIP, LOOK_SLIP]))
        return factors

    def _repairs(self, evidence: Evidence) -> list[Factor]:
        """For each repaired cause, what turns its prior into the prior that the repair left."""
        out = []
        for cause, remains in evidence.remains.items():
            before, after = self.compiler.prior(cause), self.compiler.prior(cause, remains)
            out.append(Factor(before.variables, after.table / before.table))
        return out

    def calibrate(self, evidence: Evidence, extra: Iterable[Factor] = ()) -> Calibrated:
        """The tree with these findings on it."""
        return self.tree.calibrate(
            self._prepared, [*self.factors(evidence).values(), *self._repairs(evidence), *extra]
        )

    def beliefs(self, evidence: Evidence) -> Beliefs:
        """P(cause | findings) of every cause, several at once and all."""
        done = self.calibrate(evidence)
        causes = {name: float(done.joint([name])[1, 0]) for name in self.causes}
        return Beliefs(causes, float(done.weight[0]))

    def what_ifs(self, evidence: Evidence, questions: Sequence[str]) -> dict[str, WhatIf]:
        """For each open question, each answer's probability and what every cause would then be.

        One batched pass: a row for each cause taken as certain, from which the joint of that cause
        with whatever a check looks at is read off. The cost does not grow with the questions.
        """
        plain = self.calibrate(evidence)
        joint: dict[str, list[Table]] = {name: [] for name in questions}
        for start in range(0, len(self.causes), CHUNK):
            rows = self.causes[start : start + CHUNK]
            done = self.calibrate(evidence, self._clamps(rows))
            for name in questions:
                joint[name].append(self._answer_weights(done, name))
        results = {}
        for name in questions:
            weights = self._answer_weights(plain, name)[:, 0]
            with np.errstate(divide="ignore", invalid="ignore"):
                causes = np.concatenate(joint[name], axis=1) / weights[:, np.newaxis]
                results[name] = WhatIf(self.answers(name), weights / weights.sum(), causes)
        return results

    @staticmethod
    def _clamps(rows: Sequence[str]) -> list[Factor]:
        """One factor for each row's cause that makes it certain in that row alone."""
        clamps = []
        for row, name in enumerate(rows):
            table = np.ones((2, len(rows)))
            table[0, row] = 0.0
            clamps.append(Factor((name,), table))
        return clamps

    def _answer_weights(self, done: Calibrated, question: str) -> Table:
        """P(answer, findings) of each answer in each batch row, shape (answers, rows)."""
        whole = self.likelihood(question)
        scope = whole.variables[1:]
        if not scope:
            return np.outer(whole.table, done.weight)
        joint = done.joint(scope) * done.weight
        return np.asarray(np.tensordot(whole.table, joint, axes=len(scope)))
