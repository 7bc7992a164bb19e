"""The book's graph as an SVG picture: the sections from left to right, in the order of the signal."""

import html
import textwrap
from typing import TYPE_CHECKING, Final

from tui.text import clean

if TYPE_CHECKING:
    from diagnose.book_graph import Edge, Graph, Node

WIDTH, GAP, LINE, PAD = 190, 70, 13, 6
"""Pixels: of a box, between columns, of a line of text, and of the air around it."""
LETTERS: Final = 30
"""Letters of a line in a box."""
FILL: Final = {"cause": "#ffe3d3", "condition": "#ffffff", "check": "#dcebff", "complaint": "#e8e8e8"}
SHAPE: Final = {"cause": 0, "condition": 14, "check": 3, "complaint": 0}
"""Radius of a box's corners."""
WORD: Final = {"cause": "CAUSE", "condition": "", "check": "CHECK", "complaint": "COMPLAINT"}
"""Stands in a box, so that its kind does not hang on its colour."""

Box = tuple[float, float, float, list[str]]
"""Left, top, height, and the lines in it."""


def graph_svg(graph: "Graph", title: str) -> str:
    """A picture without any outside address."""
    boxes, heads, width, height = _placed(graph)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" '
        f'width="{width:.0f}" height="{height:.0f}" font-family="sans-serif" font-size="10">',
        f"<title>{escaped(title)}</title>",
        f'<rect width="{width:.0f}" height="{height:.0f}" fill="#ffffff"/>',
        f'<text x="10" y="20" font-size="14" font-weight="bold">{escaped(title)}</text>',
    ]
    parts += [
        f'<text x="{left:.0f}" y="42" font-size="12" font-weight="bold">{escaped(name)}</text>'
        for name, left in heads
    ]
    parts += [_curve(edge, boxes) for edge in graph.edges]
    parts += [_box(node, boxes[node.id]) for node in graph.nodes]
    return "\n".join([*parts, "</svg>\n"])


def escaped(text: str) -> str:
    """Text as XML can hold it: its own signs escaped, and no control character."""
    return html.escape(clean(text))


def _placed(graph: "Graph") -> tuple[dict[str, Box], list[tuple[str, float]], float, float]:
    columns: dict[str, list[Node]] = {}
    for node in graph.nodes:
        columns.setdefault(node.section or "complaints", []).append(node)
    boxes: dict[str, Box] = {}
    heads, height = [], 0.0
    for number, (name, nodes) in enumerate(columns.items()):
        left, top = 10.0 + number * (WIDTH + GAP), 52.0
        heads.append((name, left))
        for node in nodes:
            word = WORD[node.kind]
            lines = textwrap.wrap(f"{word}: {node.title}" if word else node.title, LETTERS)
            lines += textwrap.wrap(node.id, LETTERS)
            tall = len(lines) * LINE + 2 * PAD
            boxes[node.id] = (left, top, tall, lines)
            top += tall + PAD
        height = max(height, top)
    return boxes, heads, 20.0 + len(columns) * (WIDTH + GAP), height + 10


def _curve(edge: "Edge", boxes: dict[str, Box]) -> str:
    """From the right side of the one to the left side of the other; in one column, round its right side."""
    (x1, y1, h1, _), (x2, y2, h2, _) = boxes[edge.source], boxes[edge.target]
    start, end = (x1 + WIDTH, y1 + h1 / 2), (x2, y2 + h2 / 2)
    bend = GAP * 0.6
    if x2 == x1:
        end = (x2 + WIDTH, y2 + h2 / 2)
        turn = (start[0] + bend, end[0] + bend)
    elif x2 > x1:
        turn = (start[0] + bend, end[0] - bend)
    else:
        start, end = (x1, y1 + h1 / 2), (x2 + WIDTH, y2 + h2 / 2)
        turn = (start[0] - bend, end[0] + bend)
    path = f"M{start[0]:.0f},{start[1]:.0f} C{turn[0]:.0f},{start[1]:.0f} {turn[1]:.0f},{end[1]:.0f} "
    words = escaped(f"{edge.source} -> {edge.target}: {edge.words}")
    return (
        f'<path d="{path}{end[0]:.0f},{end[1]:.0f}" fill="none" stroke="#666666" stroke-width="0.8">'
        f"<title>{words}</title></path>"
    )


def _box(node: "Node", box: Box) -> str:
    left, top, tall, lines = box
    dash = ' stroke-dasharray="4 2"' if node.kind == "check" else ""
    texts = "".join(
        f'<text x="{left + PAD:.0f}" y="{top + PAD + (k + 0.75) * LINE:.0f}">{escaped(line)}</text>'
        for k, line in enumerate(lines)
    )
    return (
        f'<rect x="{left:.0f}" y="{top:.0f}" width="{WIDTH}" height="{tall:.0f}" rx="{SHAPE[node.kind]}" '
        f'fill="{FILL[node.kind]}" stroke="#222222"{dash}/>{texts}'
    )
