"""What an author of a book cannot see: dead ends, and things that no check can find or part.

All of it is read off the graph; nothing here needs a probability.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import networkx as nx

from knowledge.book import Book
from knowledge.problems import Problem
from knowledge.schema_card import NO_CARD

if TYPE_CHECKING:
    Graph = nx.DiGraph[Any]


@dataclass(frozen=True)
class Verdict:
    """What a checker found: ``problems`` make a book wrong, ``hints`` are legal but odd."""

    problems: tuple[Problem, ...]
    hints: tuple[Problem, ...]


def check_book(book: Book) -> Verdict:
    """Everything that the graph of a book shows to be wrong or odd."""
    graph: nx.DiGraph[Any] = nx.DiGraph(book.links)
    graph.add_nodes_from([*book.causes, *book.conditions])
    seen = _reached_by_checks(book, graph)
    problems = [*_unreachable(book, seen), *_unexplained(book, graph), *_twins(book), *_unsafe_proofs(book)]
    hints = [*_loose_ends(book, graph, seen), *_blind_proofs(book, graph), *_cards(book)]
    return Verdict(tuple(problems), tuple(hints))


def looked_at(book: Book) -> dict[str, set[str]]:
    """For each check, the causes and conditions that its rows name."""
    return {
        name: {given for row in check.shows for given in row.given} for name, check in book.checks.items()
    }


def _problem(book: Book, name: str, what: str, mend: str) -> Problem:
    return Problem(book.places[name], name, what, mend)


def _reached_by_checks(book: Book, graph: "Graph") -> set[str]:
    """Everything that shows in some check, itself or through what it leads to."""
    shown = {entry.of for entry in book.complaints.values()}.union(*looked_at(book).values())
    return shown.union(*(nx.ancestors(graph, name) for name in shown))


def _unreachable(book: Book, seen: set[str]) -> Iterator[Problem]:
    for name in book.causes:
        if name not in seen:
            yield _problem(
                book,
                name,
                "no check and no complaint can see this cause",
                "Link it to a condition that a check looks at.",
            )


def _unexplained(book: Book, graph: "Graph") -> Iterator[Problem]:
    for name in book.conditions:
        if set(book.causes).isdisjoint(nx.ancestors(graph, name)):
            yield _problem(
                book, name, "no cause brings this condition about", "Link a cause to it or take it out."
            )


def _twins(book: Book) -> Iterator[Problem]:
    direct = set().union(*looked_at(book).values())
    first: dict[str, str] = {}
    for name, cause in book.causes.items():
        if name not in direct:
            key = repr(sorted((target, repr(rows)) for target, rows in cause.leads_to.items()))
            if key in first:
                yield _problem(
                    book,
                    name,
                    f"no check can tell it from {first[key]}",
                    "Give one of them a check of its own or another link.",
                )
            first.setdefault(key, name)


def _unsafe_proofs(book: Book) -> Iterator[Problem]:
    """A proof is made with the unit back in service, so it must not ask for another state."""
    for name, cause in book.causes.items():
        needs = book.checks[cause.repair.prove].hold
        if needs != "running":
            yield _problem(
                book,
                name,
                f"its proof, {cause.repair.prove}, needs the unit {needs!r}",
                "Name a check that is made with the unit running.",
            )


def _loose_ends(book: Book, graph: "Graph", seen: set[str]) -> Iterator[Problem]:
    for name in book.conditions:
        if name not in seen:
            yield _problem(
                book, name, "this condition leads to nothing that can be seen", "Give it a check or a link."
            )


def _blind_proofs(book: Book, graph: "Graph") -> Iterator[Problem]:
    views = looked_at(book)
    for name, cause in book.causes.items():
        if not views[cause.repair.prove] & ({name} | nx.descendants(graph, name)):
            yield _problem(
                book,
                name,
                f"its proof, {cause.repair.prove}, cannot see it",
                "Name a check that this cause can change.",
            )


def _cards(book: Book) -> Iterator[Problem]:
    """In a book with help cards: checks without one, and cards that nothing shows."""
    if not book.cards:
        return
    shown = {entry.card for entry in book.checks.values()} | {entry.card for entry in book.facts.values()}
    shown |= {entry.card for entry in book.holds.values()}
    shown |= {cause.repair.card for cause in book.causes.values()}
    for name, check in book.checks.items():
        if check.card is None:
            mend = f"Name one with card:, or say card: {NO_CARD} where there is nothing to find."
            yield _problem(book, name, "nothing shows what it looks like", mend)
    for name in book.cards:
        if name not in shown:
            yield _problem(book, name, "no check, repair or hold names this card", "Name it, or take it out.")
