"""The junction trees of one network: which checks' scopes they hold together, and how they are kept.

A check that looks at several things would tie them into one table though it may never be made. So a
tree holds together only the factors of the network, those scopes that cost less inside the tree than
rows of their own would (see `Reasoner.what_ifs`), and the scopes of the findings that there are.
"""

import hashlib
import json
import threading
from collections.abc import Iterable, Iterator, Mapping, MutableMapping, Sequence
from dataclasses import dataclass, field
from math import ceil, prod
from typing import Any, Final

import numpy as np

from diagnose.guard import GREEN
from diagnose.junction_tree import Calibrated, JunctionTree
from diagnose.network import Factor, Network
from diagnose.propagation import Kind, Room, Weights
from diagnose.triangulate import MAX_CELLS, total_cells

CHUNK: Final = 48
"""Rows of one batched run: more would not stay in the processor's cache."""

Scope = tuple[str, ...]
Shapes = MutableMapping[str, Any]
"""Where the costly part of a compiled tree is kept: a digest of the network's shape to plain data."""


@dataclass
class Compiled:
    """A tree with the network's factors in it."""

    tree: JunctionTree
    network: Network
    _prepared: dict[Kind, Weights] = field(default_factory=dict)
    _local: threading.local = field(default_factory=threading.local)

    def prepared(self, kind: Kind) -> Weights:
        """The network's factors in the tree, in numbers of this kind."""
        if kind not in self._prepared:
            self._prepared[kind] = self.tree.prepare(self.network.factors, kind)
        return self._prepared[kind]

    def calibrate(self, factors: Iterable[Factor], kind: Kind = np.float64) -> Calibrated:
        """The tree with these findings on it."""
        return self.tree.calibrate(self.prepared(kind), factors)

    def rows(
        self, factors: Sequence[Factor], chunks: Iterable[Sequence[Factor]], kind: Kind = np.float64
    ) -> Iterator[Calibrated]:
        """The same findings with the clamps of each chunk besides; what comes is spoiled by the next."""
        prepared = self.prepared(kind)
        for clamps in chunks:
            room = self._room(clamps[0].table.shape[-1], kind)
            yield self.tree.calibrate(prepared, [*factors, *clamps], room)

    def _room(self, rows: int, kind: Kind) -> Room:
        """Arrays to work in, each thread its own."""
        rooms: dict[tuple[int, Kind], Room] = self._local.__dict__.setdefault("rooms", {})
        if (rows, kind) not in rooms:
            rooms[rows, kind] = self.tree.room(rows, kind)
        return rooms[rows, kind]


def clamp_rows(rows: Sequence[Mapping[str, int]], cardinalities: Mapping[str, int]) -> list[list[Factor]]:
    """Factors that give some variables' states in each row; in chunks of at most `CHUNK` rows.

    >>> clamp_rows([{"a": 1}, {}], {"a": 2})[0][0].table.tolist()
    [[0.0, 1.0], [1.0, 1.0]]
    """
    chunks = []
    for places in np.array_split(np.arange(len(rows)), ceil(len(rows) / CHUNK)):
        part = [rows[place] for place in places]
        clamps = []
        for name in dict.fromkeys(name for row in part for name in row):
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

    def __init__(self, network: Network, looks: Iterable[Scope], causes: int, shapes: Shapes) -> None:
        """``looks``: what each check looks at. ``causes``: number of rows that a what-if needs anyway.

        Raises `diagnose.triangulate.TooDense` when the network cannot be reasoned over exactly.
        """
        self._network = network
        self._scopes = [factor.variables for factor in network.factors]
        self._trees: dict[frozenset[Scope], Compiled] = {}
        looks = list(dict.fromkeys(looks))
        key = self._key(looks, causes)
        order, self._married = self._read(shapes.get(key), looks)
        if not order:
            self._married = self._worth_marrying(looks, causes)
        base = self._compile(self._married, order)
        self._trees[frozenset()] = base
        self.base = base.tree
        if not order:
            shapes[key] = {"order": self.base.order, "married": [list(scope) for scope in self._married]}

    def holding(self, scopes: Iterable[Scope]) -> Compiled:
        """A tree in which each of the scopes lies in a clique."""
        missing = frozenset(scope for scope in scopes if not self.base.holds(scope))
        if missing not in self._trees:
            self._trees[missing] = self._compile([*self._married, *sorted(missing)])
        return self._trees[missing]

    def _compile(self, scopes: Sequence[Scope], order: Sequence[str] | None = None) -> Compiled:
        tree = JunctionTree(self._network.cardinalities, [*self._scopes, *scopes], MAX_CELLS, order)
        return Compiled(tree, self._network)

    def _worth_marrying(self, looks: Sequence[Scope], causes: int) -> list[Scope]:
        """The scopes that cost less in the tree than a row for each of their states, small ones first."""
        cards = self._network.cardinalities
        bare = JunctionTree(cards, self._scopes)
        loose = sorted((s for s in looks if not bare.holds(s)), key=lambda s: prod(cards[n] for n in s))
        rows = causes + sum(prod(cards[name] for name in scope) for scope in loose)
        cells, married = total_cells(cards, self._scopes, bare.order), list[Scope]()
        for scope in loose:
            own = prod(cards[name] for name in scope)
            more = total_cells(cards, [*self._scopes, *married, scope], bare.order)
            if more * (rows - own) <= cells * rows and more <= GREEN:
                cells, rows = more, rows - own
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
