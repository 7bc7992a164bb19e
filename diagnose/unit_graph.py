"""The part of the book's graph that matters on one callout, and the order in which a loop is read."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from diagnose.book_graph import Graph, Node, graph_of
from diagnose.callout import State
from diagnose.events import COULD_NOT_TELL
from diagnose.wording import finding_label
from knowledge.book import Book
from knowledge.words import SECTIONS


def graph_on_unit(book: Book, cause: str, state: State) -> Graph:
    """What a cause leads to on this unit, as far as a complaint or a finding of the callout.

    Links that cannot hold for the unit are left out, and so are checks that were not made. Where nothing
    that was said or seen can come from the cause, all complaints stay. `KeyError` for what is no cause.
    """
    facts = {
        **{name: found.answer for name, found in state.findings.items() if name in book.facts},
        **state.facts,
    }
    graph = graph_of(book, cause, facts)
    seen = {
        name: finding
        for name, finding in state.findings.items()
        if name in book.checks and finding.answer != COULD_NOT_TELL
    }
    ends = {state.complaint, *seen}
    kept = _leading_to(graph, [node.id for node in graph.nodes if node.id in ends])
    if len(kept) < 2:
        kept = _leading_to(graph, [node.id for node in graph.nodes if node.kind == "complaint"])
    nodes = (
        replace(node, found=finding_label(book, node.id, seen[node.id])) if node.id in seen else node
        for node in graph.nodes
        if node.id in kept | {cause}
    )
    edges = tuple(edge for edge in graph.edges if edge.source in kept and edge.target in kept)
    return Graph(tuple(nodes), edges)


def _leading_to(graph: Graph, ends: Iterable[str]) -> set[str]:
    """These and all that leads to them."""
    before: dict[str, list[str]] = {}
    for edge in graph.edges:
        before.setdefault(edge.target, []).append(edge.source)
    found, waiting = set(ends), list(ends)
    while waiting:
        for source in before.get(waiting.pop(), ()):
            if source not in found:
                found.add(source)
                waiting.append(source)
    return found


@dataclass(frozen=True)
class Stretch:
    """A section as the signal comes to it, with the entries that are met there."""

    section: str
    """`complaints` at the end."""
    nodes: tuple[Node, ...]


def in_loop_order(graph: Graph, centre: str) -> list[Stretch]:
    """The nodes along the loop, begun at the section of the centre; every link leads onward.

    A section that the signal comes to again, as it does to the vessel, stands there again.
    """
    after: dict[str, list[str]] = {}
    for edge in graph.edges:
        after.setdefault(edge.source, []).append(edge.target)
    by_id = {node.id: node for node in graph.nodes}
    first = SECTIONS.index(by_id[centre].section) if by_id[centre].section else 0
    place: dict[str, int] = {}
    order = _sources_first(list(by_id), after)
    for name in order:
        own = (SECTIONS.index(by_id[name].section) - first) % len(SECTIONS) if by_id[name].section else 0
        least = place.get(name, 0)
        place[name] = least + (own - least) % len(SECTIONS) if by_id[name].section else least
        for target in after.get(name, ()):
            place[target] = max(place.get(target, 0), place[name])
    end = max(place.values(), default=0) + 1
    stretches: dict[int, list[Node]] = {}
    for name in order:
        stretches.setdefault(place[name] if by_id[name].section else end, []).append(by_id[name])
    return [Stretch(nodes[0].section or "complaints", tuple(nodes)) for _, nodes in sorted(stretches.items())]


def _sources_first(names: list[str], after: Mapping[str, list[str]]) -> list[str]:
    """The names so that each stands behind all that leads to it; the graph has no loop."""
    open_links = dict.fromkeys(names, 0)
    for targets in after.values():
        for target in targets:
            open_links[target] += 1
    ready, order = [name for name in names if not open_links[name]], list[str]()
    while ready:
        here = ready.pop(0)
        order.append(here)
        for target in after.get(here, ()):
            open_links[target] -= 1
            if not open_links[target]:
                ready.append(target)
    return order
