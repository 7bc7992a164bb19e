"""From the cliques of a triangulated network to a rooted tree in which no node has more than two children.

The idea: the cliques are joined by their largest overlaps (a maximum spanning tree has the running
intersection property). Where a clique has many neighbours, pairs of them are first brought together in
a small node of their own that holds only what both of them share with the clique. With two children at
most, the message to one child leaves out exactly one other, so no division is ever needed.

Sources: Shafer & Shenoy 1990; Shenoy, binary join trees, 1997 (both from memory).
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain, combinations
from math import prod


@dataclass(frozen=True)
class Node:
    """One node of the tree: a clique, or a small node that brings two children together."""

    variables: tuple[str, ...]
    """What is shared with the parent comes first."""
    separator: int
    """How many of the variables are shared with the parent."""
    children: tuple[int, ...]
    """Numbers of at most two other nodes."""
    depth: int

    @property
    def shared(self) -> tuple[str, ...]:
        """The variables shared with the parent."""
        return self.variables[: self.separator]


def rooted(cliques: Sequence[Sequence[str]], cardinalities: Mapping[str, int]) -> list[Node]:
    """The nodes of a rooted forest over the cliques, sorted by depth; at one depth those with more
    children come first, and then those with fewer cells to each cell of what they share.

    The cliques must come from a triangulation. Every clique is the variables of one node.

    >>> [node.variables for node in rooted([("a", "b"), ("b", "c")], {"a": 2, "b": 2, "c": 2})]
    [('b', 'c'), ('b', 'a')]
    """
    near = _spanning(cliques)
    builder = _Builder([frozenset(clique) for clique in cliques], near, cardinalities)
    for root in _roots(near):
        builder.hang(root)
    nodes = builder.nodes

    def place(i: int) -> tuple[int, int, int]:
        node = nodes[i]
        own = prod(cardinalities[name] for name in node.variables[node.separator :])
        return node.depth, -len(node.children), own

    order = sorted(range(len(nodes)), key=place)
    number = {old: new for new, old in enumerate(order)}
    return [
        replace(nodes[old], children=tuple(number[child] for child in nodes[old].children)) for old in order
    ]


def _spanning(cliques: Sequence[Sequence[str]]) -> list[list[int]]:
    """Neighbours in a maximum spanning forest on the size of what two cliques share (Kruskal)."""
    at: dict[str, list[int]] = {}
    for i, clique in enumerate(cliques):
        for name in clique:
            at.setdefault(name, []).append(i)
    shared = Counter[tuple[int, int]]()
    for here in at.values():
        shared.update(combinations(here, 2))
    # On a tie the smaller cliques are joined first, so that leaves do not hang on the largest tables.
    ranked: dict[tuple[int, int], list[tuple[int, int]]] = {}
    sizes = [len(clique) for clique in cliques]
    for (i, j), count in shared.items():
        ranked.setdefault((-count, sizes[i] + sizes[j]), []).append((i, j))
    trees = [[i] for i in range(len(cliques))]  # of each clique, the cliques of the tree that it is in
    near: list[list[int]] = [[] for _ in cliques]
    for i, j in chain.from_iterable(ranked[rank] for rank in sorted(ranked)):
        if trees[i] is not trees[j]:
            near[i].append(j)
            near[j].append(i)
            small, large = sorted((trees[i], trees[j]), key=len)
            large.extend(small)
            for k in small:
                trees[k] = large
    return near


def _roots(near: Sequence[Sequence[int]]) -> Iterator[int]:
    """The middle of each tree: the root from which the farthest node is nearest."""
    seen: set[int] = set()
    for start in range(len(near)):
        if start not in seen:
            first = _walk(start, near)
            seen.update(first)
            parents = _walk(next(reversed(first)), near)
            path = [next(reversed(parents))]
            while (parent := parents[path[-1]]) >= 0:
                path.append(parent)
            yield path[len(path) // 2]


def _walk(start: int, near: Sequence[Sequence[int]]) -> dict[int, int]:
    """The parent of each node that can be reached, nearest first; -1 for the start."""
    parents = {start: -1}
    for here in (waiting := [start]):
        for other in near[here]:
            if other not in parents:
                parents[other] = here
                waiting.append(other)
    return parents


class _Builder:
    """Hangs clique after clique below its parent, with small nodes between where there are many."""

    def __init__(
        self,
        cliques: Sequence[frozenset[str]],
        near: Sequence[Sequence[int]],
        cardinalities: Mapping[str, int],
    ) -> None:
        self.nodes: list[Node] = []
        self._cliques = cliques
        self._near = near
        self._cards = cardinalities

    def hang(self, root: int) -> None:
        """Add the whole tree of a root clique."""
        waiting = [(_Branch(self._cliques[root], frozenset(), root, ()), 0, -1)]
        children: dict[int, list[int]] = {}
        drafts: dict[int, tuple[_Branch, int]] = {}
        parents = _walk(root, self._near)
        first = len(self.nodes)
        for branch, depth, parent in waiting:
            number = first + len(drafts)
            drafts[number] = (branch, depth)
            children.setdefault(parent, []).append(number)
            below = branch.parts or self._below(branch.clique, parents)
            waiting += [(part, depth + 1, number) for part in self._paired(below)]
        for number, (branch, depth) in drafts.items():
            order = [*sorted(branch.shared), *sorted(branch.variables - branch.shared)]
            self.nodes.append(Node(tuple(order), len(branch.shared), tuple(children.get(number, ())), depth))

    def _below(self, clique: int, parents: Mapping[int, int]) -> "tuple[_Branch, ...]":
        here = self._cliques[clique]
        return tuple(
            _Branch(self._cliques[child], self._cliques[child] & here, child, ())
            for child in self._near[clique]
            if parents[child] == clique
        )

    def _paired(self, parts: "Sequence[_Branch]") -> "list[_Branch]":
        """At most two branches: the two whose common node is smallest are brought together first."""
        left = list(parts)
        while len(left) > 2:
            a, b = min(combinations(left, 2), key=lambda pair: self._cells(pair[0].shared | pair[1].shared))
            left = [part for part in left if part is not a and part is not b]
            both = a.shared | b.shared
            left.append(_Branch(both, both, -1, (a, b)))
        return left

    def _cells(self, variables: frozenset[str]) -> tuple[int, int]:
        return prod(self._cards[name] for name in variables), len(variables)


@dataclass(frozen=True, eq=False)
class _Branch:
    """A node in the making: a clique, or the common node of two parts."""

    variables: frozenset[str]
    shared: frozenset[str]
    clique: int
    parts: "tuple[_Branch, ...]"
