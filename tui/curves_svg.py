"""Pictures of numbers as SVG, without any outside address: curves over time, and bars."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from tui.graph_svg import escaped

if TYPE_CHECKING:
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
