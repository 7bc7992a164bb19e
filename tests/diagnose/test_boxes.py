"""Boxes share out the states of what a check looks at, and are as few as its answers need."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.boxes import boxes
from diagnose.network import Factor
from diagnose.reasoner import Reasoner
from knowledge.book import load_book

STEADY = settings(max_examples=60, deadline=None, derandomize=True)


@given(st.lists(st.integers(2, 3), max_size=4), st.integers(1, 4), st.integers(0, 2**32 - 1))
@STEADY
def test_every_state_lies_in_one_box_and_has_its_chances(cards, kinds, seed):
    """Any table in which only so many columns differ."""
    rng = np.random.default_rng(seed)
    columns = rng.dirichlet(np.ones(3), kinds)
    table = np.moveaxis(columns[rng.integers(0, kinds, cards)], -1, 0)
    names = tuple(f"v{k}" for k in range(len(cards)))
    found = boxes(Factor(("look", *names), table))
    for state in product(*(range(card) for card in cards)):
        at = dict(zip(names, state, strict=True))
        holding = [box for box in found if all(at[name] == value for name, value in box.given)]
        assert len(holding) == 1
        np.testing.assert_array_equal(holding[0].chance, table[(slice(None), *state)])
    assert len(found) <= np.prod(cards, dtype=int)


@pytest.mark.parametrize("count", [1, 2, 5, 8])
def test_the_first_of_many_that_is_seen_needs_one_box_each(count):
    """A look that shows the first fault it meets: one box for each fault and one for none."""
    table = np.zeros((count + 1, *(2 for _ in range(count))))
    for state in product((0, 1), repeat=count):
        table[(state.index(1) if 1 in state else count, *state)] = 1.0
    assert len(boxes(Factor(("look", *(f"v{k}" for k in range(count))), table))) == count + 1


def test_a_look_that_tells_nothing_is_one_box():
    """It gives nothing and leaves everything open."""
    (box,) = boxes(Factor(("look", "a", "b"), np.full((2, 2, 3), 0.5)))
    assert box.given == ()


def test_the_shipped_books_wide_looks_need_at_most_an_eighth_as_many_boxes_as_states():
    """What makes a row for each box cheaper than a row for each state."""
    reasoner = Reasoner(load_book(), {})
    wide = [name for name in reasoner.book.checks if reasoner.likelihood(name).table[0].size >= 64]
    assert wide
    for name in wide:
        assert 8 * len(boxes(reasoner.likelihood(name))) <= reasoner.likelihood(name).table[0].size, name
