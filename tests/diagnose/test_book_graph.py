"""The book's graph, whole or around one entry."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.book_graph import graph_of
from knowledge.book import Book
from knowledge.words import SECTIONS
from tests.diagnose.random_books import random_books
from tests.helpers import tiny_book
from tests.tui.driver import small_book

STEADY = settings(max_examples=40, deadline=None, derandomize=True)


@pytest.fixture(scope="module")
def tiny() -> Book:
    """The tiny book."""
    return tiny_book()


def arcs_of(book: Book) -> set[tuple[str, str]]:
    """Every (from, to) that the book's entries name."""
    shown = {
        (given, name) for name, check in book.checks.items() for row in check.shows for given in row.given
    }
    return {*book.links, *shown, *((entry.of, name) for name, entry in book.complaints.items())}


@given(random_books())
@STEADY
def test_the_whole_graph_has_every_entry_and_every_link_once(book):
    """Causes, conditions, checks and complaints; what brings about, what shows, what is reported."""
    graph = graph_of(book)
    names = [node.id for node in graph.nodes]
    assert sorted(names) == sorted([*book.causes, *book.conditions, *book.checks, *book.complaints])
    arcs = [(edge.source, edge.target) for edge in graph.edges]
    assert len(arcs) == len(set(arcs))
    assert set(arcs) == arcs_of(book)


@given(random_books(), st.data())
@STEADY
def test_around_an_entry_is_what_leads_to_it_and_what_it_leads_to(book, data):
    """One step before it; after it everything, step by step; and all links between these."""
    arcs = arcs_of(book)
    centre = data.draw(st.sampled_from([*book.causes, *book.conditions, *book.checks, *book.complaints]))

    def after(name: str) -> set[str]:
        targets = {target for source, target in arcs if source == name}
        return targets.union(*map(after, targets))

    near = {centre} | after(centre) | {source for source, target in arcs if target == centre}
    graph = graph_of(book, centre)
    assert {node.id for node in graph.nodes} == near
    assert {(edge.source, edge.target) for edge in graph.edges} == {
        arc for arc in arcs if near.issuperset(arc)
    }


@pytest.mark.parametrize("book", [tiny_book(), small_book()], ids=["tiny", "small"])
def test_nodes_stand_in_the_order_of_the_signal(book):
    """By section; in each causes before conditions before checks; complaints, which have none, last."""
    order = {section: place for place, section in enumerate((*SECTIONS, ""))}
    kinds = {kind: place for place, kind in enumerate(("cause", "condition", "check", "complaint"))}
    keys = [(order[node.section], kinds[node.kind]) for node in graph_of(book).nodes]
    assert keys == sorted(keys)
    assert {node.section for node in graph_of(book).nodes if node.kind == "complaint"} == {""}


def test_an_unknown_entry_has_no_graph(tiny):
    """A fact is none of its entries either."""
    for name in ("nothing", "season"):
        with pytest.raises(KeyError, match=name):
            graph_of(tiny, name)


@pytest.mark.parametrize(
    ("source", "target", "words"),
    [
        ("supply_lost", "no_supply", "always"),
        ("supply_frozen", "slow_pilot", "0.4"),
        ("output_stuck", "stays_shut", "always when fails is closed"),
        ("output_stuck", "passes", "always when fails is open, else seldom"),
        ("no_supply", "supply_gauge", "none usually, part 0.15"),
        ("passes", "wont_shut", "nearly always"),
    ],
)
def test_a_link_says_how_surely_and_for_which_units(tiny, source, target, words):
    """For a check what it then shows; for a complaint how surely it is reported."""
    edges = {(edge.source, edge.target): edge.words for edge in graph_of(tiny).edges}
    assert edges[source, target] == words


def test_a_row_that_names_two_things_says_so_at_each(tiny):
    """With what else, and apart from the row that names one alone."""
    edges = {(edge.source, edge.target): edge.words for edge in graph_of(tiny).edges}
    assert edges["stem_stuck", "output_moves"] == "no 0.9 with output_stuck"
    assert edges["output_stuck", "output_moves"] == ("no 0.9 with stem_stuck; no always when fails is closed")
