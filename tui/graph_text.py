"""The graph around an entry as text, in the order of the loop, with its links as rails at the left.

`o` is where a link begins, `>` where it arrives; every link leads downward.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from diagnose.own_words import said
from knowledge.words import SECTIONS
from tui.screen.wrap import wrap
from tui.text import clean
from tui.texts import texts_in
from tui.texts.kinds import FaultTexts

if TYPE_CHECKING:
    from diagnose.book_graph import Graph, Node
    from diagnose.unit_graph import Stretch

MOST_RAILS: Final = 12
"""Rails beyond it are not drawn: the words would have no room."""


@dataclass(frozen=True)
class Rails:
    """The links beside the entries that are shown, one rail for each entry that leads somewhere."""

    rows: dict[str, int]
    """Each entry that is shown, and its place from the top."""
    ends: dict[str, list[int]]
    """The places that an entry leads to."""
    rail: dict[str, int]
    """Which rail an entry's links run along."""

    @property
    def width(self) -> int:
        """How many rails lie beside each other."""
        return max(self.rail.values(), default=-1) + 1


def rails_of(graph: "Graph", stretches: "list[Stretch]") -> Rails:
    """The rails of a graph in loop order; a check that was not made is not shown."""
    shown = [node for stretch in stretches for node in stretch.nodes if node.kind != "check" or node.found]
    rows = {node.id: row for row, node in enumerate(shown)}
    ends: dict[str, list[int]] = {}
    for edge in graph.edges:
        if edge.source in rows and edge.target in rows:
            ends.setdefault(edge.source, []).append(rows[edge.target])
    return Rails(rows, ends, _rail_of(rows, ends))


def loop_lines(
    graph: "Graph", stretches: "list[Stretch]", width: int = 80, language: str = "en"
) -> list[str]:
    """The entries along the loop. Checks that were not made stand by name under what shows them."""
    rails = rails_of(graph, stretches)
    rows, size = rails.rows, 2 * rails.width + 2
    lines, texts = list[str](), texts_in(language).fault
    for stretch in stretches:
        here = [node for node in stretch.nodes if node.id in rows]
        if not here:
            continue
        front = _between(rails, rows[here[0].id], size)
        lines.append(f"{front}{section_text(stretch.section, language).upper()}".rstrip())
        for node in here:
            row = rows[node.id]
            rest = _between(rails, row + 1, size)
            lines += wrap(_told(graph, node, texts), width, _front(rails, row, size), rest)
            seen = [edge.target for edge in graph.edges if edge.source == node.id and edge.target not in rows]
            if seen:
                lines += wrap(", ".join(seen), width, f"{rest}  {texts.seen_by}", f"{rest}    ")
    return [clean(line).rstrip() for line in lines]


def section_text(section: str, language: str) -> str:
    """A section's name, or that of the complaints behind them."""
    return said(language, section) if section in SECTIONS else texts_in(language).fault.complaints


def _told(graph: "Graph", node: "Node", texts: FaultTexts) -> str:
    """Its kind and title, what was found, and how surely it comes about."""
    links = [edge.words for edge in graph.edges if edge.target == node.id]
    surely = f" ({'; '.join(dict.fromkeys(links))})" if links and node.kind == "condition" else ""
    found = f" {node.found.upper()}" if node.found else ""
    return f"{texts.kinds[node.kind]}{node.title}{found}{surely}"


def _rail_of(rows: dict[str, int], ends: dict[str, list[int]]) -> dict[str, int]:
    """The rail of each entry that leads somewhere: the first one that is free as far as it goes."""
    rails: dict[str, int] = {}
    free: list[int] = []
    for name, row in rows.items():
        if name not in ends:
            continue
        rail = next((k for k, until in enumerate(free) if until < row), len(free))
        if rail >= MOST_RAILS:
            continue
        free[rail : rail + 1] = [max(ends[name])]
        rails[name] = rail
    return rails


def _between(rails: Rails, row: int, size: int) -> str:
    """The rails that go on from the row before to this one."""
    cells = [" "] * size
    for name, rail in rails.rail.items():
        if rails.rows[name] < row <= max(rails.ends[name]):
            cells[2 * rail] = "|"
    return "".join(cells)


def _front(rails: Rails, row: int, size: int) -> str:
    """The rails beside an entry: those that arrive, the one that begins, those that pass."""
    cells = list(_between(rails, row, size))
    arriving = [rail for name, rail in rails.rail.items() if row in rails.ends[name]]
    for name, rail in rails.rail.items():
        if rails.rows[name] < row == max(rails.ends[name]):
            cells[2 * rail] = "`"
    if arriving:
        for place in range(2 * min(arriving) + 1, size - 2):
            cells[place] = "-" if cells[place] == " " else cells[place]
        cells[size - 2] = ">"
    for name, rail in rails.rail.items():
        if rails.rows[name] == row:
            cells[2 * rail] = "o"
        elif row in rails.ends[name] and cells[2 * rail] == "|":
            cells[2 * rail] = "+"
    return "".join(cells)
