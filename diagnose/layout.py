"""Where the cells of a table lie in a node of a junction tree that holds its variables."""

from functools import lru_cache
from math import prod
from typing import Final

import numpy as np

from diagnose.propagation import Index

KEPT: Final = 1000
"""Ways that a table lies in a small node that are kept: hundreds of nodes of a tree share a few."""
SMALL: Final = 512
"""Cells of such a node at most."""

Pattern = tuple[tuple[int, ...], tuple[int, ...]]
"""(states of each variable of a node, places of a table's variables among them)."""


def cells_of(shape: tuple[int, ...], axes: tuple[int, ...]) -> Index:
    """For each cell of a node, the cell of the table; not to be written to. Both in order of their axes.

    >>> cells_of((2, 3), (1,)).tolist(), cells_of((2, 2), (1, 0)).tolist()
    ([0, 1, 2, 0, 1, 2], [0, 2, 1, 3])
    """
    return _small_cells(shape, axes) if prod(shape) <= SMALL else _cells(shape, axes)


def order_of(shape: tuple[int, ...], axes: tuple[int, ...]) -> Index:
    """The cells of a node sorted by the cell of the table that each has; not to be written to.

    >>> order_of((2, 3), (1,)).tolist()
    [0, 3, 1, 4, 2, 5]
    """
    return _small_order(shape, axes) if prod(shape) <= SMALL else _order(shape, axes)


def _cells(shape: tuple[int, ...], axes: tuple[int, ...]) -> Index:
    sizes = tuple(shape[axis] for axis in axes)
    table = np.arange(prod(sizes)).reshape(sizes).transpose(np.argsort(axes))
    kept = tuple(size if axis in axes else 1 for axis, size in enumerate(shape))
    return np.broadcast_to(table.reshape(kept), shape).ravel()


def _order(shape: tuple[int, ...], axes: tuple[int, ...]) -> Index:
    return np.argsort(cells_of(shape, axes), kind="stable")


_small_cells = lru_cache(KEPT)(_cells)
_small_order = lru_cache(KEPT)(_order)
