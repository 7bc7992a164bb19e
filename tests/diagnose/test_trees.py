"""Compiled trees: whichever scopes they hold together and in whichever order, the beliefs are the same."""

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose import trees, triangulate
from diagnose.evidence import Evidence
from diagnose.network import Factor
from diagnose.reasoner import Reasoner
from knowledge.book import load_book
from tests.diagnose.random_books import books_with_findings
from tests.helpers import tiny_book

STEADY = settings(max_examples=40, deadline=None, derandomize=True)
FOUND = Evidence(("wont_open",), {"valve_listen_open": "little", "stem_watch_high": "between"})


def same_answers(one: Reasoner, other: Reasoner, evidence: Evidence, questions: list[str]) -> None:
    """Both say the same of every cause, and of every cause after every answer."""
    left, right = one.beliefs(evidence), other.beliefs(evidence)
    assert left.causes == pytest.approx(right.causes, rel=1e-9, abs=1e-13)
    assert left.weight == pytest.approx(right.weight, rel=1e-9)
    again = other.what_ifs(evidence, questions)
    for name, what_if in one.what_ifs(evidence, questions).items():
        np.testing.assert_allclose(what_if.chance, again[name].chance, rtol=1e-9, atol=1e-13)
        np.testing.assert_allclose(what_if.causes, again[name].causes, rtol=1e-9, atol=1e-13)


@given(books_with_findings())
@STEADY
def test_a_check_outside_the_tree_says_what_it_says_inside(case):
    """No scope held together, or all that were worth it: the same beliefs and the same what-ifs."""
    book, known, evidence = case
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(trees, "GREEN", 0)
        bare = Reasoner(book, known)
    same_answers(Reasoner(book, known), bare, evidence, list(book.checks)[:8])


def test_in_the_shipped_book_some_checks_stay_outside_the_tree():
    """And they are answered by rows of their own, equal to those of a tree that holds them."""
    book = load_book()
    reasoner = Reasoner(book, {})
    outside = [
        name for name in book.checks if not reasoner.tree().holds(reasoner.compiler.scope_of_check(name))
    ][:4]
    assert outside
    what_ifs = reasoner.what_ifs(FOUND, outside)
    for name in outside:
        scope = reasoner.likelihood(name).variables[1:]
        done = reasoner.calibrate(FOUND, [Factor(scope, np.ones(reasoner.likelihood(name).table.shape[1:]))])
        chance = np.tensordot(reasoner.likelihood(name).table, done.joint(scope)[..., 0], axes=len(scope))
        np.testing.assert_allclose(what_ifs[name].chance, chance, rtol=0, atol=1e-12)


@given(st.integers(0, 2**32 - 1))
@STEADY
def test_any_order_that_was_kept_gives_the_same_beliefs(seed):
    """A kept order from anywhere, even the worst, can only be slower."""
    book = tiny_book()
    kept: dict = {}
    first = Reasoner(book, {}, kept)
    (key,) = kept
    order = list(kept[key]["order"])
    random.Random(seed).shuffle(order)
    kept[key] = {"order": order, "married": kept[key]["married"]}
    again = Reasoner(book, {}, kept)
    assert again.tree().order == order
    evidence = Evidence(("wont_open",), {"output_moves": "no", "supply_gauge": "part"})
    same_answers(first, again, evidence, ["stem_moves", "trim_seen"])


@pytest.mark.parametrize(
    "damaged",
    [
        None,
        7,
        [],
        {},
        {"order": 3, "married": []},
        {"order": [], "married": []},
        {"order": ["x"], "married": 1},
    ],
)
def test_what_is_no_order_is_searched_for_again(damaged):
    """And what was damaged is written anew."""
    book, kept = tiny_book(), {}
    Reasoner(book, {}, kept)
    (key,) = kept
    good = kept[key]
    kept[key] = damaged
    Reasoner(book, {}, kept)
    assert kept[key] == good


def test_a_kept_shape_serves_only_its_own_network():
    """Other facts, another network: a shape of its own."""
    book, kept = tiny_book(), {}
    Reasoner(book, {}, kept)
    Reasoner(book, {"fails": "open"}, kept)
    assert len(kept) == 2


def test_an_order_that_was_searched_for_because_of_findings_is_kept_too(monkeypatch):
    """The next reasoner takes it and believes the same to the last bit; a damaged one is not taken."""
    book, kept = load_book(), {}
    monkeypatch.setattr(trees, "MUCH_WORSE", 0)
    first = Reasoner(book, {}, kept)
    before = set(kept)
    beliefs = first.beliefs(FOUND)
    added = {key: kept[key] for key in set(kept) - before}
    assert added
    assert Reasoner(book, {}, kept).beliefs(FOUND) == beliefs
    for damaged in (None, {"order": ["x"], "married": []}):
        kept |= dict.fromkeys(added, damaged)
        assert Reasoner(book, {}, kept).beliefs(FOUND) == beliefs
        assert {key: kept[key] for key in added} == added
    monkeypatch.setattr(triangulate, "_min_fill", None)
    assert Reasoner(book, {}, kept).beliefs(FOUND) == beliefs


@pytest.mark.parametrize("seed", range(12))
def test_a_tree_for_some_findings_holds_what_each_of_them_looks_at(seed):
    """What the first tree holds by chance too: another order of the variables may not."""
    rng = random.Random(seed)
    book = load_book()
    reasoner = Reasoner(book, {"valve_fails": rng.choice(["closed", "open"])})
    names = rng.sample(list(book.checks), 6)
    findings = {name: rng.choice(list(book.checks[name].outcomes)) for name in names}
    beliefs = reasoner.beliefs(Evidence((rng.choice(list(book.complaints)),), findings))
    assert all(0 <= probability <= 1 for probability in beliefs.causes.values())
