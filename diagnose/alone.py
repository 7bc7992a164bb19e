"""What each check shows when one cause is there and no other: the yardstick of telling causes apart.

With all causes fixed only the conditions are left to chance. A row of the batch is one cause; its links
stand in the gates as one more parent whose probability is the row's own.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from diagnose.compile import LEAK, NO_YES, Compiler, Facts, holds_when, shares, unlisted
from diagnose.gates import Parent, noisy_or
from diagnose.junction_tree import JunctionTree
from diagnose.network import Factor, Table
from knowledge.book import Book

LINKED = "by "
"""Begins the name of the stand-in for a row's cause at one condition; no id of a book can hold it."""


@dataclass(frozen=True)
class Alone:
    """What would be seen of each cause by itself on one kind of unit."""

    causes: Sequence[str]
    shows: Mapping[str, Table]
    """For each check P(outcome | this cause alone), shape (outcomes, causes)."""
    healthy: Mapping[str, Table]
    """For each check P(outcome | nothing is wrong), shape (outcomes,)."""
    reported: Mapping[str, Table]
    """For each complaint P(its condition | this cause alone), shape (causes,)."""


def alone(book: Book, facts: Facts) -> Alone:
    """Exact. ``facts``: every fact of the book must be known; `ValueError` when one is not."""
    compiler = Compiler(book, facts)
    if compiler.unknown:
        raise ValueError(f"not known: {', '.join(compiler.unknown)}")
    causes = list(book.causes)
    parents, rows = compiler.parents, {name: k for k, name in enumerate(causes)}
    count = len(causes) + 1  # the last row is of a unit with nothing wrong
    skipped = {unlisted(name) for name in book.complaints}
    factors, by_row = [], []
    for name in book.conditions:
        own = [parent for parent in parents[name] if parent.name in book.conditions]
        linked = [p for p in parents[name] if p.name not in book.conditions and p.name not in skipped]
        if linked:
            own.append(Parent(LINKED + name, (), np.array(1.0)))
            there = np.zeros(count)
            for parent in linked:
                there[rows[parent.name]] = parent.strength
            by_row.append(Factor((LINKED + name,), np.stack([1 - there, there])))
        factors += noisy_or(name, own, LEAK)
    scopes = {name: _conditions_of(compiler, name) for name in book.checks}
    states = {part: NO_YES for factor in [*factors, *by_row] for part in factor.variables}
    tree = JunctionTree(
        {name: len(both) for name, both in states.items()},
        [*(factor.variables for factor in factors), *(scope for scope in scopes.values() if scope)],
    )
    done = tree.calibrate(tree.prepare(factors), by_row)
    shown = {}
    for name, scope in scopes.items():
        joint = done.joint(scope) if scope else np.ones(count)
        shown[name] = _shown(compiler, name, scope, np.broadcast_to(joint, (2,) * len(scope) + (count,)))
    reported = {
        name: np.broadcast_to(done.joint((entry.of,))[1], (count,))[:-1]
        for name, entry in book.complaints.items()
    }
    shows = {name: table[:, :-1] for name, table in shown.items()}
    return Alone(causes, shows, {name: table[:, -1] for name, table in shown.items()}, reported)


def _conditions_of(compiler: Compiler, check: str) -> tuple[str, ...]:
    return tuple(part for part in compiler.scope_of_check(check) if part in compiler.book.conditions)


def _shown(compiler: Compiler, name: str, scope: Sequence[str], joint: Table) -> Table:
    """P(outcome | each cause alone), from P(conditions | each cause alone), shape (2, ..., causes)."""
    book = compiler.book
    check = book.checks[name]
    rows = [row for row in check.shows if holds_when(row.when, compiler.known)]
    looked_at = {given for row in rows for given in row.given if given in book.causes}
    out = np.zeros((len(check.outcomes), joint.shape[-1]))
    for on in product((0, 1), repeat=len(scope)):
        there = {part for part, bit in zip(scope, on, strict=True) if bit}
        first = next(row for row in rows if there.issuperset(row.given))
        out += np.outer(shares(check, first), joint[on])
        for cause in looked_at:
            own = next(row for row in rows if (there | {cause}).issuperset(row.given))
            if own is not first:
                k = list(book.causes).index(cause)
                out[:, k] += (shares(check, own) - shares(check, first)) * joint[on][k]
    return out
