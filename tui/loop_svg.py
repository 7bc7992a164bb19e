"""The graph around a cause as an SVG picture for a page: box below box along the loop, links at the left.

It is drawn as `tui.graph_text` writes it.
"""

import textwrap
from typing import TYPE_CHECKING, Final

from tui.graph_svg import FILL, SHAPE, WORD, escaped
from tui.graph_text import Rails, rails_of, section_text

if TYPE_CHECKING:
    from diagnose.book_graph import Graph, Node
    from diagnose.unit_graph import Stretch

WIDE: Final = 660
"""Pixels across; a page is about that wide."""
LETTERS: Final = 84
"""Letters of a line in a box."""
SIDE: Final = 104
"""Pixels for the sections' names."""
RAIL: Final = 14
"""Pixels from one rail to the next."""
LINE: Final = 12
"""Pixels of a line of text."""
PAD: Final = 4
"""Pixels of the air in a box."""
GAP: Final = 7
"""Pixels between boxes."""

Box = tuple[float, float, list[str]]
"""Top, height and the lines in it."""


def loop_svg(graph: "Graph", stretches: "list[Stretch]", title: str, language: str = "en") -> str:
    """A picture without any outside address."""
    rails = rails_of(graph, stretches)
    left = SIDE + RAIL * (rails.width + 1)
    boxes: dict[str, Box] = {}
    parts, top = list[str](), 30.0
    for stretch in stretches:
        for number, node in enumerate(node for node in stretch.nodes if node.id in rails.rows):
            boxes[node.id] = _box_at(node, top)
            if not number:
                name = section_text(stretch.section, language)
                parts.append(f'<text x="4" y="{top + 14:.0f}" font-weight="bold">{escaped(name)}</text>')
            top += boxes[node.id][1] + GAP
    parts += _links(rails, boxes, left)
    shown = {node.id: node for stretch in stretches for node in stretch.nodes}
    parts += [_drawn(shown[entry], box, left) for entry, box in boxes.items()]
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {top:.0f}" width="{WIDE}" '
            f'height="{top:.0f}" font-family="sans-serif" font-size="10">',
            f'<title>{escaped(title)}</title><rect width="{WIDE}" height="{top:.0f}" fill="#ffffff"/>',
            f'<text x="4" y="18" font-size="14" font-weight="bold">{escaped(title)}</text>',
            *parts,
            "</svg>",
        ]
    )


def _box_at(node: "Node", top: float) -> Box:
    word, found = WORD[node.kind], f" {node.found.upper()}" if node.found else ""
    lines = textwrap.wrap((f"{word}: {node.title}" if word else node.title) + found, LETTERS)
    return top, len(lines) * LINE + 2 * PAD, lines


def _links(rails: Rails, boxes: dict[str, Box], left: float) -> list[str]:
    """For each rail: out of its box a little below the middle, down, and into each target above it."""
    names = {row: name for name, row in rails.rows.items()}
    parts = []
    for source, rail in rails.rail.items():
        x = SIDE + RAIL * (rail + 0.5)
        ends = [_middle(boxes[names[row]]) - 2 for row in rails.ends[source]]
        start = _middle(boxes[source]) + 3
        parts.append(_path(f"M{left:.0f},{start:.0f} H{x:.0f} V{max(ends):.0f}"))
        for end in ends:
            parts.append(_path(f"M{x:.0f},{end:.0f} H{left:.0f} m-5,-3 l5,3 l-5,3"))
    return parts


def _middle(box: Box) -> float:
    return box[0] + box[1] / 2


def _path(path: str) -> str:
    return f'<path d="{path}" fill="none" stroke="#333333"/>'


def _drawn(node: "Node", box: Box, left: float) -> str:
    top, tall, lines = box
    dash = ' stroke-dasharray="4 2"' if node.kind == "check" else ""
    texts = "".join(
        f'<text x="{left + 8:.0f}" y="{top + PAD + (k + 0.8) * LINE:.0f}">{escaped(line)}</text>'
        for k, line in enumerate(lines)
    )
    return (
        f'<rect x="{left:.0f}" y="{top:.0f}" width="{WIDE - left - 4:.0f}" height="{tall:.0f}" '
        f'rx="{SHAPE[node.kind]}" fill="{FILL[node.kind]}" stroke="#222222"{dash}/>{texts}'
    )
