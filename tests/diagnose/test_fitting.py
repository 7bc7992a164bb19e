"""Findings that no tree can hold at once are taken in parts that add up to the whole."""

import random

import numpy as np
import pytest

import diagnose.trees
from diagnose.evidence import Evidence
from diagnose.fitting import fitting, restricted
from diagnose.network import Factor
from diagnose.reasoner import Reasoner
from diagnose.triangulate import TooDense
from knowledge.book import Book, load_book

CARDS = {"a": 2, "b": 3, "c": 2, "d": 2}


def whole(factors):
    """The sum over all states of the product of the factors, written out."""
    names = list(CARDS)
    total = np.ones([CARDS[name] for name in names])
    for factor in factors:
        rest = [name for name in names if name not in factor.variables]
        order = sorted(factor.variables, key=names.index)
        table = factor.table.transpose([factor.variables.index(name) for name in order])
        total = total * np.expand_dims(table, tuple(names.index(name) for name in rest))
    return total.sum()


def some_factors(seed):
    """Factors over pairs and threes of the variables."""
    rng = np.random.default_rng(seed)
    scopes = [("a", "b"), ("c", "b", "d"), ("d", "a"), ("b",)]
    return [Factor(scope, rng.random([CARDS[name] for name in scope])) for scope in scopes]


def no_wider_than(most):
    """A tree that holds no factor of more variables."""

    def hold(factors):
        wide = [factor for factor in factors if len(factor.variables) > most]
        if wide:
            raise TooDense(wide[0].variables, 10**9)

    return hold


@pytest.mark.parametrize("most", [1, 2, 3])
@pytest.mark.parametrize("seed", range(5))
def test_the_parts_add_up_to_the_whole_and_each_fits(most, seed):
    factors = some_factors(seed)
    parts = fitting(factors, no_wider_than(most), CARDS)
    assert sum(map(whole, parts)) == pytest.approx(whole(factors), rel=1e-12)
    assert all(len(factor.variables) <= most for part in parts for factor in part)
    assert (len(parts) == 1) == (most == 3)


def test_what_no_cut_of_the_findings_makes_smaller_is_refused():
    def never(_):
        raise TooDense(("d",), 10**9)

    with pytest.raises(TooDense):
        fitting([Factor(("a", "b"), np.ones((2, 3)))], never, CARDS)


def test_factors_of_one_variable_need_no_tree_of_their_own():
    factors = [Factor(("a",), np.ones(2)), Factor(("b",), np.ones(3))]
    assert fitting(factors, no_wider_than(0), CARDS) == [factors]


def test_a_factor_is_restricted_along_its_own_axis_only():
    factor = some_factors(0)[1]
    assert np.array_equal(restricted(factor, "b", 2).table, factor.table[:, 2])
    assert restricted(factor, "a", 1) is factor


@pytest.fixture(scope="module")
def book() -> Book:
    """The shipped book."""
    return load_book()


def test_with_very_much_found_the_beliefs_are_those_of_one_large_tree(book, monkeypatch):
    facts = {"action": "snap", "acting": "direct", "valve_fails": "closed", "liquid": "oil"}
    lot = random.Random(3)
    names = lot.sample(list(book.checks), 45)
    findings = {name: lot.choice(list(book.checks[name].outcomes)) for name in names}
    evidence = Evidence(("wont_open",), findings)
    at_once = Reasoner(book, facts, complaints=["wont_open"])
    assert len(at_once.ways(evidence)) == 1
    cut = Reasoner(book, facts, complaints=["wont_open"])
    monkeypatch.setattr(diagnose.trees, "MAX_CELLS", 8192)
    assert len(cut.ways(evidence)) > 1
    one, other = at_once.beliefs(evidence), cut.beliefs(evidence)
    assert other.weight == pytest.approx(one.weight, rel=1e-9)
    assert list(other.causes.values()) == pytest.approx(list(one.causes.values()), abs=1e-9)
