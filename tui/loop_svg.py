"""The graph around a cause as an SVG picture: the stretches of the loop from top to bottom, for a page."""

import textwrap
from typing import TYPE_CHECKING, Final

from tui.graph_svg import FILL, SHAPE, WORD, escaped

if TYPE_CHECKING:
    from diagnose.book_graph import Graph, Node
    from diagnose.unit_graph import Stretch

WIDE: Final = 700
"""Pixels across; a page is about that wide."""
SIDE, GAP, LINE, PAD = 96, 22, 12, 5
"""Pixels: for the sections' names, between stretches, of a line of text, of the air in a box."""
MOST: Final = 4
"""Boxes beside each other; more of them begin another row."""
LETTER: Final = 5.4
"""Pixels of a letter of the size used, as wide as they come on average."""

Box = tuple[float, float, float, float, list[str]]
"""Left, top, width, height and the lines in it."""


def loop_svg(graph: "Graph", stretches: "list[Stretch]", title: str) -> str:
    """A picture without any outside address."""
    boxes: dict[str, Box] = {}
    heads, top = list[tuple[str, float]](), 34.0
    for stretch in stretches:
        heads.append((stretch.section, top))
        for first in range(0, len(stretch.nodes), MOST):
            top = _row(stretch.nodes[first : first + MOST], top, boxes) + GAP
    height = top
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {height:.0f}" width="{WIDE}" '
        f'height="{height:.0f}" font-family="sans-serif" font-size="10">',
        f'<title>{escaped(title)}</title><rect width="{WIDE}" height="{height:.0f}" fill="#ffffff"/>',
        f'<text x="4" y="18" font-size="14" font-weight="bold">{escaped(title)}</text>',
    ]
    for name, at in heads:
        parts += [
            f'<text x="4" y="{at + 12 + LINE * k:.0f}" font-weight="bold">{escaped(line)}</text>'
            for k, line in enumerate(textwrap.wrap(name, 15))
        ]
    parts += [_link(boxes[edge.source], boxes[edge.target]) for edge in graph.edges]
    parts += [_box(node, boxes[node.id]) for node in graph.nodes]
    return "\n".join([*parts, "</svg>"])


def _row(nodes: "tuple[Node, ...]", top: float, boxes: dict[str, Box]) -> float:
    """Place some entries beside each other; returns where the row ends."""
    width = min(280.0, (WIDE - SIDE) / len(nodes) - 10)
    end = top
    for number, node in enumerate(nodes):
        word, found = WORD[node.kind], f" {node.found.upper()}" if node.found else ""
        text = f"{word}: {node.title}" if word else node.title
        lines = textwrap.wrap(text + found, max(8, int((width - 2 * PAD) / LETTER)))
        tall = len(lines) * LINE + 2 * PAD
        boxes[node.id] = (SIDE + number * (width + 10), top, width, tall, lines)
        end = max(end, top + tall)
    return end


def _link(one: Box, other: Box) -> str:
    """From the foot of the one to the head of the other; beside each other, from side to side."""
    if one[1] == other[1]:
        x1, y1, x2, y2 = one[0] + one[2], one[1] + one[3] / 2, other[0], other[1] + other[3] / 2
        if other[0] < one[0]:
            x1, x2 = one[0], other[0] + other[2]
        path = f"M{x1:.0f},{y1:.0f} L{x2:.0f},{y2:.0f}"
    else:
        x1, y1, x2, y2 = one[0] + one[2] / 2, one[1] + one[3], other[0] + other[2] / 2, other[1]
        path = f"M{x1:.0f},{y1:.0f} C{x1:.0f},{y1 + GAP:.0f} {x2:.0f},{y2 - GAP:.0f} {x2:.0f},{y2:.0f}"
    head = f"M{x2 - 3:.0f},{y2 - 5:.0f} L{x2:.0f},{y2:.0f} L{x2 + 3:.0f},{y2 - 5:.0f}"
    arrow = f'<path d="{head}" fill="none" stroke="#444444"/>' if one[1] != other[1] else ""
    return f'<path d="{path}" fill="none" stroke="#444444" stroke-width="0.8"/>{arrow}'


def _box(node: "Node", box: Box) -> str:
    left, top, width, tall, lines = box
    dash = ' stroke-dasharray="4 2"' if node.kind == "check" else ""
    texts = "".join(
        f'<text x="{left + PAD:.0f}" y="{top + PAD + (k + 0.8) * LINE:.0f}">{escaped(line)}</text>'
        for k, line in enumerate(lines)
    )
    return (
        f'<rect x="{left:.0f}" y="{top:.0f}" width="{width:.0f}" height="{tall:.0f}" rx="{SHAPE[node.kind]}" '
        f'fill="{FILL[node.kind]}" stroke="#222222"{dash}/>{texts}'
    )
