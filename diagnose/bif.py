"""A book as text in the open Bayesian Interchange Format, for general libraries.

What is a node: every cause, condition and unlisted cause (``no``, ``yes``), every check (its outcomes),
every complaint (``no``, ``yes``: it was reported) and every fact that is not known (its values). The
names are the book's ids; helper nodes, which only keep tables small, begin with `HELPER`.
A complaint that is reported is the evidence ``yes``, a finding of a check is the evidence of its outcome,
and a fact's value as evidence is the fact known for certain. The posteriors are then the `Reasoner`'s.
Numbers are written in full; some libraries read them in single precision (pyagrum 3 does).

What the format has no word for, and is not in the text:

- a reading near the edge of a bin, which weighs several outcomes (give it as soft evidence on the check);
- a fact told by somebody who may be wrong: the book's slip for it (soft evidence on the fact);
- a cause looked at and called in order, and what a repair leaves of a cause;
- computed facts and the known ones: the tables hold for the unit that the text was made for;
- minutes, holds, cautions, and so the advice.

Source: F. G. Cozman and others, the Interchange Format for Bayesian Networks, version 0.15, 1998 (from
memory); that general libraries read it is what the tests show.
"""

from collections.abc import Iterator

import numpy as np

from diagnose.bif_nodes import HELPER, nodes_of
from diagnose.compile import Facts
from diagnose.network import Factor, Network, Table
from knowledge.book import Book


def bif_text(book: Book, facts: Facts) -> str:
    """The network of a book for a unit with these known facts, numbers in full."""
    known = ", ".join(f"{name} is {value}" for name, value in sorted(facts.items())) or "nothing"
    head = [
        f"// Made by halfsplit from the book with SHA-256 {book.digest}.",
        f"// Known of the unit, and folded in: {known}.",
        f"// Nodes whose names begin with {HELPER} are not in the book: they keep the tables small.",
    ]
    return "\n".join([*head, *_blocks(nodes_of(book, facts))]) + "\n"


def _blocks(network: Network) -> Iterator[str]:
    yield "network halfsplit {\n}"
    for name, states in network.states.items():
        yield f"variable {name} {{\n  type discrete [ {len(states)} ] {{ {', '.join(states)} }};\n}}"
    for factor in network.factors:
        yield "\n".join(_probability(factor, network))


def _probability(factor: Factor, network: Network) -> Iterator[str]:
    """One block: a row of the child's probabilities for each assignment of its parents."""
    child, *parents = factor.variables
    rows = np.moveaxis(factor.table, 0, -1)
    if not parents:
        yield f"probability ( {child} ) {{"
        yield f"  table {_row(rows)};"
    else:
        yield f"probability ( {child} | {', '.join(parents)} ) {{"
        for index in np.ndindex(*rows.shape[:-1]):
            at = (network.states[name][k] for name, k in zip(parents, index, strict=True))
            yield f"  ({', '.join(at)}) {_row(rows[index])};"
    yield "}"


def _row(chances: Table) -> str:
    return ", ".join(map(repr, chances.tolist()))
