"""What `book check` and `book show` print of a book, as lines."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from tui.text import clean

if TYPE_CHECKING:
    from diagnose.book_graph import Graph, Node
    from diagnose.telling_apart import Pair
    from knowledge.book import Book


def pair_lines(book: "Book", pairs: Sequence["Pair"]) -> list[str]:
    """The causes that no check tells apart without opening anything, each pair with its reason."""
    lines = ["", "Not told apart without opening something (bits of the best check, worst set-up):"]
    for pair in pairs:
        titles = " / ".join(book.causes[name].title for name in (pair.one, pair.other))
        lines.append(f"{pair.bits:5.2f}  {titles}")
        lines.append(f"       {pair.one}, {pair.other}; {pair.setup}; {pair.because or 'NOT EXPLAINED'}")
    return [clean(line) if line else line for line in lines]


def graph_lines(graph: "Graph") -> list[str]:
    """The graph section by section, each entry with where it leads and what it shows."""
    lines, section = list[str](), None
    for node in graph.nodes:
        if node.section != section:
            section = node.section
            lines += ["", (section or "complaints").upper()]
        lines.append(f"{node.kind} {node.id}: {node.title}")
        lines += [f"    {edge.words} -> {edge.target}" for edge in graph.edges if edge.source == node.id]
    return [clean(line) if line else line for line in lines[1:]]


def around_lines(graph: "Graph", centre: str) -> list[str]:
    """One entry: what leads to it, and where it leads, step by step to what can be seen of it."""
    nodes = {node.id: node for node in graph.nodes}
    lines = [_titled(nodes[centre])]
    lines += [
        f"  <- {edge.words}: {_titled(nodes[edge.source])}" for edge in graph.edges if edge.target == centre
    ]
    lines += _onward(graph, nodes, centre, 1, set())
    return [clean(line) for line in lines]


def _titled(node: "Node") -> str:
    return f"{node.id}  {node.title}"


def _onward(graph: "Graph", nodes: "dict[str, Node]", here: str, depth: int, told: set[str]) -> Iterator[str]:
    """Where an entry leads, indented; what was told before is named and not told again."""
    for edge in graph.edges:
        if edge.source != here:
            continue
        node, again = nodes[edge.target], edge.target in told
        mark = {"check": "seen by", "complaint": "reported as"}.get(node.kind, "->")
        yield f"{'  ' * depth}{mark} {edge.words}: {_titled(node)}{' (see above)' if again else ''}"
        if not again:
            told.add(edge.target)
            yield from _onward(graph, nodes, edge.target, depth + 1, told)
