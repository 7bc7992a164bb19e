"""One pass up and one pass down a tree whose tables lie end to end, a depth at a time.

Every step works on all nodes of a depth at once. See `diagnose.junction_tree`, which lays them out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Index = npt.NDArray[np.intp]
Kind = type[np.floating[Any]]
Weights = npt.NDArray[np.floating[Any]]
"""A number for each cell of all tables, or for each cell of all messages; shape (cells, rows)."""


@dataclass(frozen=True)
class Sums:
    """Equal runs of cells, each summed into one message cell: cells [first, last) in runs of ``run``."""

    first: int
    last: int
    run: int
    to: slice | Index


@dataclass(frozen=True)
class Side:
    """All first (or all second) children of one depth, seen from their parents."""

    last: int
    """The parents' cells are [first cell of the depth, last)."""
    message: Index
    """For each of these cells, the cell of the child's message that goes with it."""
    order: Index
    """These cells, counted from the depth's first, sorted by that message cell."""
    sums: tuple[Sums, ...]
    """How the sorted cells add up to the messages to the children."""


@dataclass(frozen=True)
class Level:
    """The nodes of one depth."""

    first: int
    last: int
    sums: tuple[Sums, ...]
    sides: tuple[Side, ...]


@dataclass(frozen=True)
class Room:
    """Arrays that a calibration works in, the last axis for the rows. Large ones are slow to come by."""

    weights: Weights
    up: Weights
    down: Weights
    scratch: tuple[Weights, ...]


def propagate(levels: Sequence[Level], roots: int, room: Room) -> None:
    """Turn the weights of the room into beliefs, in place, with all messages up and down."""
    for level in reversed(levels):
        _send_up(level, room)
    room.down[:roots] = 1
    for level in levels:
        _send_down(level, room)


def _send_up(level: Level, room: Room) -> None:
    """Multiply what came from the children and send the sums to the depth above."""
    here = room.weights[level.first : level.last]
    product, taken = room.scratch[:2]
    parents = 0
    for side in level.sides:
        cells = len(side.message)
        message = _taken(room.up, side.message, taken)
        np.multiply(product[:cells] if parents else here[:cells], message, out=product[:cells])
        parents = parents or cells
    for sums in level.sums:
        first, last = sums.first - level.first, sums.last - level.first
        _sum((product if first < parents else here)[first:last], sums.run, room.up[sums.to])


def _send_down(level: Level, room: Room) -> None:
    """Turn a depth's weights into its beliefs, in place, and send the messages to the depth below."""
    here = room.weights[level.first : level.last]
    for sums in level.sums:
        part = room.weights[sums.first : sums.last].reshape(-1, sums.run, here.shape[1])
        part *= room.down[sums.to][:, np.newaxis]
    own, other, product, ordered = room.scratch
    messages = [
        _taken(room.up, side.message, to) for side, to in zip(level.sides, (own, other), strict=False)
    ]
    for k, side in enumerate(level.sides):
        cells = len(side.message)
        sent = here[:cells]
        for message in messages[:k] + messages[k + 1 :]:
            both = min(cells, len(message))
            product[both:cells] = here[both:cells]
            np.multiply(here[:both], message[:both], out=product[:both])
            sent = product[:cells]
        sent = _taken(sent, side.order, ordered)
        for sums in side.sums:
            room.down[sums.to] = _sum(sent[sums.first : sums.last], sums.run)
    for message in messages:
        here[: len(message)] *= message


def _taken(source: Weights, cells: Index, to: Weights) -> Weights:
    """Some cells of a table, written to the first places of another array."""
    return np.take(source, cells, axis=0, out=to[: len(cells)], mode="clip")


def _sum(cells: Weights, run: int, out: Weights | None = None) -> Weights:
    """Sums of equal runs along the first axis."""
    return np.asarray(np.einsum("mrb->mb", cells.reshape(-1, run, cells.shape[1]), out=out))
