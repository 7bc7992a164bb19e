"""Beliefs and what-ifs beside two general libraries: ``python -m tests.bench.inference``.

Each row is one network with a complaint and so many findings. Times are the quickest of a few runs, all in
this process, each run after one finding has changed. The general libraries get one compiled engine of the
unit's own network: known facts folded away, gates as plain tables, the causes as the only targets.
pyagrum's what-ifs are each open answer set as evidence in turn. What would take long is timed on a sample
and scaled, with ~ before it; the largest difference over what was run stands beside it. Nothing is asserted.
"""

import importlib.metadata
import logging
import multiprocessing
import os
import platform
import random
import time
import warnings
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final

import numpy as np

from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner, WhatIf
from diagnose.sheet import read_unit
from knowledge.book import Book, load_book
from tests.diagnose.whole_nets import folded, in_tables, observed_in, whole_net
from tests.loops import drawn_evidence, loop_book

SAMPLE: Final = 20
"""Answers of pyagrum's what-ifs that are timed."""
BUDGET: Final = 6.0
"""Seconds after which a sample is cut short."""
PATIENCE: Final = 10.0
"""Seconds that pgmpy's belief propagation is given to find a tree."""
SHEET: Final = "high-mesa-s4"

# pgmpy warns of its own old modules while it is imported.
warnings.filterwarnings("ignore", module="pgmpy")


@dataclass(frozen=True)
class Case:
    """One network: a book and the facts that are known of the unit."""

    label: str
    book: Book
    known: Mapping[str, str]
    findings: tuple[int, ...] = (0, 5, 10)

    @cached_property
    def unit_book(self) -> Book:
        """The book with the known facts folded away."""
        return folded(self.book, self.known)

    @cached_property
    def net(self) -> Any:
        """The unit's network in pyagrum, every check a node, in plain tables."""
        return in_tables(whole_net(self.unit_book, {}), self.unit_book.conditions)


def cases() -> Iterator[Case]:
    """The shipped book with an unknown and a full sheet, and made-up loops of three lengths."""
    book = load_book()
    full = {name: next(iter(fact.values)) for name, fact in book.facts.items()}
    yield Case("shipped book, unknown sheet", book, {})
    yield Case("shipped book, full sheet", book, full | dict(read_unit(SHEET, book).facts))
    yield Case("loop 1x, no long arcs", loop_book(seed=2), {})
    yield Case("loop 1x, 2 % long arcs", loop_book(far=0.02), {})
    yield Case("loop 1x, 5 % long arcs", loop_book(far=0.05), {})
    yield Case("loop 3x, no long arcs", loop_book(3, seed=2), {}, (10,))
    yield Case("loop 10x, no long arcs", loop_book(10, seed=2), {}, (10,))


def quickest(task: Callable[[Evidence], object], turns: tuple[Evidence, ...], runs: int = 6) -> float:
    """Milliseconds of the quickest run; the turns differ, so that no run finds its answer ready."""
    times: list[float] = []
    while len(times) < 2 or (len(times) < runs and sum(times) < BUDGET / 2):
        start = time.perf_counter()
        task(turns[len(times) % len(turns)])
        times.append(time.perf_counter() - start)
    return min(times) * 1000


def turns_of(case: Case, evidence: Evidence) -> tuple[Evidence, ...]:
    """The evidence, and the same with its last finding (or its complaint) another."""
    if not evidence.findings:
        others = [name for name in case.book.complaints if name not in evidence.complaints]
        return evidence, replace(evidence, complaints=tuple(others[:1]))
    name, answer = list(evidence.findings.items())[-1]
    other = next(o for o in case.book.checks[name].outcomes if o != answer)
    return evidence, replace(evidence, findings={**evidence.findings, name: other})


class Agrum:
    """One compiled engine of pyagrum; evidence is changed, never built again."""

    def __init__(self, engine: str, case: Case, causes: list[str]) -> None:
        import pyagrum

        self.name, self.case, self.causes = engine, case, causes
        self.engine = getattr(pyagrum, engine)(case.net)
        for name in causes:
            self.engine.addTarget(name)
        self._seen: dict[str, Any] = {}

    def beliefs(self, evidence: Evidence) -> np.ndarray:
        """P(cause | findings), after changing no more than differs from the last findings."""
        seen = observed_in(self.case.unit_book, {}, evidence)
        for node in self._seen.keys() - seen.keys():
            self.engine.eraseEvidence(node)
        for node, answer in seen.items():
            if node not in self._seen:
                self.engine.addEvidence(node, answer)
            elif self._seen[node] != answer:
                self.engine.chgEvidence(node, answer)
        self._seen = seen
        self.engine.makeInference()
        return np.array([float(self.engine.posterior(name)[1]) for name in self.causes])


def best_agrum(case: Case, ours: Reasoner, turns: tuple[Evidence, ...]) -> tuple[float, str, Agrum, float]:
    """(milliseconds, engine's name, engine, largest difference) of pyagrum's quickest exact engine."""
    timed = []
    worst = 0.0
    names = ["LazyPropagation", "ShaferShenoyInference"]
    if len(case.book.causes) < 100:  # on the loops one run takes seconds to minutes
        names.append("VariableElimination")
    for name in names:
        engine = Agrum(name, case, ours.causes)
        start = time.perf_counter()
        theirs = engine.beliefs(turns[0])
        first = time.perf_counter() - start
        mine = np.array(list(ours.beliefs(turns[0]).causes.values()))
        worst = max(worst, float(np.abs(theirs - mine).max()))
        took = quickest(engine.beliefs, turns[::-1]) if first < BUDGET else first * 1000
        timed.append((took, name, engine))
    took, name, engine = min(timed, key=lambda entry: entry[0])
    return took, name, engine, worst


def agrum_what_ifs(
    agrum: Agrum, evidence: Evidence, ours: Mapping[str, WhatIf]
) -> tuple[float, int, int, float]:
    """(milliseconds for all, answers timed, answers in all, largest difference), check by check."""
    total = sum(len(what_if.outcomes) for what_if in ours.values())
    questions = list(ours)
    random.Random(1).shuffle(questions)
    agrum.beliefs(evidence)
    spent, done, worst = 0.0, 0, 0.0
    for question in questions:
        for k, outcome in enumerate(ours[question].outcomes):
            asked = replace(evidence, findings={**evidence.findings, question: outcome})
            start = time.perf_counter()
            theirs = agrum.beliefs(asked)
            spent += time.perf_counter() - start
            done += 1
            worst = max(worst, float(np.abs(theirs - ours[question].causes[k]).max()))
        if done >= SAMPLE or spent > BUDGET:
            break
    return spent / done * total * 1000, done, total, worst


def pgmpy_model(net: Any) -> Any:
    """The same network in pgmpy."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.models import DiscreteBayesianNetwork

    logging.getLogger("pgmpy").setLevel(logging.ERROR)
    labels = {net.variable(node).name(): list(net.variable(node).labels()) for node in net.nodes()}
    model = DiscreteBayesianNetwork()
    model.add_nodes_from(labels)
    model.add_edges_from([(net.variable(a).name(), net.variable(b).name()) for a, b in net.arcs()])
    for name, states in labels.items():
        parents = list(net.cpt(name).names[:0:-1])  # pyagrum's arrays run backwards
        table = np.moveaxis(net.cpt(name).toarray(), -1, 0).reshape(len(states), -1)
        sizes = [len(labels[parent]) for parent in parents]
        names = {part: labels[part] for part in (name, *parents)}
        model.add_cpds(
            TabularCPD(name, len(states), table, parents or None, sizes or None, state_names=names)
        )
    return model


def pgmpy_beliefs(case: Case, ours: Reasoner, evidence: Evidence) -> str:
    """Milliseconds for all causes by variable elimination, from a sample of them, and the difference."""
    try:
        from pgmpy.inference import VariableElimination
    except ImportError:
        return "– (not installed)"
    if len(ours.causes) > 1000:
        return "– (one cause alone takes seconds)"
    engine = VariableElimination(pgmpy_model(case.net))
    mine = ours.beliefs(evidence).causes
    seen = observed_in(case.unit_book, {}, evidence)
    spent, worst, done = 0.0, 0.0, 0
    for name in random.Random(1).sample(ours.causes, 8):
        start = time.perf_counter()
        found = engine.query([name], evidence=seen, elimination_order="greedy", show_progress=False)
        spent += time.perf_counter() - start
        done += 1
        worst = max(worst, abs(float(found.get_value(**{name: "yes"})) - mine[name]))
        if spent > BUDGET / 3:
            break
    return f"~{spent / done * len(ours.causes) * 1000:,.0f} ms (of {done}; {worst:.0e})"


def _propagate() -> None:
    """In a process of its own: belief propagation triangulates the shipped book with a full sheet."""
    from pgmpy.inference import BeliefPropagation

    case = next(case for case in cases() if case.known)
    BeliefPropagation(pgmpy_model(case.net)).calibrate()


def propagation() -> str:
    """What comes of pgmpy's belief propagation within `PATIENCE`."""
    child = multiprocessing.get_context("spawn").Process(target=_propagate)
    child.start()
    child.join(PATIENCE + 4.0)  # the start of the process and its imports
    if child.is_alive():
        child.terminate()
        return f"– (no tree after {PATIENCE:.0f} s)"
    return "finds a tree" if child.exitcode == 0 else f"– (ended with {child.exitcode})"


def row(case: Case, ours: Reasoner, count: int) -> None:
    """Measure and print one network at one number of findings."""
    evidence = drawn_evidence(case.book, case.known, count, 1)
    turns = turns_of(case, evidence)
    open_checks = [name for name in case.book.checks if name not in evidence.findings]
    beliefs = quickest(ours.beliefs, turns)
    what_ifs = quickest(lambda seen: ours.what_ifs(seen, open_checks), turns, 4)
    theirs, name, engine, off = best_agrum(case, ours, turns)
    all_theirs, done, total, off_if = agrum_what_ifs(engine, evidence, ours.what_ifs(evidence, open_checks))
    about = "~" if done < total else ""
    print(
        f"{case.label:28}{count:3}  beliefs  {beliefs:9.1f} ms  {theirs:11,.1f} ms {name:22}"
        f"{theirs / beliefs:7.1f} x  {off:.0e}  {pgmpy_beliefs(case, ours, evidence)}"
    )
    sample = f"{done} of {total} answers"
    print(
        f"{'':31}  what-ifs {what_ifs:9.1f} ms  {about + format(all_theirs, ',.0f'):>11} ms {sample:22}"
        f"{all_theirs / what_ifs:7.0f} x  {off_if:.0e}  –",
        flush=True,
    )


def version(package: str) -> str:
    """Its version, or that it is missing."""
    try:
        return f"{package} {importlib.metadata.version(package)}"
    except importlib.metadata.PackageNotFoundError:
        return f"{package} –"


def main() -> None:
    """Print the table."""
    print(f"{platform.platform()}, {platform.machine()}, {os.cpu_count()} processors")
    print(f"Python {platform.python_version()}, " + ", ".join(map(version, ["numpy", "pyagrum", "pgmpy"])))
    print(
        f"{'network, findings':33}{'':9}{'halfsplit':>12}  {'pyagrum':>14} {'':22}{'ratio':>9}  diff   pgmpy"
    )
    for case in cases():
        ours = Reasoner(case.book, case.known)
        print(f"{case.label}: {ours.tree().cells:,} cells, {len(ours.causes)} causes")
        for count in case.findings:
            row(case, ours, count)
    print(f"pgmpy's belief propagation, shipped book, full sheet: {propagation()}")


if __name__ == "__main__":
    main()
