"""Prices set anew for one run."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowledge.book import load_book
from knowledge.prices import with_prices
from knowledge.problems import InputProblems
from knowledge.schema import Prices

BOOK = load_book()


@given(st.dictionaries(st.sampled_from(list(Prices.model_fields)), st.floats(0, 10_000)))
def test_the_prices_given_stand_and_the_others_stay(given_prices):
    """Nothing else of the book changes."""
    changed = with_prices(BOOK, [f"{name}={minutes!r}" for name, minutes in given_prices.items()])
    assert changed.prices.model_dump() == {**BOOK.prices.model_dump(), **given_prices}
    assert changed.causes is BOOK.causes
    assert changed.digest == BOOK.digest


@pytest.mark.parametrize("minutes", ["", "much", "-1", "nan", "inf", "10001"])
def test_a_price_that_is_no_number_of_minutes_is_refused(minutes):
    """With the way to write it."""
    with pytest.raises(InputProblems, match=r"--price: help: .* Write it as help=30\."):
        with_prices(BOOK, [f"help={minutes}"])


def test_all_that_is_wrong_is_said_at_once():
    """A wrong name with the near one, and a wrong number."""
    with pytest.raises(InputProblems) as caught:
        with_prices(BOOK, ["movin=3", "talk=x"])
    first, second = map(str, caught.value.problems)
    assert "Did you mean moving?" in first
    assert "talk" in second
