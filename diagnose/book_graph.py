"""The book's graph, or the part of it around one entry, ready to be drawn: nodes in loop order and links."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from diagnose.own_words import said
from knowledge.book import Book
from knowledge.schema_parts import LinkRow, When
from knowledge.words import SECTIONS

Kind = Literal["cause", "condition", "check", "complaint"]


@dataclass(frozen=True)
class Node:
    """One entry."""

    id: str
    kind: Kind
    title: str
    section: str
    """Empty for a complaint."""
    found: str = ""
    """What a check showed, where it was made."""


@dataclass(frozen=True)
class Edge:
    """A link from what brings about to what is brought about, or to what shows it."""

    source: str
    target: str
    words: str
    """How surely, and for which units; for a check what it then shows."""


@dataclass(frozen=True)
class Graph:
    """Nodes in the order of the signal, causes before conditions before checks; complaints last."""

    nodes: tuple[Node, ...]
    edges: tuple[Edge, ...]


def graph_of(book: Book, around: str = "", facts: Mapping[str, str] | None = None) -> Graph:
    """The whole graph; or what leads to one entry, what it leads to, and what shows these.

    ``around``: a cause, a condition, a check or a complaint; `KeyError` for anything else. ``facts``: what
    is known of a unit, by which links that cannot hold there are left out.
    """
    nodes = {node.id: node for node in _nodes(book)}
    edges = tuple(_edges(book, facts or {}))
    if not around:
        return Graph(tuple(nodes.values()), edges)
    if around not in nodes:
        raise KeyError(around)
    kept = _near(book, nodes[around], edges)
    return Graph(
        tuple(node for name, node in nodes.items() if name in kept),
        tuple(edge for edge in edges if edge.source in kept and edge.target in kept),
    )


def _nodes(book: Book) -> Iterable[Node]:
    kinds: tuple[tuple[Kind, dict[str, str]], ...] = (
        ("cause", {name: entry.title for name, entry in book.causes.items()}),
        ("condition", {name: entry.title for name, entry in book.conditions.items()}),
        ("check", {name: entry.ask for name, entry in book.checks.items()}),
    )
    for section in SECTIONS:
        for kind, titles in kinds:
            for name, title in titles.items():
                if book.sections[name] == section:
                    yield Node(name, kind, title, section)
    for name, complaint in book.complaints.items():
        yield Node(name, "complaint", complaint.title, "")


def _edges(book: Book, facts: Mapping[str, str]) -> Iterable[Edge]:
    for entries in (book.causes, book.conditions):
        for name, entry in entries.items():
            for target, rows in entry.leads_to.items():
                if kept := [_as_here(row, facts) for row in rows if _can_hold(row.when, facts)]:
                    yield Edge(name, target, link_words(kept, book.language))
    for name, check in book.checks.items():
        told: dict[str, list[str]] = {}
        for row in check.shows:
            if not _can_hold(row.when, facts):
                continue
            shown = ", ".join(f"{outcome} {how}" for outcome, how in row.then.items())
            for given in row.given:
                beside = [other for other in row.given if other != given]
                told.setdefault(given, []).append(shown + _with(beside) + when_words(row.when, book.language))
        for given, words in told.items():
            yield Edge(given, name, "; ".join(words))
    for name, complaint in book.complaints.items():
        yield Edge(complaint.of, name, str(complaint.reported))


def _can_hold(when: When | None, facts: Mapping[str, str]) -> bool:
    return all(facts.get(fact, values[0]) in values for fact, values in (when or {}).items())


def _as_here(row: LinkRow, facts: Mapping[str, str]) -> LinkRow:
    """The row without what it asks of the unit that is known to hold."""
    left = {fact: values for fact, values in (row.when or {}).items() if fact not in facts}
    return row.model_copy(update={"when": left or None})


def _with(names: list[str]) -> str:
    return f" with {' and '.join(names)}" if names else ""


def link_words(rows: Iterable[LinkRow], language: str = "") -> str:
    """The strengths of a link as words.

    >>> link_words([LinkRow(strength="always", when={"valve_fails": ["open"]}), LinkRow(strength=0.2)])
    'always when valve_fails is open, else 0.2'
    """
    strengths = [f"{said(language, str(row.strength))}{when_words(row.when, language)}" for row in rows]
    return said(language, ", else ").join(strengths)


def when_words(when: When | None, language: str = "") -> str:
    """For which units a row holds, as words; empty for all."""
    either = said(language, " or ")
    parts = [
        said(language, "{fact} is {values}", fact=fact, values=either.join(values))
        for fact, values in (when or {}).items()
    ]
    return said(language, " when {facts}", facts=said(language, " and ").join(parts)) if parts else ""


def _near(book: Book, centre: Node, edges: Iterable[Edge]) -> set[str]:
    """What leads to it in one step, all that it leads to, and the checks and complaints of these."""
    after: dict[str, set[str]] = {}
    before: dict[str, set[str]] = {}
    for edge in edges:
        after.setdefault(edge.source, set()).add(edge.target)
        before.setdefault(edge.target, set()).add(edge.source)
    kept, waiting = {centre.id} | before.get(centre.id, set()), [centre.id]
    while waiting:
        here = waiting.pop()
        for target in after.get(here, ()):
            if target not in kept:
                kept.add(target)
                if target in book.conditions:
                    waiting.append(target)
    return kept
