"""Pictures of numbers as SVG, without any outside address: curves over time, and bars."""

from collections.abc import Sequence
from string import ascii_lowercase
from typing import TYPE_CHECKING, Final

from tui.graph_svg import escaped

if TYPE_CHECKING:
    from diagnose.charts import Chart
    from diagnose.rig.seeing import Curve, Seen

WIDE, TALL, LEFT, TOP, GAP = 360, 130, 60, 60, 60
"""Pixels: a plot's size, the room for its numbers, for the heading, and between plots."""
BAR, STEP = 16, 26
"""Pixels: a bar's height, and from one bar to the next."""
INK: Final = "#222222"


def seen_svg(seen: "Seen", title: str) -> str:
    """A row for each thing, the healthy plant at the left and the faulted one at the right, on one scale."""
    columns = 2 if seen.faults else 1
    width = columns * (WIDE + LEFT) + 40
    height = TOP + len(seen.curves) * (TALL + GAP)
    parts = [_head(width, height, title), _text(10, 24, title, 14, bold=True)]
    for row, curve in enumerate(seen.curves):
        top = TOP + row * (TALL + GAP)
        name = f"{curve.title}, {curve.unit}" if curve.unit else curve.title
        both = [*curve.healthy, *curve.faulted]
        low, high = min(both), max(both)
        for column, (word, values) in enumerate(_columns(curve)):
            left = LEFT + column * (WIDE + LEFT)
            parts.append(_text(left, top - 6, f"{name}: {word}", 12))
            parts.append(_plot(values, low, high, left, top, seen.minutes))
    return "\n".join([*parts, "</svg>\n"])


def _columns(curve: "Curve") -> list[tuple[str, tuple[float, ...]]]:
    faulted = [("faulted", curve.faulted)] if curve.faulted else []
    return [("healthy", curve.healthy), *faulted]


def _plot(values: Sequence[float], low: float, high: float, left: float, top: float, minutes: float) -> str:
    scale = (high - low) or 1.0
    across = WIDE / max(len(values) - 1, 1)
    points = " ".join(
        f"{left + k * across:.1f},{top + TALL * (1 - (value - low) / scale):.1f}"
        for k, value in enumerate(values)
    )
    return "\n".join(
        [
            f'<rect x="{left}" y="{top}" width="{WIDE}" height="{TALL}" fill="none" stroke="#999999"/>',
            f'<polyline points="{points}" fill="none" stroke="{INK}" stroke-width="1.2"/>',
            _text(left - 6, top + 10, f"{high:.3g}", 10, anchor="end"),
            _text(left - 6, top + TALL, f"{low:.3g}", 10, anchor="end"),
            _text(left, top + TALL + 14, "0", 10),
            _text(left + WIDE, top + TALL + 14, f"{minutes:g} min", 10, anchor="end"),
        ]
    )


DASHES: Final = ("", "6 3", "2 2", "8 2 2 2", "1 3")
"""One for each line of a chart, so that none hangs on its colour."""
COLOURS: Final = ("#222222", "#0b5cad", "#a33c00", "#1b6e2a", "#6a3d9a")
"""Dark enough for print; one for each line."""


def chart_svg(chart: "Chart", wide: float = 620, tall: float = 220) -> str:
    """A chart with its axes, its marks and their labels; ``wide``, ``tall``: pixels of the plot."""
    (left, right), (low, high) = chart.reach
    x0, y0 = 60.0, 50.0
    legend = len(chart.series) if len(chart.series) > 1 else 0
    height = y0 + tall + 40 + 15 * (legend + len(chart.marks))

    def at(x: float, y: float) -> tuple[float, float]:
        return (
            x0 + wide * (x - left) / ((right - left) or 1.0),
            y0 + tall * (1 - (y - low) / ((high - low) or 1.0)),
        )

    parts = [_head(x0 + wide + 40, height, chart.title), _text(10, 20, chart.title, 14, bold=True)]
    parts += [_text(10, 40, chart.y.label, 11), _frame(x0, y0, wide, tall)]
    parts += [
        _text(x0 - 6, y0 + 10, f"{high:.3g}", 10, anchor="end"),
        _text(x0 - 6, y0 + tall, f"{low:.3g}", 10, anchor="end"),
        _text(x0, y0 + tall + 28, f"{left:.3g}", 10),
        _text(x0 + wide / 2, y0 + tall + 28, chart.x.label, 11, anchor="middle"),
        _text(x0 + wide, y0 + tall + 28, f"{right:.3g}", 10, anchor="end"),
    ]
    below = y0 + tall + 44
    for letter, mark in zip(ascii_lowercase, chart.marks, strict=False):
        x, y = at(mark.value, mark.value)
        ends = (x, y0, x, y0 + tall) if mark.on == "x" else (x0, y, x0 + wide, y)
        parts.append(_line(*ends, "#777777", "2 3"))
        place = (x, y0 + tall + 12) if mark.on == "x" else (x0 + wide + 8, y + 4)
        parts.append(_text(*place, letter, 11, anchor="middle", bold=True))
        unit = chart.x.unit if mark.on == "x" else chart.y.unit
        parts.append(_text(x0, below, f"{letter}  {mark.value:.3g} {unit}: {mark.label}", 11))
        below += 15
    for number, series in enumerate(chart.series):
        colour, dash = COLOURS[number % len(COLOURS)], DASHES[number % len(DASHES)]
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in (at(*point) for point in series.points))
        parts.append(_polyline(points, colour, dash))
        if legend:
            parts.append(_line(x0, below - 4, x0 + 30, below - 4, colour, dash, 2))
            parts.append(_text(x0 + 38, below, series.name, 11))
            below += 15
    return "\n".join([*parts, "</svg>"])


def charts_svg(charts: "Sequence[Chart]") -> str:
    """Several charts, one under the other, as one picture."""
    pictures = [chart_svg(chart) for chart in charts]
    tops = [0.0]
    for picture in pictures:
        tops.append(tops[-1] + float(picture.partition('height="')[2].partition('"')[0]))
    moved = "\n".join(
        picture.replace("<svg ", f'<svg y="{top:g}" ', 1)
        for picture, top in zip(pictures, tops, strict=False)
    )
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="720" height="{tops[-1]:g}">{moved}</svg>\n'


def _frame(left: float, top: float, width: float, height: float) -> str:
    return (
        f'<rect x="{left:g}" y="{top:g}" width="{width:g}" height="{height:g}" fill="none" stroke="#999999"/>'
    )


def _line(x1: float, y1: float, x2: float, y2: float, colour: str, dash: str, width: float = 1) -> str:
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{colour}" '
        f'stroke-width="{width:g}" stroke-dasharray="{dash}"/>'
    )


def _polyline(points: str, colour: str, dash: str) -> str:
    return (
        f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2" '
        f'stroke-dasharray="{dash}"/>'
    )


def bars_svg(title: str, bars: Sequence[tuple[str, float]], unit: str) -> str:
    """A bar for each number, which stands beside it; numbers are not negative."""
    most = max((value for _, value in bars), default=0.0) or 1.0
    height = 40 + STEP * len(bars)
    parts = [_head(640, height, title), _text(10, 20, title, 13, bold=True)]
    for row, (name, value) in enumerate(bars):
        top = 34 + row * STEP
        parts.append(_text(190, top + 12, name, 11, anchor="end"))
        parts.append(
            f'<rect x="200" y="{top}" width="{340 * value / most:.1f}" height="{BAR}" fill="#7a9cc6" '
            f'stroke="{INK}"/>'
        )
        parts.append(_text(206 + 340 * value / most, top + 12, f"{value:.3g} {unit}".strip(), 11))
    return "\n".join([*parts, "</svg>"])


def _head(width: float, height: float, title: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" '
        f'height="{height}" font-family="sans-serif"><title>{escaped(title)}</title>'
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>'
    )


def _text(x: float, y: float, words: str, size: int, anchor: str = "start", bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.0f}" y="{y:.0f}" font-size="{size}" text-anchor="{anchor}" fill="{INK}"{weight}>'
        f"{escaped(words)}</text>"
    )
