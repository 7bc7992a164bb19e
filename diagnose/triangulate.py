"""Triangulation by min-fill: from the sets of variables that belong together to the cliques of a tree.

The idea: take variables out one at a time, each time the one whose neighbours need the fewest new
arcs to be all connected to one another (on a tie, the one that makes the smallest table). What a
variable leaves behind, itself and its neighbours, is a clique; the ones inside another are dropped.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import prod
from typing import Final

MAX_CELLS: Final = 2_000_000
"""Above this many table cells the answers stop being quick enough for a person who waits."""


class TooDense(Exception):
    """The network cannot be reasoned over exactly: the clique that is too large is named."""

    def __init__(self, members: Sequence[str], cells: int) -> None:
        self.members = tuple(members)
        self.cells = cells
        super().__init__(
            f"too dense to reason over exactly: {len(self.members)} things hang together in one table of "
            f"{cells:,} cells: {', '.join(self.members)}"
        )


@dataclass
class _Graph:
    """Neighbours as bit sets: bit j of ``near[i]`` says that variables i and j are connected."""

    near: list[int]
    cards: list[int]

    def cost(self, i: int) -> tuple[int, int]:
        """(new arcs, table cells) of taking out variable i."""
        around = self.near[i]
        missing = sum((around & ~self.near[j] & ~(1 << j)).bit_count() for j in _bits(around)) // 2
        return missing, self.cells(around | 1 << i)

    def cells(self, members: int) -> int:
        return prod(self.cards[j] for j in _bits(members))

    def take_out(self, i: int) -> int:
        """Connect the neighbours of i to one another, take i out, and return who was around it."""
        around = self.near[i]
        for j in _bits(around):
            self.near[j] = (self.near[j] | around) & ~(1 << j) & ~(1 << i)
        self.near[i] = 0
        return around


def cliques(
    cardinalities: Mapping[str, int],
    scopes: Iterable[Sequence[str]],
    max_cells: int = MAX_CELLS,
    order: Sequence[str] | None = None,
) -> tuple[list[tuple[str, ...]], list[str]]:
    """Maximal cliques of a triangulation, and the order in which the variables were taken out.

    Each scope lies inside at least one clique. With ``order`` given no order is searched for.
    Raises `TooDense` as soon as one clique's table would
    pass ``max_cells``.

    >>> cliques({"a": 2, "b": 2, "c": 2}, [("a", "b"), ("b", "c")])[0]
    [('a', 'b'), ('b', 'c')]
    """
    names = list(cardinalities)
    number = {name: i for i, name in enumerate(names)}
    graph = _graph(cardinalities, scopes)
    found: list[int] = []
    taken: list[str] = []
    around: set[int] = set()
    for i in _min_fill(graph) if order is None else [number[name] for name in order]:
        clique = graph.near[i] | 1 << i
        if graph.cells(clique) > max_cells:
            raise TooDense([names[j] for j in _bits(clique)], graph.cells(clique))
        taken.append(names[i])
        # Of the earlier cliques that hold this one, the last has it as all of its neighbours.
        if clique not in around:
            found.append(clique)
        around.add(graph.take_out(i))
    return [tuple(names[j] for j in _bits(clique)) for clique in found], taken


def total_cells(
    cardinalities: Mapping[str, int], scopes: Iterable[Sequence[str]], order: Sequence[str]
) -> int:
    """Table cells of the cliques when the variables are taken out in this order; no table is made."""
    number = {name: i for i, name in enumerate(cardinalities)}
    graph, cells = _graph(cardinalities, scopes), 0
    around: set[int] = set()
    for name in order:
        clique = graph.near[number[name]] | 1 << number[name]
        cells += 0 if clique in around else graph.cells(clique)
        around.add(graph.take_out(number[name]))
    return cells


def _graph(cardinalities: Mapping[str, int], scopes: Iterable[Sequence[str]]) -> _Graph:
    number = {name: i for i, name in enumerate(cardinalities)}
    graph = _Graph([0] * len(number), list(cardinalities.values()))
    for scope in scopes:
        members = sum(1 << number[name] for name in set(scope))
        for i in _bits(members):
            graph.near[i] |= members & ~(1 << i)
    return graph


def _min_fill(graph: _Graph) -> Iterator[int]:
    """The next variable to take out, again and again; the caller takes it out before asking on."""
    left = set(range(len(graph.near)))
    cost = {i: graph.cost(i) for i in left}
    while left:
        i = min(left, key=lambda j: (*cost[j], j))
        around = graph.near[i]
        yield i
        left.discard(i)
        # Others see a new arc only when it joins two of their neighbours.
        touched = around
        if cost[i][0]:
            for j in left:
                if (graph.near[j] & around).bit_count() > 1:
                    touched |= 1 << j
        for j in _bits(touched):
            cost[j] = graph.cost(j)


def _bits(members: int) -> Iterable[int]:
    while members:
        low = members & -members
        yield low.bit_length() - 1
        members ^= low
