"""Triangulation keeps every scope in one clique and says who is to blame when it cannot."""

import re
from math import prod

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.compile import Compiler
from diagnose.junction_tree import JunctionTree
from diagnose.triangulate import TooDense, cliques
from knowledge.book import load_book
from tests.diagnose.networks import CHEST_CLINIC

STEADY = settings(max_examples=80, deadline=None, derandomize=True)
NAMES = [f"v{k}" for k in range(9)]


@st.composite
def scopes_of(draw):
    """(states of each variable, random scopes over them)."""
    names = NAMES[: draw(st.integers(1, len(NAMES)))]
    cards = {name: draw(st.integers(2, 4)) for name in names}
    scope = st.lists(st.sampled_from(names), min_size=1, max_size=4, unique=True)
    return cards, draw(st.lists(scope, max_size=9))


@given(scopes_of())
@STEADY
def test_every_scope_lies_inside_a_clique(case):
    """And every variable, also one that no scope names, is in some clique."""
    cards, scopes = case
    found, order = cliques(cards, scopes)
    for scope in [*scopes, *([name] for name in cards)]:
        assert any(set(scope) <= set(clique) for clique in found)
    assert sorted(order) == sorted(cards)


@given(scopes_of())
@STEADY
def test_the_cliques_are_those_of_a_chordal_graph(case):
    """networkx, given the filled-in graph, calls it chordal and finds the same maximal cliques."""
    cards, scopes = case
    found, _ = cliques(cards, scopes)
    filled = nx.Graph()
    filled.add_nodes_from(cards)
    for clique in found:
        filled.add_edges_from((a, b) for a in clique for b in clique if a != b)
    assert nx.is_chordal(filled)
    assert {frozenset(c) for c in found} == {frozenset(c) for c in nx.find_cliques(filled)}


@given(scopes_of())
@STEADY
def test_a_graph_that_needs_no_arc_gets_none(case):
    """A chordal graph is left as it is: min-fill adds arcs only where a cycle lacks a chord."""
    cards, scopes = case
    before = nx.Graph()
    before.add_nodes_from(cards)
    for scope in scopes:
        before.add_edges_from((a, b) for a in scope for b in scope if a != b)
    filled, _ = nx.complete_to_chordal_graph(before)
    found, _ = cliques(cards, [tuple(c) for c in nx.find_cliques(filled)])
    assert {frozenset(c) for c in found} == {frozenset(c) for c in nx.find_cliques(filled)}


@given(scopes_of(), st.integers(4, 300))
@STEADY
def test_no_clique_passes_the_limit_or_the_members_are_named(case, limit):
    """Below the limit all tables fit; else the members of the one that does not are named."""
    cards, scopes = case
    free, _ = cliques(cards, scopes)
    if all(prod(cards[name] for name in clique) <= limit for clique in free):
        assert cliques(cards, scopes, limit)[0] == free
    else:
        with pytest.raises(TooDense, match="hang together in one table") as caught:
            cliques(cards, scopes, limit)
        assert caught.value.cells == prod(cards[name] for name in caught.value.members) > limit
        assert all(name in str(caught.value) for name in caught.value.members)


def test_too_dense_says_who_and_how_large():
    """Twelve yes/no variables in one scope make a table of 4,096 cells; all twelve are named."""
    cards = {f"part_{k}": 2 for k in range(12)}
    words = "12 things hang together in one table of 4,096 cells: " + ", ".join(cards)
    with pytest.raises(TooDense, match=re.escape(words)):
        cliques(cards, [tuple(cards)], max_cells=4_095)
    assert cliques(cards, [tuple(cards)], max_cells=4_096)[0] == [tuple(cards)]


def test_the_chest_clinic_has_its_six_cliques():
    """Lauritzen & Spiegelhalter 1988, fig. 4 (from memory): six cliques, none above three."""
    tree = JunctionTree.of(CHEST_CLINIC)
    assert sorted(len(clique) for clique in tree.cliques) == [2, 2, 3, 3, 3, 3]
    assert tree.cells == 2 * 4 + 4 * 8


@pytest.mark.parametrize(("known", "most"), [(False, 20_000), (True, 15_000)])
def test_the_shipped_book_is_thin_enough_for_quick_answers(known, most):
    """At most 15,000 table cells with every fact known, and 20,000 with none, whatever is complained of."""
    book = load_book()
    facts = {name: next(iter(fact.values)) for name, fact in book.facts.items()} if known else {}
    compiler = Compiler(book, facts)
    for complaint in book.complaints.values():
        assert JunctionTree.of(compiler.network([complaint.of])).cells <= most
