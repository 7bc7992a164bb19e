"""Curves as text: what the values of each stretch of time reach, from the lowest to the highest."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from tui.text import clean

MARK: Final = "#"
LABEL: Final = 8
"""Letters kept for the numbers at the left."""


def plot_lines(
    values: Sequence[float], low: float, high: float, width: int = 30, height: int = 6
) -> list[str]:
    """Rows of a plot from the top down, each ``width`` wide; values outside the range stand at its edge.

    >>> plot_lines([0, 1, 2, 3], 0, 3, width=4, height=2)
    ['  ##', '##  ']
    """
    scale = (high - low) or 1.0
    parts = np.array_split(np.asarray(values, dtype=float), width)
    columns = [(float(part.min()), float(part.max())) if len(part) else (low, low) for part in parts]
    places = [
        tuple(min(height - 1, max(0, int((value - low) / scale * height))) for value in column)
        for column in columns
    ]
    return [
        "".join(MARK if first <= row <= last else " " for first, last in places)
        for row in range(height - 1, -1, -1)
    ]


def side_by_side(
    title: str, one: Sequence[float], other: Sequence[float] | None, width: int = 30, height: int = 6
) -> list[str]:
    """A title and one plot, or two on one scale; at most 78 characters wide by default."""
    both = [*one, *(other if other is not None else [])]
    low, high = min(both), max(both)
    plots = [plot_lines(one, low, high, width, height)]
    if other is not None:
        plots.append(plot_lines(other, low, high, width, height))
    lines = [clean(title)]
    for row, cells in enumerate(zip(*plots, strict=True)):
        number = f"{high:.3g}" if row == 0 else f"{low:.3g}" if row == height - 1 else ""
        lines.append(f"{number:>{LABEL}} |" + "|  |".join(cells) + "|")
    return lines
