"""Exact beliefs on a junction tree (Shafer-Shenoy, without division).

The idea: the cliques of a triangulated network, joined by their largest overlaps, form a tree. Each
clique multiplies the factors that fall inside it. Messages, sums over what the neighbour does not
know, run once towards a root and once back; then every clique holds the joint weight of its own
variables and everything that was found, and any marginal is one sum away.

No division is used, so zeros and the negative entries of rank-one gates do no harm.

Sources: Shafer & Shenoy 1990; Lauritzen & Spiegelhalter 1988 (both cited from memory).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.network import Factor, Network, Table
from diagnose.triangulate import MAX_CELLS, cliques


@dataclass(frozen=True)
class _Edge:
    """The way from a clique to its parent: axes to sum away, and shapes to fit the other side."""

    parent: int
    sum_up: tuple[int, ...]
    sum_down: tuple[int, ...]
    shape_at_parent: tuple[int, ...]
    shape_at_child: tuple[int, ...]


def _root(tree: list[int], i: int) -> int:
    """The number that stands for i's tree; the way there is made short."""
    while tree[i] != i:
        tree[i] = tree[tree[i]]
        i = tree[i]
    return i


class JunctionTree:
    """The compiled shape of a network: depends on its variables and scopes, never on its numbers."""

    def __init__(
        self, cardinalities: Mapping[str, int], scopes: Iterable[Sequence[str]], max_cells: int = MAX_CELLS
    ) -> None:
        """Raises `diagnose.triangulate.TooDense` when a clique would pass ``max_cells`` table cells."""
        self._cards = dict(cardinalities)
        found, order = cliques(cardinalities, scopes, max_cells)
        position = {name: i for i, name in enumerate(order)}
        self.cliques = [tuple(sorted(clique, key=position.__getitem__)) for clique in found]
        self._shapes = [tuple(self._cards[name] for name in clique) for clique in self.cliques]
        self._members = [frozenset(clique) for clique in self.cliques]
        self._at: dict[str, list[int]] = {name: [] for name in cardinalities}
        for i, clique in enumerate(self.cliques):
            for name in clique:
                self._at[name].append(i)
        self._homes: dict[frozenset[str], int] = {}
        self._children: list[list[int]] = [[] for _ in self.cliques]
        self._edges: dict[int, _Edge] = {}
        self._order: list[int] = []
        self._grow()

    @classmethod
    def of(cls, network: Network) -> "JunctionTree":
        """The tree of a network."""
        return cls(network.cardinalities, network.scopes)

    @property
    def cells(self) -> int:
        """Table cells of all cliques together: what a pass over the tree costs."""
        return sum(int(np.prod(shape)) for shape in self._shapes)

    def _grow(self) -> None:
        """Join the cliques by a maximum spanning tree (forest) on the size of what they share (Kruskal)."""
        shared = {
            (i, j): len(self._members[i] & self._members[j])
            for here in self._at.values()
            for k, i in enumerate(here)
            for j in here[k + 1 :]
        }
        tree = list(range(len(self.cliques)))
        near: list[list[int]] = [[] for _ in self.cliques]
        for i, j in sorted(shared, key=lambda pair: -shared[pair]):
            if _root(tree, i) != _root(tree, j):
                tree[_root(tree, i)] = _root(tree, j)
                near[i].append(j)
                near[j].append(i)
        for root in range(len(self.cliques)):
            if root not in self._order:
                self._hang(root, near)

    def _hang(self, root: int, near: Sequence[Sequence[int]]) -> None:
        """Turn one tree of the forest so that every edge points to its root."""
        self._order.append(root)
        for parent in (waiting := [root]):
            for child in near[parent]:
                if child != root and child not in self._edges:
                    self._order.append(child)
                    self._children[parent].append(child)
                    self._edges[child] = self._edge(child, parent)
                    waiting.append(child)

    def _edge(self, child: int, parent: int) -> _Edge:
        shared = self._members[child] & self._members[parent]

        def axes(i: int) -> tuple[int, ...]:
            return tuple(k for k, name in enumerate(self.cliques[i]) if name not in shared)

        def shape(i: int) -> tuple[int, ...]:
            return tuple(self._cards[name] if name in shared else 1 for name in self.cliques[i])

        return _Edge(parent, axes(child), axes(parent), shape(parent), shape(child))

    def home(self, variables: Iterable[str]) -> int:
        """Number of the smallest clique that holds all of the variables; `KeyError` when none does."""
        wanted = frozenset(variables)
        if wanted not in self._homes:
            near = (
                self._at[min(wanted, key=lambda name: len(self._at[name]))]
                if wanted
                else range(len(self.cliques))
            )
            holding = [i for i in near if wanted <= self._members[i]]
            if not holding:
                raise KeyError(f"no clique holds {', '.join(sorted(wanted))} together")
            self._homes[wanted] = min(holding, key=lambda i: int(np.prod(self._shapes[i])))
        return self._homes[wanted]

    def lay(self, factor: Factor, clique: int) -> Table:
        """The factor's table with its axes in the clique's order, length 1 where the factor has none,
        and the batch axis last."""
        table = factor.table
        if table.ndim == len(factor.variables):
            table = table[..., np.newaxis]
        names = self.cliques[clique]
        order = sorted(range(len(factor.variables)), key=lambda k: names.index(factor.variables[k]))
        present = set(factor.variables)
        shape = tuple(self._cards[name] if name in present else 1 for name in names)
        return table.transpose((*order, len(order))).reshape((*shape, table.shape[-1]))

    def prepare(self, factors: Iterable[Factor]) -> list[Table]:
        """One product of factors for each clique, to be handed to `calibrate` any number of times."""
        blank: list[Table] = [np.ones((*(1 for _ in shape), 1)) for shape in self._shapes]
        return self._multiply(blank, factors)

    def _multiply(self, weights: Sequence[Table], factors: Iterable[Factor]) -> list[Table]:
        weights = list(weights)
        for factor in factors:
            at = self.home(factor.variables)
            weights[at] = weights[at] * self.lay(factor, at)
        return weights

    def calibrate(self, prepared: Sequence[Table], findings: Iterable[Factor] = ()) -> "Calibrated":
        """All clique beliefs for the prepared factors and these findings.

        The scope of each finding must lie inside a clique (`KeyError`).
        """
        weights = self._multiply(prepared, findings)
        upward: dict[int, Table] = {}
        for i in reversed(self._order):
            if i in self._edges:
                product = weights[i]
                for child in self._children[i]:
                    product = product * upward[child]
                upward[i] = self._message(product, i, self._edges[i].sum_up, self._edges[i].shape_at_parent)
        beliefs: dict[int, Table] = {}
        downward: dict[int, Table] = {}
        for i in self._order:
            children = self._children[i]
            start = weights[i] * downward[i] if i in downward else weights[i]
            after = [np.ones((1,))] * (len(children) + 1)
            for k in range(len(children) - 1, -1, -1):
                after[k] = after[k + 1] * upward[children[k]]
            before = start
            for k, child in enumerate(children):
                edge = self._edges[child]
                downward[child] = self._message(before * after[k + 1], i, edge.sum_down, edge.shape_at_child)
                before = before * upward[child]
            beliefs[i] = before
        roots = [i for i in self._order if i not in self._edges]
        return Calibrated(self, beliefs, roots)

    def _message(self, product: Table, clique: int, axes: tuple[int, ...], shape: tuple[int, ...]) -> Table:
        return np.asarray(self.expand(clique, product).sum(axis=axes)).reshape((*shape, product.shape[-1]))

    def expand(self, clique: int, table: Table) -> Table:
        """The table at its clique's full shape."""
        shape = (*self._shapes[clique], table.shape[-1])
        return table if table.shape == shape else np.broadcast_to(table, shape)


class Calibrated:
    """Beliefs after one calibration: joint weights with everything found, ready to be summed."""

    def __init__(self, tree: JunctionTree, beliefs: Mapping[int, Table], roots: Sequence[int]) -> None:
        self._tree = tree
        self._beliefs = beliefs
        totals = [self._total(root) for root in roots]
        self._parts = dict(zip(roots, totals, strict=True))
        self.weight: Table = np.prod(np.broadcast_arrays(*totals), axis=0)
        """Probability of all the findings together, shape (batch,)."""

    def _total(self, clique: int) -> Table:
        table = self._tree.expand(clique, self._beliefs[clique])
        return np.asarray(table.sum(axis=tuple(range(table.ndim - 1))))

    def joint(self, variables: Sequence[str]) -> Table:
        """P(variables | findings), axes in the order given and the batch axis last.

        Where the findings have probability 0 the numbers are NaN. `KeyError` when no clique holds the
        variables together.
        """
        clique = self._tree.home(variables)
        table = self._tree.expand(clique, self._beliefs[clique])
        names = self._tree.cliques[clique]
        drop = tuple(k for k, name in enumerate(names) if name not in variables)
        kept = [name for name in names if name in variables]
        summed = table.sum(axis=drop)
        ordered = summed.transpose((*(kept.index(name) for name in variables), len(kept)))
        total = ordered.sum(axis=tuple(range(len(variables))))
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.asarray(ordered / total)
