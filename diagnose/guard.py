"""What exact reasoning over a book costs, in four bands, and what an author can do about it.

The measure is the number of table cells of all cliques of the compiled tree. The bands were set by
measurements on synthetic books of our own; there is no outside source for them.
"""

import sys
from collections.abc import Collection, Iterator, Sequence
from math import prod
from typing import Final, Literal

from diagnose.compile import Compiler
from diagnose.gates import HELPER_MARK
from diagnose.triangulate import MAX_CELLS, cliques
from knowledge.problems import Problem

GREEN: Final = 15_000
"""Up to here every what-if is there between two key presses."""
AMBER: Final = 60_000
"""Up to here it is there within a breath; above, only beliefs are worked out, no what-ifs."""
MAX_STATES: Final = 4_096
"""States that one check may tell apart in what it looks at: twelve things that are there or not."""
ARCS: Final = 5
"""How many links a refusal names."""
MOST_TRIED: Final = 60
"""Links whose removal is tried before the best are named: each is a triangulation of its own."""

Band = Literal["green", "amber", "red", "refused"]


def band(cells: int) -> Band:
    """Where so many cells stand.

    >>> band(15_000), band(15_001), band(60_001), band(2_000_001)
    ('green', 'amber', 'red', 'refused')
    """
    if cells <= GREEN:
        return "green"
    if cells <= AMBER:
        return "amber"
    return "red" if cells <= MAX_CELLS else "refused"


def wide_looks(compiler: Compiler) -> list[Problem]:
    """The checks that look at more things at once than can be told apart in one table."""
    problems = []
    for name in compiler.book.checks:
        scope = compiler.scope_of_check(name)
        states = prod(len(compiler.unknown.get(part, ("no", "yes"))) for part in scope)
        if states > MAX_STATES:
            what = (
                f"too dense to reason over exactly: looks at {len(scope)} things at once, {states:,} states "
                f"({', '.join(scope)})"
            )
            mend = "Look at a condition that they lead to, or split the check."
            problems.append(Problem(compiler.book.places[name], name, what, mend))
    return problems


def refusal(compiler: Compiler, reported: Collection[str]) -> Problem:
    """Why a book cannot be reasoned over exactly: its largest clique by name, and the links that cause it.

    ``reported``: the conditions that were complained of.
    """
    found = _triangulated(compiler, reported)
    largest = max(found, key=lambda clique: _size(compiler, clique))
    total = sum(_size(compiler, clique) for clique in found)
    members = list(dict.fromkeys(name.removesuffix(HELPER_MARK) for name in largest))
    what = (
        f"too dense to reason over exactly: {total:,} table cells, and {MAX_CELLS:,} is the most. "
        f"The widest table ties {len(largest)} together (width {len(largest) - 1}): {', '.join(members)}"
    )
    gains = sorted(_gains(compiler, reported, set(largest)), key=lambda gain: gain[1])[:ARCS]
    arcs = "; ".join(f"{arc} ({cells:,} cells without it)" for arc, cells in gains)
    mend = (
        f"Put one more condition between some of these and what they lead to. Links that cost most: {arcs}."
    )
    return Problem("book", "", what, mend)


def _gains(compiler: Compiler, reported: Collection[str], largest: set[str]) -> Iterator[tuple[str, int]]:
    """(link, cells without it) of links at both ends in the largest clique, then of those at one end."""
    both: list[tuple[str, str]] = []
    one: list[tuple[str, str]] = []
    for source, target in compiler.book.links:
        ends = (source in largest or source + HELPER_MARK in largest) + (
            target in largest or target + HELPER_MARK in largest
        )
        if ends:
            (both if ends == 2 else one).append((source, target))
    for source, target in (both + one)[:MOST_TRIED]:
        found = _triangulated(compiler, reported, (source, target))
        yield f"{source} -> {target}", sum(_size(compiler, clique) for clique in found)


def _triangulated(
    compiler: Compiler, reported: Collection[str], without: tuple[str, str] | None = None
) -> list[tuple[str, ...]]:
    """Cliques of the network, one link left out; no table is made, however large it would be."""
    network = compiler.network(reported, without)
    found, _ = cliques(network.cardinalities, network.scopes, sys.maxsize)
    return found


def _size(compiler: Compiler, clique: Sequence[str]) -> int:
    return prod(len(compiler.unknown.get(name, ("no", "yes"))) for name in clique)
