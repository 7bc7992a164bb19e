"""The book's arithmetic written out the long way, to judge the quick one by.

Two oracles share the local probabilities below, none of which comes from `diagnose` but its constants:
`enumerate_book` sums over every assignment of everything, and `agrum_of` builds the network in pyagrum.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product
from typing import Any

import numpy as np

from diagnose.compile import LEAK, MAX_BASE
from diagnose.evidence import Evidence
from diagnose.network import Network
from diagnose.reasoner import LOOK_SLIP
from knowledge.book import Book
from knowledge.words import STRENGTHS, UNKNOWN

Values = Mapping[str, str]


def number(value: str | float) -> float:
    """A strength as a probability."""
    return STRENGTHS[value] if isinstance(value, str) else value


def holds(when: Mapping[str, list[str]] | None, values: Values) -> bool:
    """Whether every fact named has one of the values named."""
    return when is None or all(values.get(fact, UNKNOWN) in wanted for fact, wanted in when.items())


def base_of(book: Book, name: str, values: Values, remains: Mapping[str, float]) -> float:
    """P(cause) for a unit with these facts, after the repairs."""
    left = remains.get(name, 1.0)
    if name not in book.causes:
        return book.complaints[name.removeprefix("unlisted_")].unlisted / 1000 * book.coincidence * left
    entry = book.causes[name]
    bases, chance, times = [], None, 1.0
    for row in entry.more_likely:
        if holds(row.when, values):
            bases += [] if row.base is None else [row.base]
            if row.chance is not None and chance is None:
                chance = row.chance
            times *= row.times or 1.0
    rate = bases[0] if bases else entry.base
    there = rate / 1000 * book.coincidence if chance is None else chance
    return min(MAX_BASE, there * times) * left


def links_to(book: Book, condition: str) -> list[tuple[str, list[Any]]]:
    """(parent, rows of its link) of a condition, the unlisted causes too."""
    found: list[tuple[str, list[Any]]] = []
    for name, entry in [*book.causes.items(), *book.conditions.items()]:
        if condition in entry.leads_to:
            found.append((name, list(entry.leads_to[condition])))
    return found + [(f"unlisted_{n}", []) for n, c in book.complaints.items() if c.of == condition]


def strength_of(rows: Sequence[Any], values: Values) -> float:
    """Strength of a link for a unit with these facts; an unlisted cause's link has no rows."""
    if not rows:
        return STRENGTHS["always"]
    return next((number(row.strength) for row in rows if holds(row.when, values)), 0.0)


def chances(book: Book, name: str, there: set[str], values: Values) -> list[float]:
    """P(each outcome of a check) when exactly these causes and conditions are there."""
    check = book.checks[name]
    row = next(r for r in check.shows if set(r.given) <= there and holds(r.when, values))
    named = {outcome: number(s) for outcome, s in row.then.items()}
    left, others = 1 - sum(named.values()), len(check.outcomes) - len(named)
    if left <= 0 or not others:
        raw = [named.get(o, 0.0) / sum(named.values()) for o in check.outcomes]
    else:
        raw = [named.get(o, left / others) for o in check.outcomes]
    return [(1 - check.slip) * p + check.slip / len(check.outcomes) for p in raw]


def fact_chance(book: Book, name: str, values: Values) -> float:
    """P(this fact has its value, given the other facts)."""
    row = next(row for row in book.facts[name].prior if holds(row.when, values))
    return row.share[values[name]]


def look_at_fact(book: Book, name: str, true: str, said: str) -> float:
    """P(somebody says this value of a fact, when another or the same is true)."""
    slip, size = book.facts[name].slip, len(book.facts[name].values)
    return (1 - slip) * (true == said) + slip / size


def everything(book: Book) -> list[str]:
    """Causes, unlisted causes, then conditions."""
    return [*book.causes, *(f"unlisted_{name}" for name in book.complaints), *book.conditions]


def _fact_values(book: Book, known: Values) -> Iterator[dict[str, str]]:
    choices = [[known[name]] if name in known else list(fact.values) for name, fact in book.facts.items()]
    for picked in product(*choices):
        yield dict(zip(book.facts, picked, strict=True))


def _worlds(book: Book, known: Values, remains: Mapping[str, float]) -> Iterator[tuple[Any, set[str], float]]:
    """(facts, what is there, probability) of every assignment of everything."""
    names = everything(book)
    roots = names[: len(names) - len(book.conditions)]
    links = {name: links_to(book, name) for name in book.conditions}
    for values in _fact_values(book, known):
        of_facts = float(np.prod([fact_chance(book, name, values) for name in book.facts]))
        base = {name: base_of(book, name, values, remains) for name in roots}
        pull = {c: [(p, strength_of(rows, values)) for p, rows in links[c]] for c in links}
        for bits in product((False, True), repeat=len(names)):
            there = {name for name, bit in zip(names, bits, strict=True) if bit}
            weight = of_facts
            for name in roots:
                weight *= base[name] if name in there else 1 - base[name]
            for name in book.conditions:
                off = (1 - LEAK) * float(np.prod([1 - s for p, s in pull[name] if p in there]))
                weight *= 1 - off if name in there else off
            yield values, there, weight


def _fits(book: Book, evidence: Evidence, known: Values, values: Values, there: set[str]) -> float:
    """P(the findings | everything)."""
    weight = 1.0
    for name in evidence.complaints:
        entry = book.complaints[name]
        weight *= number(entry.reported) if entry.of in there else entry.false_report
    for name, answer in evidence.findings.items():
        if name in book.checks:
            weight *= chances(book, name, there, values)[list(book.checks[name].outcomes).index(answer)]
        elif name not in known:
            weight *= look_at_fact(book, name, values[name], answer)
    for cause in evidence.in_order:
        weight *= LOOK_SLIP if cause in there else 1 - LOOK_SLIP
    return weight


def enumerate_book(book: Book, known: Values, evidence: Evidence) -> tuple[dict[str, float], float]:
    """(P(cause or condition | findings, known facts), P(findings | known facts)), by summing everything."""
    names = everything(book)
    sums, total, of_known = np.zeros(len(names)), 0.0, 0.0
    for values, there, weight in _worlds(book, known, evidence.remains):
        of_known += weight
        weight *= _fits(book, evidence, known, values, there)
        total += weight
        sums += weight * np.array([name in there for name in names])
    return dict(zip(names, (sums / total).tolist(), strict=True)), total / of_known


def enumerate_network(network: Network, asked: Sequence[str]) -> np.ndarray:
    """Unnormalised joint weight of the variables asked, axes in order, by one sum over the whole table."""
    letters = {name: k for k, name in enumerate(network.states)}
    arguments: list[Any] = []
    for factor in network.factors:
        arguments += [factor.table, [letters[name] for name in factor.variables]]
    return np.einsum(*arguments, [letters[name] for name in asked])


def agrum_of(book: Book, known: Values, evidence: Evidence) -> tuple[Any, dict[str, str]]:
    """(the network in pyagrum, what is observed in it), with one node for each finding.

    Every fact is a node; the known ones are observed for certain, so that folding is judged too.
    A gate is pyagrum's noisy-OR net (the leaky noisy-OR); a link that depends on facts goes through
    a node of its own that says whether the link acts.
    """
    import pyagrum as gum

    net = gum.BayesNet()
    for name, entry in book.facts.items():
        net.add(gum.LabelizedVariable(name, name, list(entry.values)))
    for name in everything(book)[: -len(book.conditions)]:
        net.add(gum.LabelizedVariable(name, name, ["no", "yes"]))
    for name in book.conditions:
        net.addNoisyORNet(gum.LabelizedVariable(name, name, ["no", "yes"]), LEAK)
    observed = {**dict.fromkeys(book.computed, UNKNOWN), **known}
    for name in book.computed:
        net.add(gum.LabelizedVariable(name, name, values_of(book)[name]))
        net.cpt(name).fillWith(1.0).normalize()
    for name in book.facts:
        others = _named(row.when for row in book.facts[name].prior)
        _fill(net, book, name, others, lambda v, _, n=name: _fact_row(book, n, v))
    for name in everything(book)[: -len(book.conditions)]:
        rows = book.causes[name].more_likely if name in book.causes else []
        base = lambda v, _, n=name: base_of(book, n, v, evidence.remains)  # noqa: E731
        _fill(net, book, name, _named(row.when for row in rows), lambda v, t, f=base: [1 - f(v, t), f(v, t)])
    for name in book.conditions:
        for parent, rows in links_to(book, name):
            _link(net, book, name, parent, rows)
    for name in evidence.complaints:
        node, entry = f"said_{name}", book.complaints[name]
        net.add(gum.LabelizedVariable(node, node, ["no", "yes"]))
        yes = lambda _, t, e=entry: number(e.reported) if e.of in t else e.false_report  # noqa: E731
        _fill(net, book, node, [entry.of], lambda v, t, f=yes: [1 - f(v, t), f(v, t)])
        observed[node] = "yes"
    for name, answer in evidence.findings.items():
        node = f"saw_{name}"
        if name in book.checks:
            shows = book.checks[name].shows
            net.add(gum.LabelizedVariable(node, node, list(book.checks[name].outcomes)))
            parents = [*dict.fromkeys(g for r in shows for g in r.given), *_named(r.when for r in shows)]
            _fill(net, book, node, parents, lambda v, t, n=name: chances(book, n, t, v))
            observed[node] = answer
        elif name not in known:
            said = list(book.facts[name].values)
            net.add(gum.LabelizedVariable(node, node, said))
            row = lambda v, _, n=name, s=said: [look_at_fact(book, n, v[n], a) for a in s]  # noqa: E731
            _fill(net, book, node, [name], row)
            observed[node] = answer
    for name in evidence.in_order:
        node = f"sound_{name}"
        net.add(gum.LabelizedVariable(node, node, ["no", "yes"]))
        slip = lambda _, t, n=name: [1 - LOOK_SLIP, LOOK_SLIP] if n in t else [LOOK_SLIP, 1 - LOOK_SLIP]  # noqa: E731
        _fill(net, book, node, [name], slip)
        observed[node] = "yes"
    return net, observed


def values_of(book: Book) -> dict[str, list[str]]:
    """The values of every fact, those included that are worked out, which may be unknown."""
    values = {name: list(fact.values) for name, fact in book.facts.items()}
    return values | {name: [*fact.values, UNKNOWN] for name, fact in book.computed.items()}


def _named(whens: Iterable[Mapping[str, Any] | None]) -> list[str]:
    return list(dict.fromkeys(fact for when in whens for fact in when or {}))


def _fact_row(book: Book, name: str, values: Values) -> list[float]:
    return [fact_chance(book, name, {**values, name: value}) for value in book.facts[name].values]


def _fill(net: Any, book: Book, node: str, parents: Sequence[str], row: Any) -> None:
    """Arcs from the parents, and a table whose rows come from row(facts, what is there)."""
    for parent in parents:
        net.addArc(parent, node)
    values = values_of(book)
    labels = [values.get(parent, ["no", "yes"]) for parent in parents]
    for picked in product(*labels):
        at = dict(zip(parents, picked, strict=True))
        there = {name for name, value in at.items() if name not in values and value == "yes"}
        net.cpt(node)[at] = row(at, there)


def _link(net: Any, book: Book, condition: str, parent: str, rows: Sequence[Any]) -> None:
    import pyagrum as gum

    facts = _named(row.when for row in rows)
    if not facts:
        net.addWeightedArc(parent, condition, strength_of(rows, {}))
        return
    node = f"{parent}_to_{condition}"
    net.add(gum.LabelizedVariable(node, node, ["no", "yes"]))
    acts = lambda v, t: strength_of(rows, v) if parent in t else 0.0  # noqa: E731
    _fill(net, book, node, [parent, *facts], lambda v, t: [1 - acts(v, t), acts(v, t)])
    net.addWeightedArc(node, condition, 1.0)


def agrum_beliefs(book: Book, known: Values, evidence: Evidence) -> dict[str, float]:
    """P(cause | findings) of every cause, by pyagrum's exact inference."""
    import pyagrum as gum

    net, observed = agrum_of(book, known, evidence)
    engine = gum.LazyPropagation(net)
    engine.setEvidence(observed)
    names = everything(book)[: -len(book.conditions)]
    for name in names:
        engine.addTarget(name)
    engine.makeInference()
    return {name: float(engine.posterior(name)[1]) for name in names}
