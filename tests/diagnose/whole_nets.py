"""A book's whole network in pyagrum: every check is a node, so that one compiled engine answers any findings.

The local probabilities are those of `tests.diagnose.oracle`, none of which comes from `diagnose`.
"""

import itertools
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from diagnose.evidence import Evidence
from knowledge.book import Book
from knowledge.schema import Cause, Condition
from knowledge.words import UNKNOWN
from tests.diagnose.oracle import agrum_of

WIDE = 6
"""Parents up to which a gate is one table of the general library."""


def whole_net(book: Book, known: Mapping[str, str]) -> Any:
    """The network with a node for every complaint, check and unknown fact that can be answered."""
    answers = {name: next(iter(check.outcomes)) for name, check in book.checks.items()}
    answers |= {name: next(iter(fact.values)) for name, fact in book.facts.items()}
    return agrum_of(book, known, Evidence(tuple(book.complaints), answers))[0]


def observed_in(book: Book, known: Mapping[str, str], evidence: Evidence) -> dict[str, Any]:
    """What is observed in `whole_net`: facts, complaints, findings; a soft one as a weight for each answer.

    Causes that were found in order and repairs have no node there.
    """
    seen: dict[str, Any] = {**dict.fromkeys(book.computed, UNKNOWN), **known}
    seen |= {f"said_{name}": "yes" for name in evidence.complaints}
    for name, answer in evidence.findings.items():
        question = book.question(name)
        answers = question.outcomes if name in book.checks else book.facts[name].values
        weights = evidence.soft.get(name)
        if name not in known:
            seen[f"saw_{name}"] = [weights.get(a, 0.0) for a in answers] if weights else answer
    return seen


def folded(book: Book, known: Mapping[str, str]) -> Book:
    """The book of one unit: known facts taken out, and the rows that cannot hold for it.

    The facts left must not tell of known ones (their shares would), so: all of the facts, or none.
    """
    given = {**dict.fromkeys(book.computed, UNKNOWN), **known}

    def rows(every: Sequence[Any]) -> list[Any]:
        kept = []
        for row in every:
            when = row.when or {}
            if all(given[fact] in values for fact, values in when.items() if fact in given):
                left = {fact: values for fact, values in when.items() if fact not in given}
                kept.append(row.model_copy(update={"when": left or None}))
        return kept

    def links(entry: Cause | Condition) -> dict[str, list[Any]]:
        return {target: kept for target, every in entry.leads_to.items() if (kept := rows(every))}

    causes = {
        name: entry.model_copy(update={"leads_to": links(entry), "more_likely": rows(entry.more_likely)})
        for name, entry in book.causes.items()
    }
    conditions = {
        name: entry.model_copy(update={"leads_to": links(entry)}) for name, entry in book.conditions.items()
    }
    checks = {
        name: entry.model_copy(update={"shows": rows(entry.shows)}) for name, entry in book.checks.items()
    }
    facts = {name: entry for name, entry in book.facts.items() if name not in given}
    return replace(book, causes=causes, conditions=conditions, checks=checks, facts=facts, computed={})


def in_tables(net: Any, gates: Collection[str]) -> Any:
    """The same network with its noisy-OR ``gates`` as plain tables, on which engines are quicker.

    A gate with many parents becomes a chain of tables (its parents divorced): written out in one, 17 parents
    and what they are looked at together with take tens of gigabytes.
    """
    import pyagrum as gum

    plain = gum.BayesNet()
    for node in net.topologicalOrder():
        plain.add(net.variable(node))
    for node in net.topologicalOrder():
        name, parents = net.variable(node).name(), net.cpt(node).names[1:]
        write = _divorced if name in gates and len(parents) > WIDE else _written_out
        write(plain, name, net.cpt(node), parents)
    return plain


def _written_out(plain: Any, name: str, cells: Any, parents: Sequence[str]) -> None:
    """Read cell by cell: `toarray` of a gate that is not a table returns memory that was never written."""
    import pyagrum as gum

    for parent in parents:
        plain.addArc(parent, name)
    at, values = gum.Instantiation(cells), []
    at.setFirst()
    while not at.end():
        values.append(cells.get(at))
        at.inc()
    plain.cpt(name).fillWith(values)


def _divorced(plain: Any, name: str, cells: Any, parents: Sequence[str]) -> None:
    """A noisy-OR as a chain of noisy-ORs of a few parents each; its numbers are read off the gate."""
    import pyagrum as gum

    def not_there(*present: str) -> float:
        at = gum.Instantiation(cells)
        for parent in parents:
            at.chgVal(parent, int(parent in present))
        at.chgVal(name, 0)
        return float(cells.get(at))

    clear = not_there()
    passes = {parent: not_there(parent) / clear for parent in parents}
    expected = clear * math.prod(passes.values())
    assert math.isclose(not_there(*parents), expected, rel_tol=1e-9, abs_tol=1e-15), f"{name} is no noisy-OR"
    before: list[str] = []
    for start in range(0, len(parents), WIDE):
        group = [*before, *parents[start : start + WIDE]]
        last = start + WIDE >= len(parents)
        node = name if last else f"{name}_part_{start}"
        if not last:
            plain.add(gum.LabelizedVariable(node, node, ["no", "yes"]))
        for parent in group:
            plain.addArc(parent, node)
        for states in itertools.product((0, 1), repeat=len(group)):
            shut = math.prod(passes.get(p, 0.0) for p, state in zip(group, states, strict=True) if state)
            no = shut * (clear if last else 1.0)
            plain.cpt(node)[dict(zip(group, states, strict=True))] = [no, 1 - no]
        before = [node]
