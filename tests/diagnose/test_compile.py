"""The book becomes a network: base rates, what a check shows, and what known facts leave."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.compile import MAX_BASE, Compiler, all_causes, base_rate, shares
from knowledge.schema import Cause, Check, Show
from tests.diagnose.oracle import base_of
from tests.diagnose.random_books import books_with_findings
from tests.helpers import cause, check, tiny_book

STEADY = settings(max_examples=20, deadline=None, derandomize=True)


def rated(*more_likely, base: float = 10) -> Cause:
    return Cause.model_validate(cause({"x": "always"}, base, more_likely=list(more_likely)))


def shown(then, slip: float = 0.04, outcomes: str = "none part full") -> list[float]:
    made = Check.model_validate(check([{"then": then}, {"then": then}], outcomes, slip=slip))
    return shares(made, Show.model_validate({"then": then})).tolist()


@given(books_with_findings())
@STEADY
def test_what_a_check_shows_sums_to_one(case):
    """For every state of what it looks at and every unknown fact, the outcomes' shares sum to 1."""
    book, known, _ = case
    compiler = Compiler(book, known)
    for name in book.checks:
        table = compiler.likelihoods(name).table
        np.testing.assert_allclose(table.sum(axis=0), 1, rtol=0, atol=1e-12)
        assert (table > 0).all()


@given(books_with_findings())
@STEADY
def test_the_scope_of_a_check_names_no_known_fact(case):
    """Known facts fold away: only causes, conditions and unknown facts are left in the network."""
    book, known, _ = case
    compiler = Compiler(book, known)
    assert not set(known) & set(compiler.network().states)
    for name in book.checks:
        assert not set(known) & set(compiler.scope_of_check(name))


@given(books_with_findings())
@STEADY
def test_a_prior_is_the_base_rate_times_what_remains(case):
    """With every fact known, the prior's yes is the base rate, per mille, times the share left."""
    book, _, evidence = case
    values = {name: next(iter(entry.values)) for name, entry in book.facts.items()}
    compiler = Compiler(book, values)
    for name in all_causes(book):
        left = evidence.remains.get(name, 1.0)
        assert compiler.prior(name, left).table[1] == pytest.approx(
            base_of(book, name, values, {name: left}), rel=1e-12
        )


def test_factors_that_hold_multiply():
    """10 per 1000, twice in the warm and three times when wet: 60 per 1000 in both, 20 in one."""
    entry = rated({"when": {"season": "warm"}, "times": 2}, {"when": {"gas": ["wet", "sour"]}, "times": 3})
    assert base_rate(entry, {"season": "warm", "gas": "sour"}) == pytest.approx(0.060)
    assert base_rate(entry, {"season": "warm", "gas": "dry"}) == pytest.approx(0.020)
    assert base_rate(entry, {"season": "cold", "gas": "dry"}) == pytest.approx(0.010)


def test_a_base_of_its_own_replaces_the_base_and_is_multiplied_too():
    """The first own base that holds counts; factors that hold still apply."""
    entry = rated(
        {"when": {"season": "cold"}, "base": 50},
        {"when": {"season": ["cold", "warm"]}, "base": 90},
        {"when": {"season": "cold"}, "times": 2},
    )
    assert base_rate(entry, {"season": "cold"}) == pytest.approx(0.100)
    assert base_rate(entry, {"season": "warm"}) == pytest.approx(0.090)


@pytest.mark.parametrize("coincidence", [0.1, 0.25, 1.0])
def test_a_rate_of_callouts_is_scaled_by_the_coincidence_and_a_chance_is_not(coincidence):
    """A chance already speaks of the unit as it stands; factors raise either."""
    entry = rated(
        {"when": {"season": "cold"}, "chance": 0.3},
        {"when": {"season": "warm"}, "base": 50},
        {"when": {"gas": "wet"}, "times": 2},
    )
    found = {
        (season, gas): base_rate(entry, {"season": season, "gas": gas}, coincidence)
        for season in ("cold", "warm", "mild")
        for gas in ("wet", "dry")
    }
    assert found == pytest.approx(
        {
            ("cold", "dry"): 0.3,
            ("cold", "wet"): 0.6,
            ("warm", "dry"): 0.050 * coincidence,
            ("warm", "wet"): 0.100 * coincidence,
            ("mild", "dry"): 0.010 * coincidence,
            ("mild", "wet"): 0.020 * coincidence,
        }
    )


def test_the_first_chance_that_holds_counts_whatever_rates_hold_too():
    """A chance goes before a rate of its own, in whichever order they stand."""
    chance, rate = {"when": {"season": "cold"}, "chance": 0.3}, {"when": {"season": "cold"}, "base": 50}
    other = {"when": {"season": ["cold", "warm"]}, "chance": 0.1}
    assert base_rate(rated(rate, chance, other), {"season": "cold"}, 0.5) == pytest.approx(0.3)
    assert base_rate(rated(other, rate, chance), {"season": "cold"}, 0.5) == pytest.approx(0.1)


@given(books_with_findings(), st.floats(0.05, 1))
@STEADY
def test_the_coincidence_of_a_book_is_in_every_prior(case, coincidence):
    """Of causes and of unlisted ones, whatever is known of the unit: as the oracle writes it out."""
    book, known, _ = case
    book = replace(book, coincidence=coincidence)
    values = {name: next(iter(entry.values)) for name, entry in book.facts.items()} | known
    for name in all_causes(book):
        assert Compiler(book, values).prior(name).table[1] == pytest.approx(base_of(book, name, values, {}))


def test_a_book_that_does_not_say_has_no_coincidence():
    """Every fault is there as often as it is met."""
    assert tiny_book().coincidence == 1.0
    assert tiny_book({"coincidence": 0.25}).coincidence == 0.25


def test_no_base_rate_passes_the_cap():
    """990 per 1000, tripled, stays at MAX_BASE, so that one check can speak against it."""
    entry = rated({"when": {"season": "cold"}, "times": 3}, base=990)
    assert base_rate(entry, {"season": "cold"}) == MAX_BASE == base_rate(entry, {"season": "warm"})


def test_every_complaint_has_an_unlisted_cause():
    """The book's causes come first, then one unlisted cause for each complaint."""
    book = tiny_book()
    assert all_causes(book) == [*book.causes, "unlisted_wont_open", "unlisted_wont_shut"]


def test_what_a_row_leaves_is_spread_over_the_other_outcomes():
    """none 0.8 leaves 0.1 for each of the two others, before the slip of 0.04 is mixed in."""
    expected = [0.96 * p + 0.04 / 3 for p in (0.8, 0.1, 0.1)]
    assert shown({"none": 0.8}) == pytest.approx(expected)


def test_strengths_above_one_are_scaled():
    """0.9 and 0.6 become 0.6 and 0.4; nothing but the slip is left for the third outcome."""
    assert shown({"none": 0.9, "part": 0.6}) == pytest.approx([0.96 * p + 0.04 / 3 for p in (0.6, 0.4, 0)])


def test_strengths_that_name_every_outcome_are_scaled_to_one():
    """0.2, 0.2 and 0.1 over all three outcomes become 0.4, 0.4 and 0.2."""
    row = {"none": 0.2, "part": 0.2, "full": 0.1}
    assert shown(row) == pytest.approx([0.96 * p + 0.04 / 3 for p in (0.4, 0.4, 0.2)])


def test_a_bare_outcome_means_always():
    """`then: none` is `then: {none: always}`."""
    assert shown("none") == shown({"none": "always"})


def test_the_first_row_that_holds_counts():
    """With no supply and a slow pilot the gauge reads as for no supply."""
    compiler = Compiler(tiny_book(), {"season": "warm", "fails": "open"})
    table = compiler.likelihoods("supply_gauge").table
    np.testing.assert_array_equal(table[:, 1, 0], table[:, 1, 1])
    assert table[1, 0, 1] > 0.5


def test_rows_for_another_value_of_a_known_fact_are_dropped():
    """On a valve that fails open, the row for fails closed is gone and the fact is not looked at."""
    book = tiny_book()
    assert len(Compiler(book, {"fails": "open"}).rows_of_check("output_moves")) == 2
    assert "fails" not in Compiler(book, {"fails": "open"}).scope_of_check("output_moves")
    assert Compiler(book, {}).scope_of_check("output_moves") == ("output_stuck", "stem_stuck", "fails")
