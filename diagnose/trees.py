"""The junction trees of one network: which checks' scopes they hold together, and how they are kept.

A check that looks at several things would tie them into one table though it may never be made. So a
tree holds together only the factors of the network, those scopes that cost less inside the tree than
rows of their own would (see `Reasoner.what_ifs`), and the scopes of the findings that there are.
"""

import hashlib
import json
import threading
from collections.abc import Callable, Iterable, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, field
from math import ceil, prod
from typing import Any, Final, TypeVar

import numpy as np

from diagnose.calibrated import Calibrated
from diagnose.guard import GREEN
from diagnose.junction_tree import JunctionTree
from diagnose.network import Factor, Network
from diagnose.propagation import Kind, Room, Weights
from diagnose.triangulate import MAX_CELLS, total_cells

CHUNK: Final = 64
"""Rows of one batched run: more would not stay in the processor's cache."""

MUCH_WORSE: Final = 1.3
"""Cells of a tree over those of the last one whose order was searched for, from which a better is."""
KEPT: Final = 16
"""Trees that are kept besides the first; the oldest goes first."""

Scope = tuple[str, ...]
Shapes = MutableMapping[str, Any]
"""Where the costly part of a compiled tree is kept: a digest of the network's shape to plain data."""


Read = TypeVar("Read")
_LOCAL: Final = threading.local()


@dataclass
class Compiled:
    """A tree with the network's factors in it."""

    tree: JunctionTree
    network: Network
    searched: int
    """Cells when an order was last searched for: this tree's, or those of the one whose order it has."""
    _prepared: dict[Kind, Weights] = field(default_factory=dict)

    def prepared(self, kind: Kind) -> Weights:
        """The network's factors in the tree, in numbers of this kind."""
        if kind not in self._prepared:
            self._prepared[kind] = self.tree.prepare(self.network.factors, kind)
        return self._prepared[kind]

    def calibrate(self, factors: Iterable[Factor], kind: Kind = np.float64) -> Calibrated:
        """The tree with these findings on it."""
        return self.tree.calibrate(self.prepared(kind), factors)

    def holds(self, scopes: Iterable[Scope]) -> bool:
        """Whether each of the scopes lies in a clique."""
        return all(map(self.tree.holds, scopes))

    def rows(
        self,
        factors: Sequence[Factor],
        chunks: Sequence[Sequence[Factor]],
        read: Callable[[Calibrated], Read],
        kind: Kind = np.float64,
    ) -> list[Read]:
        """What ``read`` takes from the same findings with each chunk's clamps besides, chunks in order."""
        prepared = self.prepared(kind)

        def one(clamps: Sequence[Factor]) -> Read:
            room = self._room(clamps[0].table.shape[-1], kind)
            return read(self.tree.calibrate(prepared, [*factors, *clamps], room))

        return [one(chunk) for chunk in chunks]

    def _room(self, rows: int, kind: Kind) -> Room:
        """Arrays to work in, cut from one long array that all trees of a thread share."""
        size = self.tree.room_size * rows
        buffer = _LOCAL.__dict__.get(kind.__name__)
        if buffer is None or len(buffer) < size:
            buffer = _LOCAL.__dict__[kind.__name__] = np.empty(size, dtype=kind)
        return self.tree.room(rows, kind, buffer[:size])


def clamp_rows(rows: Sequence[Mapping[str, int]], cardinalities: Mapping[str, int]) -> list[list[Factor]]:
    """Factors that give some variables' states in each row; in chunks of at most `CHUNK` rows.

    >>> clamp_rows([{"a": 1}, {}], {"a": 2})[0][0].table.tolist()
    [[0.0, 1.0], [1.0, 1.0]]
    >>> clamp_rows([{}, {}], {"a": 2})[0][0].table.tolist()
    [[1.0, 1.0], [1.0, 1.0]]
    """
    chunks = []
    for places in np.array_split(np.arange(len(rows)), ceil(len(rows) / CHUNK)):
        part = [rows[place] for place in places]
        clamps = []
        # A chunk whose rows give nothing still says how many rows it has.
        for name in dict.fromkeys(name for row in part for name in row) or [next(iter(cardinalities))]:
            table = np.ones((cardinalities[name], len(part)))
            for k, row in enumerate(part):
                if name in row:
                    table[:, k] = 0.0
                    table[row[name], k] = 1.0
            clamps.append(Factor((name,), table))
        chunks.append(clamps)
    return chunks


class Trees:
    """The trees of one network, compiled when they are first needed."""

    def __init__(
        self,
        network: Network,
        looks: Sequence[Scope],
        rows_of: Callable[[Scope], int],
        causes: int,
        shapes: Shapes,
    ) -> None:
        """``looks``: what checks look at. ``rows_of``: rows that a what-if needs for a scope that no clique
        holds; ``causes``: those that it needs anyway.

        Raises `diagnose.triangulate.TooDense` when the network cannot be reasoned over exactly.
        """
        self._network = network
        self._shapes = shapes
        self._scopes = [factor.variables for factor in network.factors]
        self._trees: dict[frozenset[Scope], Compiled] = {}
        key = self._key(looks, causes)
        order, self._married = self._read(shapes.get(key), looks)
        if not order:
            self._married = self._worth_marrying(looks, rows_of, causes)
        base = self._compile(self._married, order)
        self._trees[frozenset()] = base
        self.base = base.tree
        if not order:
            shapes[key] = {"order": self.base.order, "married": [list(scope) for scope in self._married]}

    def holding(self, scopes: Iterable[Scope]) -> Compiled:
        """A tree in which each of the scopes lies in a clique."""
        wanted = frozenset(scope for scope in scopes if len(scope) > 1)
        base = self._trees[frozenset()]
        if base.holds(wanted):
            return base
        made = self._trees.get(wanted) or self._roomy(wanted)
        if made is None:
            if len(self._trees) > KEPT:
                del self._trees[next(key for key in self._trees if key)]
            made = self._trees[wanted] = self._compile_holding(wanted)
        return made

    def _roomy(self, wanted: frozenset[Scope]) -> Compiled | None:
        """A tree that was made for some of what is wanted and holds the rest by chance."""
        fitting = (made for key, made in reversed(self._trees.items()) if key and key < wanted)
        return next((made for made in fitting if made.holds(wanted)), None)

    def _compile_holding(self, wanted: frozenset[Scope]) -> Compiled:
        """A tree in the order of the one that has most in common where that is hardly worse; else in one
        searched for, and kept."""
        # Those too that the first tree holds: it may do so by chance, and another order does not.
        scopes = [*self._married, *sorted(wanted)]
        near = self._trees[max(reversed(self._trees), key=lambda key: 2 * len(key & wanted) - len(key))]
        cells = total_cells(self._network.cardinalities, [*self._scopes, *scopes], near.tree.order)
        if cells <= MUCH_WORSE * near.searched:
            return self._compile(scopes, near.tree.order, near.searched)
        key = self._key(scopes, 0)  # no first tree has no causes
        order, _ = self._read(self._shapes.get(key), scopes)
        found = self._compile(scopes, order)
        if not order:
            self._shapes[key] = {"order": found.tree.order, "married": []}
        return found

    def _compile(
        self, scopes: Sequence[Scope], order: Sequence[str] | None = None, searched: int = 0
    ) -> Compiled:
        tree = JunctionTree(self._network.cardinalities, [*self._scopes, *scopes], MAX_CELLS, order)
        return Compiled(tree, self._network, searched or tree.cells)

    def _worth_marrying(
        self, looks: Sequence[Scope], rows_of: Callable[[Scope], int], causes: int
    ) -> list[Scope]:
        """The scopes that cost less in the tree than the rows that they need outside it, small ones first."""
        cards = self._network.cardinalities
        bare = JunctionTree(cards, self._scopes)
        loose = sorted((s for s in looks if not bare.holds(s)), key=lambda s: prod(cards[n] for n in s))
        rows = causes + sum(map(rows_of, loose))
        cells, married = total_cells(cards, self._scopes, bare.order), list[Scope]()
        for scope in loose:
            more = total_cells(cards, [*self._scopes, *married, scope], bare.order)
            if more * (rows - rows_of(scope)) <= cells * rows and more <= GREEN:
                cells, rows = more, rows - rows_of(scope)
                married.append(scope)
        return married

    def _key(self, looks: Sequence[Scope], causes: int) -> str:
        shape = [list(self._network.cardinalities.items()), self._scopes, looks, causes, CHUNK, GREEN]
        return hashlib.sha256(json.dumps(shape).encode()).hexdigest()

    def _read(self, kept: Any, looks: Sequence[Scope]) -> tuple[list[str] | None, list[Scope]]:
        """What was kept, if it is a whole order of this network's variables; any such order is right."""
        try:
            order, married = list(kept["order"]), [tuple(scope) for scope in kept["married"]]
        except (TypeError, KeyError):
            return None, []
        whole = sorted(map(str, order)) == sorted(self._network.states) and set(married) <= set(looks)
        return (order, married) if whole else (None, [])
