"""The fixed words: strengths, holds and sections, once and the same everywhere."""

from typing import get_args

import pytest

from knowledge.schema_parts import Hold, Section
from knowledge.words import HOLDS, SECTIONS, STRENGTHS, hold_rank, strength


def test_strengths_fall_from_always_to_never_and_reach_neither_end():
    """Strictly falling, above 0 and below 1: no link can rule out the truth."""
    values = list(STRENGTHS.values())
    assert list(STRENGTHS) == ["always", "nearly always", "usually", "often", "sometimes", "seldom", "never"]
    assert values == sorted(values, reverse=True)
    assert len(set(values)) == len(values)
    assert 0 < min(values) < max(values) < 1


def test_never_is_what_always_leaves():
    """The two ends are each other's complement."""
    assert STRENGTHS["never"] == pytest.approx(1 - STRENGTHS["always"])


def test_a_strength_is_a_word_or_the_number_itself():
    """Both come out as a probability."""
    assert strength("often") == STRENGTHS["often"]
    assert strength(0.37) == 0.37


def test_a_word_that_is_no_strength_is_not_taken():
    """The schema has refused it long before."""
    with pytest.raises(KeyError, match="mostly"):
        strength("mostly")


def test_holds_rank_in_their_order():
    """From running, 0, to open, 5."""
    assert [hold_rank(hold) for hold in HOLDS] == list(range(6))
    assert (HOLDS[0], HOLDS[-1]) == ("running", "open")


def test_the_schema_knows_the_same_words():
    """The literals that an editor completes are the words of the tables."""
    assert get_args(Section) == SECTIONS
    assert get_args(Hold) == HOLDS
