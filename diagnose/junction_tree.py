"""Exact beliefs on a junction tree (Shafer-Shenoy, without division).

The idea: every node of the tree (see `diagnose.clique_tree`) multiplies the factors that fall inside
it. Messages, sums over what the neighbour does not know, run once towards the root and once back; then
every node holds the joint weight of its own variables and everything that was found, and any marginal
is one sum away.

All tables lie end to end in one array, sorted by depth, so that one step of numpy works on all nodes of
a depth at once. The batch axis is last: a column is one set of findings.

No division is used, so zeros and the negative entries of rank-one gates do no harm.

Sources: Shafer & Shenoy 1990; Lauritzen & Spiegelhalter 1988 (both cited from memory).
"""

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from itertools import accumulate, groupby, pairwise
from math import prod

import numpy as np

from diagnose.calibrated import Calibrated
from diagnose.clique_tree import Node, rooted
from diagnose.layout import Pattern, cells_of, order_of
from diagnose.network import Factor, Network
from diagnose.propagation import Index, Kind, Level, Room, Side, Sums, Weights, propagate
from diagnose.triangulate import MAX_CELLS, cliques


class JunctionTree:
    """The compiled shape of a network: depends on its variables and scopes, never on its numbers."""

    def __init__(
        self,
        cardinalities: Mapping[str, int],
        scopes: Iterable[Sequence[str]],
        max_cells: int = MAX_CELLS,
        order: Sequence[str] | None = None,
    ) -> None:
        """``order``: an elimination order to use instead of searching for one.

        Raises `diagnose.triangulate.TooDense` when a clique would pass ``max_cells`` table cells.
        """
        self._cards = dict(cardinalities)
        self.cliques, self.order = cliques(cardinalities, scopes, max_cells, order)
        self._homes: dict[frozenset[str], int] = {}
        self._laid: dict[tuple[str, ...], tuple[slice, Index]] = {}
        self._columns: dict[tuple[str, ...], list[tuple[Index, Index, Index]]] = {}

    # What follows is laid out when it is first needed: many a tree is only asked what it holds.

    @cached_property
    def nodes(self) -> list[Node]:
        """The nodes, sorted by depth."""
        return rooted(self.cliques, self._cards)

    @cached_property
    def _shapes(self) -> list[tuple[int, ...]]:
        return [tuple(self._cards[name] for name in node.variables) for node in self.nodes]

    @cached_property
    def _first(self) -> list[int]:
        """Where each node's cells begin."""
        return _ends(prod(shape) for shape in self._shapes)

    @cached_property
    def _message(self) -> list[int]:
        """Where each node's message to its parent begins."""
        return _ends(
            prod(shape[: node.separator]) for shape, node in zip(self._shapes, self.nodes, strict=True)
        )

    @cached_property
    def roots(self) -> int:
        """Number of separate trees; their roots come first among the nodes."""
        return sum(node.depth == 0 for node in self.nodes)

    @cached_property
    def tops(self) -> list[int]:
        """The root of each node's tree."""
        tops = list(range(len(self.nodes)))
        for i, node in enumerate(self.nodes):
            for child in node.children:
                tops[child] = tops[i]
        return tops

    @cached_property
    def _at(self) -> dict[str, list[int]]:
        """The nodes that hold each variable."""
        at: dict[str, list[int]] = {}
        for i, node in enumerate(self.nodes):
            for name in node.variables:
                at.setdefault(name, []).append(i)
        return at

    @cached_property
    def _cliques_at(self) -> dict[str, list[frozenset[str]]]:
        """The cliques that hold each variable."""
        at: dict[str, list[frozenset[str]]] = {}
        for clique in map(frozenset, self.cliques):
            for name in clique:
                at.setdefault(name, []).append(clique)
        return at

    @cached_property
    def _levels(self) -> list[Level]:
        return [self._level(list(nodes)) for _, nodes in groupby(range(len(self.nodes)), self._depth)]

    @classmethod
    def of(cls, network: Network) -> "JunctionTree":
        """The tree of a network."""
        return cls(network.cardinalities, network.scopes)

    @property
    def cells(self) -> int:
        """Table cells of all cliques together: what a pass over the tree costs."""
        return sum(prod(self._cards[name] for name in clique) for clique in self.cliques)

    def _depth(self, node: int) -> int:
        return self.nodes[node].depth

    def _span(self, node: int) -> slice:
        return slice(self._first[node], self._first[node + 1])

    def _level(self, nodes: Sequence[int]) -> Level:
        sums = []
        for (_, run), same in groupby(nodes, lambda i: (len(self.nodes[i].children), self._run(i))):
            group = list(same)
            to = slice(self._message[group[0]], self._message[group[-1] + 1])
            sums.append(Sums(self._first[group[0]], self._first[group[-1] + 1], run, to))
        sides = [self._side(nodes, k) for k in (0, 1) if len(self.nodes[nodes[0]].children) > k]
        return Level(self._first[nodes[0]], self._first[nodes[-1] + 1], tuple(sums), tuple(sides))

    def _run(self, node: int) -> int:
        """How many of the node's cells go into each cell of its message."""
        return prod(self._shapes[node][self.nodes[node].separator :])

    def _side(self, nodes: Sequence[int], side: int) -> Side:
        parents = [i for i in nodes if len(self.nodes[i].children) > side]
        messages, orders = [], []
        groups: dict[int, list[tuple[Index, Index]]] = {}
        for parent in parents:
            child = self.nodes[parent].children[side]
            start, end = self._message[child], self._message[child + 1]
            pattern = self._pattern(parent, self.nodes[child].shared)
            index, order = cells_of(*pattern), order_of(*pattern)
            messages.append(start + index)
            order = order + (self._first[parent] - self._first[nodes[0]])
            groups.setdefault(len(index) // (end - start), []).append((order, np.arange(start, end)))
        sums, at = [], 0
        for run, members in groups.items():
            order = np.concatenate([cells for cells, _ in members])
            orders.append(order)
            sums.append(Sums(at, at + len(order), run, np.concatenate([to for _, to in members])))
            at += len(order)
        last = self._first[parents[-1] + 1]
        return Side(last, np.concatenate(messages), np.concatenate(orders), tuple(sums))

    def _pattern(self, node: int, variables: Sequence[str]) -> Pattern:
        """How a table over some of a node's variables lies in it."""
        names = self.nodes[node].variables
        return self._shapes[node], tuple(names.index(name) for name in variables)

    def home(self, variables: Iterable[str]) -> int:
        """Number of the smallest node that holds all of the variables; `KeyError` when none does."""
        wanted = frozenset(variables)
        if wanted not in self._homes:
            holding = [i for i in self._near(wanted) if wanted.issubset(self.nodes[i].variables)]
            if not holding:
                raise KeyError(f"no clique holds {', '.join(sorted(wanted))} together")
            self._homes[wanted] = min(holding, key=lambda i: self._first[i + 1] - self._first[i])
        return self._homes[wanted]

    def holds(self, variables: Iterable[str]) -> bool:
        """Whether some clique holds all of the variables."""
        wanted = frozenset(variables)
        if not wanted:
            return bool(self.cliques)
        near = min((self._cliques_at.get(name, []) for name in wanted), key=len)
        return any(map(wanted.issubset, near))

    def _near(self, wanted: frozenset[str]) -> Iterable[int]:
        if not wanted:
            return range(len(self.nodes))
        return min((self._at.get(name, []) for name in wanted), key=len)

    def _lay(self, variables: tuple[str, ...]) -> tuple[slice, Index]:
        """The cells of the home of a table, and for each of them the table's cell."""
        if variables not in self._laid:
            node = self.home(variables)
            self._laid[variables] = self._span(node), cells_of(*self._pattern(node, variables))
        return self._laid[variables]

    def spread(self, totals: Weights) -> float:
        """Largest relative difference between a node's total and its root's.

        ``totals``: shape (message cells, rows), the weight of each cell of what a node shares.
        """
        own = np.add.reduceat(totals, self._message[:-1], axis=0)
        with np.errstate(divide="ignore", invalid="ignore"):
            off = np.abs(own / own[self.tops] - 1)
        return float(np.nan_to_num(off, nan=np.inf).max())

    def summed(self, beliefs: Weights, variables: Sequence[str]) -> Weights:
        """The weights of some variables, summed in their home: axes in the order given, rows last."""
        node = self.home(variables)
        names = self.nodes[node].variables
        table = beliefs[self._span(node)].reshape((*self._shapes[node], beliefs.shape[1]))
        kept = [name for name in names if name in variables]
        table = table.sum(axis=tuple(k for k, name in enumerate(names) if name not in variables))
        return np.asarray(table.transpose((*(kept.index(name) for name in variables), len(kept))))

    def columns(self, variables: tuple[str, ...]) -> list[tuple[Index, Index, Index]]:
        """Where the last states of single variables are read: for each size of home, (places in
        ``variables``, cells of shape (places, cells), roots of the homes)."""
        if variables not in self._columns:
            groups: dict[int, list[tuple[int, Index, int]]] = {}
            for place, name in enumerate(variables):
                node = self.home((name,))
                axis = self.nodes[node].variables.index(name)
                own = np.arange(self._first[node], self._first[node + 1]).reshape(self._shapes[node])
                cells = own.take(-1, axis=axis).ravel()
                groups.setdefault(len(cells), []).append((place, cells, self.tops[node]))
            self._columns[variables] = [
                (np.array(places), np.stack(cells), np.array(tops))
                for places, cells, tops in (zip(*members, strict=True) for members in groups.values())
            ]
        return self._columns[variables]

    def prepare(self, factors: Iterable[Factor], kind: Kind = np.float64) -> Weights:
        """The product of the factors in every cell, to be handed to `calibrate` any number of times.

        ``kind``: the number type of everything that is computed from it.
        """
        weights = np.ones((self._first[-1], 1), dtype=kind)
        self._multiply(weights, factors)
        return weights

    def _multiply(self, weights: Weights, factors: Iterable[Factor]) -> None:
        for factor in factors:
            cells, index = self._lay(factor.variables)
            rows = factor.table.shape[-1] if factor.table.ndim > len(factor.variables) else 1
            weights[cells] *= factor.table.reshape(-1, rows)[index]

    def calibrate(
        self, prepared: Weights, findings: Iterable[Factor] = (), room: Room | None = None
    ) -> Calibrated:
        """All beliefs for the prepared factors and these findings.

        The scope of each finding must lie inside a clique (`KeyError`). A finding may have a batch axis.
        ``room``: arrays of an earlier run to work in.
        """
        found = list(findings)
        rows = max([f.table.shape[-1] for f in found if f.table.ndim > len(f.variables)], default=1)
        room = room or self.room(rows, prepared.dtype.type)
        room.weights[:] = prepared
        self._multiply(room.weights, found)
        propagate(self._levels, self.roots, room)
        return Calibrated(self, room.weights, room.up, room.down)

    @cached_property
    def _room_sizes(self) -> tuple[int, ...]:
        widest = max(level.last - level.first for level in self._levels)
        return self._first[-1], self._message[-1], self._message[-1], widest, widest, widest, widest

    @property
    def room_size(self) -> int:
        """Numbers in the arrays of one row."""
        return sum(self._room_sizes)

    def room(self, rows: int, kind: Kind, buffer: Weights | None = None) -> Room:
        """Arrays for a calibration of so many rows; one that uses them again spoils what came of the last.

        ``buffer``: one long array, at least `room_size` x rows, to cut them from.
        """
        if buffer is None:
            buffer = np.empty(self.room_size * rows, dtype=kind)
        ends = [end * rows for end in _ends(self._room_sizes)]
        parts = (buffer[first:last].reshape(-1, rows) for first, last in pairwise(ends))
        weights, up, down, *scratch = parts
        return Room(weights, up, down, tuple(scratch))


def _ends(sizes: Iterable[int]) -> list[int]:
    return list(accumulate(sizes, initial=0))
