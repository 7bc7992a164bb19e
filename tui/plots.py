"""Curves as text: a curve over time as what its stretches reach; a chart with its axes and marks."""

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from string import ascii_lowercase
from typing import TYPE_CHECKING, Final

import numpy as np

from tui.screen.wrap import wrap
from tui.text import clean

if TYPE_CHECKING:
    from diagnose.charts import Chart, Point

MARK: Final = "#"
LABEL: Final = 8
"""Letters kept for the numbers at the left."""
SIGNS: Final = "#o+x*"
"""One for each line of a chart."""


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


def chart_lines(chart: "Chart", width: int = 78, height: int = 14) -> list[str]:
    """A chart in ``width`` columns: title, plot, what the signs and the letters mean, notes.

    Marks across the plot are dotted and carry a letter; ``height`` is of the plot alone.
    """
    across, rows = max(8, width - LABEL - 4), max(3, height)
    (left, right), (low, high) = chart.reach
    grid = [[" "] * across for _ in range(rows)]
    lettered = list(zip(ascii_lowercase, chart.marks, strict=False))

    def column(x: float) -> int:
        return _place(x, left, right, across)

    def row(y: float) -> int:
        return rows - 1 - _place(y, low, high, rows)

    ends: dict[tuple[str, int], str] = {}
    for letter, mark in lettered:
        if mark.on == "x":
            for line in grid:
                line[column(mark.value)] = ":"
            below = column(mark.value)
            ends[("x", below)] = ends.get(("x", below), "") + letter
        else:
            grid[row(mark.value)] = ["."] * across
            beside = row(mark.value)
            ends[("y", beside)] = ends.get(("y", beside), "") + letter
    for sign, series in zip(SIGNS, chart.series, strict=False):
        for x, y in _along(series.points, column, row):
            grid[y][x] = sign
    lines = [clean(chart.title), clean(chart.y.label)]
    for number, cells in enumerate(grid):
        value = high - (high - low) * number / (rows - 1)
        told = number_text(value) if number % 4 == 0 or number == rows - 1 else ""
        lines.append(f"{told:>{LABEL}} |{''.join(cells)}| {ends.get(('y', number), '')}".rstrip())
    lines.append(f"{'':>{LABEL}} +{_letters(ends, across)}+")
    least, most = number_text(left), number_text(right)
    name = chart.x.label[: max(0, across - len(least) - len(most) - 2)]
    lines.append(f"{'':>{LABEL}}  {least}{clean(name):^{across - len(least) - len(most)}}{most}")
    if len(chart.series) > 1:
        signs = zip(SIGNS, chart.series, strict=False)
        lines += wrap("; ".join(f"{sign} {series.name}" for sign, series in signs), width, " ")
    for letter, mark in lettered:
        unit = chart.x.unit if mark.on == "x" else chart.y.unit
        lines += wrap(f"{number_text(mark.value)} {unit}: {mark.label}", width, f" {letter}  ")
    for note in chart.notes:
        lines += wrap(note, width, " Note: ")
    return lines


def number_text(value: float) -> str:
    """A number in at most `LABEL` letters.

    >>> number_text(38.94), number_text(-1206.0), number_text(-1.234e-300)
    ('38.9', '-1206', '-1e-300')
    """
    if 1000 <= abs(value) < 1e6:
        return f"{value:.0f}"
    texts = (f"{value:.{digits}g}" for digits in (3, 2, 1))
    return next(text for text in texts if len(text) <= LABEL)


def _place(value: float, low: float, high: float, cells: int) -> int:
    """The cell of a value on a side of so many cells, the ends in the first and the last one."""
    return round((value - low) / ((high - low) or 1.0) * (cells - 1))


def _letters(ends: dict[tuple[str, int], str], across: int) -> str:
    """The line under the plot, with the letters of the marks in it; crowded ones move to the right."""
    line = ["-"] * across
    for (on, place), letters in sorted(ends.items()):
        if on == "x":
            first = min(place, across - len(letters))
            last = across - len(letters)
            while first < last and any(cell != "-" for cell in line[first : first + len(letters)]):
                first += 1
            line[first : first + len(letters)] = list(letters)
    return "".join(line)


def _along(
    points: "Sequence[Point]", column: Callable[[float], int], row: Callable[[float], int]
) -> Iterator[tuple[int, int]]:
    """Every cell that a line through the points goes through."""
    for (x1, y1), (x2, y2) in pairwise(points):
        start, end = (column(x1), row(y1)), (column(x2), row(y2))
        steps = max(abs(end[0] - start[0]), abs(end[1] - start[1]), 1)
        for step in range(steps + 1):
            share = step / steps
            yield round(start[0] + (end[0] - start[0]) * share), round(start[1] + (end[1] - start[1]) * share)
