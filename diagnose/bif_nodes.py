"""A book as a plain Bayesian network: one node for each thing, P(node | parents), nothing negative.

The network that beliefs are worked out on (`diagnose.compile`) writes a noisy-OR with a negative number
and keeps checks apart. Here every factor is a probability table of its first variable given the others,
which any library can take. A gate with many parents is a chain of helper nodes, each the OR of the one
before it and of a few more parents, each parent let through with its strength (divorcing the parents).

Source: Jensen & Nielsen, Bayesian Networks and Decision Graphs, for divorcing (from memory); the law is
that every posterior equals the compiled network's.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from graphlib import TopologicalSorter
from typing import Final

import numpy as np

from diagnose.compile import LEAK, NO_YES, Compiler, Facts, all_causes
from diagnose.gates import Parent
from diagnose.network import Factor, Network, Table
from knowledge.book import Book
from knowledge.words import strength

HELPER: Final = "_helper_"
"""Begins the names of helper nodes; an id of a book begins with a letter."""
WIDTH: Final = 4
"""Parents, the facts that their strengths hang on among them, up to which a gate is one plain table."""
RESERVED: Final = frozenset(
    {"network", "variable", "probability", "property", "type", "discrete", "default", "table"}
)
"""The words of the Interchange Format, which can name neither a node nor a state."""


def nodes_of(book: Book, facts: Facts) -> Network:
    """The network of a book for a unit with these known facts, parents before children.

    Of each factor's table the first axis is the node, the others its parents in order; the sum over the
    first axis is 1. Known facts and computed facts are folded in and are no nodes.
    """
    compiler = Compiler(book, facts)
    inner, looks = _names(book, compiler.unknown)
    factors = [*_facts(compiler), *map(compiler.prior, all_causes(book))]
    parents = compiler.parents
    for condition in _ordered({name: [p.name for p in parents[name]] for name in book.conditions}):
        factors += _gate(condition, parents[condition])
    nodes = [_renamed(factor, inner) for factor in factors]
    nodes += [_renamed(_complaint(book, name), inner, looks[name]) for name in book.complaints]
    nodes += [_renamed(compiler.likelihoods(name), inner, looks[name]) for name in book.checks]
    states: dict[str, tuple[str, ...]] = {factor.variables[0]: NO_YES for factor in nodes}
    states |= {inner[name]: _legal(values) for name, values in compiler.unknown.items()}
    states |= {looks[name]: _legal(check.outcomes) for name, check in book.checks.items()}
    return Network(states, tuple(nodes))


def _names(book: Book, unknown: Iterable[str]) -> tuple[dict[str, str], dict[str, str]]:
    """Names of (facts, causes and conditions; checks and complaints), by id.

    A node has its id. Only a word of the format, and an unlisted cause whose name a check has, give way.
    """
    ids = [*unknown, *book.causes, *book.conditions, *book.checks, *book.complaints]
    behind = all_causes(book)[len(book.causes) :]
    free = _legal([*ids, *behind])
    named = dict(zip(ids, free, strict=False))
    looks = {name: named.pop(name) for name in (*book.checks, *book.complaints)}
    return {**named, **dict(zip(behind, free[len(ids) :], strict=True))}, looks


def _legal(names: Iterable[str]) -> tuple[str, ...]:
    """The names, with an underscore after each that is a word of the format or stands there already.

    >>> _legal(["none", "table", "none"])
    ('none', 'table_', 'none_')
    """
    wanted = list(names)
    taken: list[str] = []
    for place, name in enumerate(wanted):
        legal = name
        while legal in RESERVED or legal in taken or (legal != name and legal in wanted[place:]):
            legal += "_"
        taken.append(legal)
    return tuple(taken)


def _renamed(factor: Factor, inner: Mapping[str, str], first: str = "") -> Factor:
    names = [inner.get(name, name) for name in factor.variables]
    return Factor((first or names[0], *names[1:]), factor.table)


def _ordered(after: Mapping[str, Iterable[str]]) -> list[str]:
    """The names in an order in which each comes after those that it hangs on."""
    return [name for name in TopologicalSorter(after).static_order() if name in after]


def _facts(compiler: Compiler) -> list[Factor]:
    """P(unknown fact | other unknown facts), with what the known facts tell of the unknown ones in it.

    From the last fact to the first: all factors that hold it, multiplied, are its table but for a factor
    that only the facts before it know; that one goes on to them.
    """
    left = [factor for factor in compiler.network().factors if set(factor.variables) <= set(compiler.unknown)]
    shares = {name: fact.prior for name, fact in compiler.book.facts.items()}
    order = _ordered({name: {f for row in rows for f in row.when or {}} for name, rows in shares.items()})
    tables: list[Factor] = []
    for name in reversed([name for name in order if name in compiler.unknown]):
        mine = [factor for factor in left if name in factor.variables]
        left = [factor for factor in left if name not in factor.variables]
        others = tuple(dict.fromkeys(other for f in mine for other in f.variables if other != name))
        product = _product(mine, (name, *others))
        total = product.sum(axis=0)
        tables.append(Factor((name, *others), product / total))
        if len(mine) > 1:
            left.append(Factor(others, total))
    return tables[::-1]


def _product(factors: Sequence[Factor], scope: Sequence[str]) -> Table:
    """The product of some factors, axes in the order of the scope."""
    arguments: list[object] = []
    for factor in factors:
        arguments += [factor.table, [scope.index(name) for name in factor.variables]]
    return np.asarray(np.einsum(*arguments, list(range(len(scope)))))  # type: ignore[call-overload]


def _complaint(book: Book, name: str) -> Factor:
    """P(reported | condition), axes (complaint, condition)."""
    entry = book.complaints[name]
    yes = np.array([entry.false_report, strength(entry.reported)])
    return Factor((name, entry.of), np.stack([1 - yes, yes]))


def _gate(condition: str, parents: Sequence[Parent]) -> Iterator[Factor]:
    """The nodes of one leaky noisy-OR: its helpers, then the condition."""
    *groups, last = _groups(parents)
    before: list[Parent] = []
    for number, group in enumerate(groups, 1):
        helper = f"{HELPER}{number}_of_{condition}"
        yield _or(helper, [*before, *group], 0.0)
        before = [Parent(helper, (), np.array(1.0))]
    yield _or(condition, [*before, *last], LEAK)


def _groups(parents: Sequence[Parent]) -> list[list[Parent]]:
    """The parents in groups that, with their facts and the helper before them, are no wider than `WIDTH`."""
    groups: list[list[Parent]] = [[]]
    for parent in sorted(parents, key=lambda parent: parent.facts):
        more = [*groups[-1], parent]
        facts = {fact for one in more for fact in one.facts}
        if groups[-1] and len(more) + len(facts) + (len(groups) > 1) > WIDTH:
            groups.append([parent])
        else:
            groups[-1] = more
    return groups


def _or(child: str, parents: Sequence[Parent], leak: float) -> Factor:
    """P(child | parents, facts) written out, axes (child, *parents, *facts)."""
    facts = tuple(dict.fromkeys(fact for parent in parents for fact in parent.facts))
    scope = (*(parent.name for parent in parents), *facts)
    spared = [
        Factor((parent.name, *parent.facts), np.stack([np.ones_like(parent.strength), 1 - parent.strength]))
        for parent in parents
    ]
    off = (1 - leak) * _product(spared, scope) if spared else np.array(1 - leak)
    return Factor((child, *scope), np.stack([off, 1 - off]))
