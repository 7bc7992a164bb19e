"""Which causes no check tells apart: the measure's laws, and what is listed."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from diagnose.alone import alone
from diagnose.telling_apart import (
    LEAST_APART,
    SHARED,
    UNOPENED,
    bits_between,
    blind_checks,
    pairs,
    standard_setups,
    unseen,
)
from knowledge.book import Book
from knowledge.words import HOLDS, hold_rank
from tests.diagnose.random_books import random_books
from tests.helpers import bare_book, book_of, cause, changed, check, complaint, fact, tiny_book

STEADY = settings(max_examples=60, deadline=None, derandomize=True)


@st.composite
def distributions(draw):
    """P(answer | cause) of two to five answers and one to five causes; some answers are impossible."""
    shape = draw(st.tuples(st.integers(2, 5), st.integers(1, 5)))
    weights = draw(arrays(np.float64, shape, elements=st.one_of(st.just(0.0), st.floats(1e-3, 1))))
    weights[0] += weights.sum(axis=0) == 0
    return weights / weights.sum(axis=0)


@given(distributions())
@STEADY
def test_bits_between_two_causes_are_a_distance_of_at_most_one(table):
    """The same both ways, nothing between a cause and itself, never outside 0 to 1."""
    bits = bits_between(table)
    np.testing.assert_array_equal(bits, bits.T)
    np.testing.assert_allclose(np.diag(bits), 0, rtol=0, atol=1e-12)
    assert ((bits >= 0) & (bits <= 1)).all()


@given(distributions())
@STEADY
def test_bits_between_are_scipys_jensen_shannon_distance_squared(table):
    """`scipy.spatial.distance.jensenshannon` with base 2 is the square root of the divergence."""
    distance = pytest.importorskip("scipy.spatial.distance", reason="a development dependency")
    bits = bits_between(table)
    for one, other in product(range(table.shape[1]), repeat=2):
        expected = distance.jensenshannon(table[:, one], table[:, other], base=2) ** 2
        assert bits[one, other] == pytest.approx(np.nan_to_num(expected), abs=1e-7)


@given(distributions(), st.randoms(use_true_random=False))
@STEADY
def test_merging_two_answers_into_one_never_tells_causes_apart_better(table, draw):
    """The data-processing inequality."""
    one, other = draw.sample(range(table.shape[0]), 2)
    merged = np.delete(table, other, axis=0)
    merged[one - (other < one)] += table[other]
    assert (bits_between(merged) <= bits_between(table) + 1e-12).all()


def rivals(look: dict, told: dict | None = None, **more: dict) -> Book:
    """Two causes of the same complaint, alike but at one look."""
    causes = {
        "seat_cut": cause({"stays_shut": "always"}, **(told or {})),
        "disc_bent": cause({"stays_shut": "always"}),
    }
    return book_of(changed(bare_book(), {"causes": causes, "checks": {"look": look}, **more}))


def look_at_seat(hold: str = "running") -> dict:
    """A look that parts the two for nearly sure, made in a hold."""
    return check([{"given": "seat_cut", "then": {"yes": 0.99}}, {"then": {"no": 0.99}}], hold=hold)


@given(random_books())
@settings(max_examples=30, deadline=None, derandomize=True)
def test_every_pair_listed_is_below_the_least_at_every_check_and_shares_a_complaint(book):
    """On random books, and every such pair is listed: by the tables of `alone`, pair by pair."""
    (facts,) = standard_setups(book).values()
    seen = alone(book, facts)
    unopened = [name for name in seen.shows if hold_rank(book.checks[name].hold) <= hold_rank(UNOPENED)]
    expected = {}
    for i, one in enumerate(seen.causes):
        for j in range(i + 1, len(seen.causes)):
            best = max(float(bits_between(seen.shows[name])[i, j]) for name in unopened)
            together = any(min(said[i], said[j]) >= SHARED for said in seen.reported.values())
            if best < LEAST_APART and together:
                expected[one, seen.causes[j]] = pytest.approx(best, abs=1e-12)
    assert {(pair.one, pair.other): pair.bits for pair in pairs(book)} == expected


@pytest.mark.parametrize("hold", HOLDS)
def test_a_pair_that_differs_only_at_a_look_inside_is_listed(hold):
    """A check of the unit isolated still counts, one that needs it depressured or open does not."""
    listed = [(pair.one, pair.other, pair.because) for pair in pairs(rivals(look_at_seat(hold)))]
    opened = hold in ("depressured", "open")
    assert listed == ([("seat_cut", "disc_bent", "")] if opened else [])


def test_a_listed_pair_names_its_best_check_and_how_little_that_tells():
    """Both causes always bring about what the proof looks at, so that nothing tells."""
    (pair,) = pairs(rivals(look_at_seat("open")))
    assert pair.setup == "any"
    assert pair.bits == pytest.approx(0, abs=1e-9)
    weak = check([{"given": "seat_cut", "then": {"yes": 0.6}}, {"then": {"no": 0.6}}], slip=0.001)
    (pair,) = pairs(rivals(weak))
    seen = alone(rivals(weak), {})
    assert pair.check == "look"
    assert pair.bits == float(bits_between(seen.shows["look"])[0, 1])


@pytest.mark.parametrize(
    ("told", "because"),
    [
        ({}, ""),
        ({"told_when_open": "The seat is inside."}, "The seat is inside."),
        ({"same_repair_as": "disc_bent"}, "the same repair"),
        ({"same_repair_as": "disc_bent", "told_when_open": "It is inside."}, "the same repair"),
    ],
)
def test_the_book_can_say_why_it_leaves_a_pair_untold(told, because):
    """The same work puts both right, or only taking it apart tells; else nothing explains it."""
    (pair,) = pairs(rivals(look_at_seat("open"), told))
    assert pair.because == because


def test_two_causes_with_the_same_repair_as_a_third_have_it_in_common():
    """Though neither names the other."""
    book = rivals(
        look_at_seat("open"),
        {"same_repair_as": "worn"},
        causes={
            "seat_cut": cause({"stays_shut": "always"}, same_repair_as="worn"),
            "disc_bent": cause({"stays_shut": "always"}, same_repair_as="worn"),
            "worn": cause({"stays_shut": "always"}),
        },
    )
    assert {pair.because for pair in pairs(book)} == {"the same repair"}
    assert len(pairs(book)) == 3


def test_causes_of_different_complaints_are_no_rivals():
    """However alike they look: what the caller says tells them apart."""
    book = rivals(
        look_at_seat("open"),
        causes={"disc_bent": cause({"stays_open": "always"}), "seat_cut": cause({"stays_shut": "always"})},
        conditions={"stays_open": {"title": "Stays open"}},
        complaints={"wont_shut": complaint("stays_open")},
    )
    assert pairs(book) == []


def test_the_pairs_that_nothing_explains_come_first():
    """Then by how little tells them apart."""
    book = rivals(
        look_at_seat("open"),
        causes={
            "seat_cut": cause({"stays_shut": "always"}, told_when_open="Inside."),
            "disc_bent": cause({"stays_shut": "always"}, told_when_open="Inside."),
            "worn": cause({"stays_shut": "often"}),
            "dirty": cause({"stays_shut": "usually"}),
        },
    )
    found = [(bool(pair.because), pair.bits) for pair in pairs(book)]
    assert found == sorted(found)
    assert {because for because, _ in found} == {False, True}


def test_a_book_without_the_facts_of_the_pairings_has_one_setup():
    """Its facts' first values."""
    assert standard_setups(tiny_book()) == {"any": {"season": "warm", "fails": "closed"}}


def test_the_standard_setups_are_the_right_pairings():
    """Direct with a valve that fails closed, indirect with one that fails open, each with either action."""
    share = {"share": {"mild": 0.5, "icy": 0.5}}
    facts = {
        "weather": fact([share], "mild icy"),
        **{
            name: fact([{"share": dict.fromkeys(values.split(), 0.5)}], values)
            for name, values in (
                ("action", "snap throttle"),
                ("acting", "indirect direct"),
                ("valve_fails", "open closed"),
            )
        },
    }
    setups = standard_setups(rivals(look_at_seat(), facts=facts))
    found = {(f["action"], f["acting"], f["valve_fails"]) for f in setups.values()}
    assert found == set(product(("snap", "throttle"), ("direct",), ("closed",))) | set(
        product(("snap", "throttle"), ("indirect",), ("open",))
    )
    assert {f["weather"] for f in setups.values()} == {"mild"}
    for name, values in setups.items():
        assert name == f"{values['action']}, {values['acting']}, fails {values['valve_fails']}"


def test_a_check_that_shows_the_same_of_everything_is_blind():
    """And the one that parts two rivals is not, whatever hold it needs."""
    same = check([{"given": "seat_cut", "then": {"yes": 0.7}}, {"then": {"yes": 0.7}}])
    book = rivals(look_at_seat("open"), checks={"look": look_at_seat("open"), "same": same})
    assert blind_checks(book) == ["drop_seen", "same"]


PAIRINGS = {
    "action": fact([{"share": {"snap": 0.5, "throttle": 0.5}}], "snap throttle"),
    "acting": fact([{"share": {"direct": 0.5, "indirect": 0.5}}], "direct indirect"),
    "valve_fails": fact([{"share": {"closed": 0.5, "open": 0.5}}], "closed open"),
}


def test_a_check_that_tells_rivals_apart_in_one_setup_alone_is_not_blind():
    """It is worth its place there; one that tells them apart in no right pairing is not."""
    row, rest = {"given": "seat_cut", "then": {"yes": 0.99}}, {"then": {"no": 0.99}}
    sometimes = check([{**row, "when": {"action": "throttle", "valve_fails": "open"}}, rest])
    never = check([{**row, "when": {"acting": "direct", "valve_fails": "open"}}, rest])
    book = rivals(sometimes, facts=PAIRINGS, checks={"look": sometimes, "never": never})
    assert blind_checks(book) == ["drop_seen", "never"]


def test_a_pair_is_listed_once_with_the_setup_where_it_is_worst():
    """Weakly told apart in three of the four, not at all in the last: that one counts."""
    rows = [{"given": "seat_cut", "then": {"yes": 0.65}}, {"then": {"no": 0.65}}]
    nothing = {"when": {"action": "snap", "valve_fails": "open"}, "then": {"no": 0.65}}
    (pair,) = pairs(rivals(check([nothing, *rows]), facts=PAIRINGS))
    assert pair.setup == "snap, indirect, fails open"
    assert pair.bits == pytest.approx(0, abs=1e-9)
    (other,) = pairs(rivals(check(rows)))
    # The premise: elsewhere the look tells something, and less than the least.
    assert 0.02 < other.bits < LEAST_APART


def test_a_cause_that_shows_in_one_set_up_alone_is_named_for_the_others():
    """The one check sees it only where the valve fails closed; the complaint comes of it anyhow."""
    setup = {
        "action": fact([{"share": {"snap": 0.5, "throttle": 0.5}}], "snap throttle"),
        "acting": fact([{"share": {"direct": 0.5, "indirect": 0.5}}], "direct indirect"),
        "valve_fails": fact([{"share": {"closed": 0.5, "open": 0.5}}], "closed open"),
    }
    looks = {"given": ["hidden"], "when": {"valve_fails": "closed"}, "then": {"yes": "always"}}
    book = book_of(
        changed(
            bare_book(),
            {
                "facts": setup,
                "causes": {
                    "hidden": cause({"stays_shut": "always"}),
                    "fine": cause({"stays_shut": "always"}, nothing_wrong=True),
                },
                "complaints": {"wont_open": complaint("stays_shut")},
                "checks": {"drop_seen": check([looks, {"then": {"no": "always"}}])},
            },
        )
    )
    names = list(standard_setups(book))
    assert {(name, each) for name, each in unseen(book) if name == "hidden"} == {
        ("hidden", each) for each in names if "open" in each
    }
    assert "fine" not in {name for name, _ in unseen(book)}
