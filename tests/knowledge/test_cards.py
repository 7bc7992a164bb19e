"""Help cards: small plain drawings whose digits have names, and names that lead to them."""

import pytest
from pydantic import ValidationError

from knowledge.checker import check_book
from knowledge.problems import InputProblems
from knowledge.schema_card import TALLEST, WIDEST, Card
from tests.helpers import tiny_book

CARD = {"title": "A gauge", "see": "A round face.", "right": "It moves."}


def refused(**more) -> str:
    """What is said of a card that is refused."""
    with pytest.raises(ValidationError) as told:
        Card(**CARD, **more)
    return str(told.value)


def test_a_drawing_of_the_largest_size_is_taken_and_a_larger_one_is_not():
    """Columns and lines are counted without blanks at the ends."""
    whole = "\n".join(["-" * WIDEST + "   "] * TALLEST) + "\n\n"
    assert len(Card(**CARD, drawing=whole).rows) == TALLEST
    assert f"{WIDEST + 1} columns by 1 lines" in refused(drawing="-" * (WIDEST + 1))
    assert f"1 columns by {TALLEST + 1} lines" in refused(drawing="-\n" * (TALLEST + 1))


@pytest.mark.parametrize("odd", ["─", "ó", "\t", "\x1b"])
def test_a_drawing_is_plain_ascii(odd):
    """So that every terminal can show it."""
    assert "Use plain ASCII" in refused(drawing=f"--{odd}--")


def test_a_drawing_has_no_words_in_it():
    """They are for its names: a drawing is the same in every language. One letter can be an arrow's head."""
    assert "words in it: gas, oil | Put" in refused(drawing="gas\n---\noil")
    assert Card(**CARD, drawing="--- v o ---").names == []


def test_each_digit_of_a_drawing_has_a_name_and_each_name_a_digit():
    """So that the words can stand outside it."""
    assert Card(**CARD, drawing="1--2--1", names=["gauge", "pot"]).names == ["gauge", "pot"]
    assert "digits are 1, 2, its names are for 1" in refused(drawing="1--2", names=["gauge"])
    assert "digits are none, its names are for 1" in refused(drawing="--", names=["gauge"])
    assert "digits are none, its names are for 1" in refused(names=["gauge"])


def cards(**checks: str) -> dict:
    """Changes of the tiny book: a card, and the card that these checks name."""
    return {"cards": {"gauge": CARD}, "checks": {name: {"card": card} for name, card in checks.items()}}


def test_a_card_that_is_not_there_is_told_with_the_nearest_name():
    """At the field that names it."""
    with pytest.raises(InputProblems, match=r"drop_seen\.card: .* named 'guage'. Did you mean gauge\?"):
        tiny_book(cards(drop_seen="guage"))
    with pytest.raises(InputProblems, match=r"supply_lost\.repair\.card: there is no help card named 'none'"):
        tiny_book({**cards(), "causes": {"supply_lost": {"repair": {"card": "none"}}}})


def test_none_is_no_name_for_a_card():
    """A check says it that has no card."""
    with pytest.raises(InputProblems, match=r"cards\.none: 'none' is what a check says that has no card"):
        tiny_book({"cards": {"none": CARD}})


def test_checks_without_a_card_and_cards_without_a_check_are_hinted_at():
    """Not for a check that says that it needs none."""
    hints = {hint.field: hint.what for hint in check_book(tiny_book(cards(trim_seen="none"))).hints}
    assert hints["drop_seen"] == "nothing shows what it looks like"
    assert hints["gauge"] == "no check, repair or hold names this card"
    assert "trim_seen" not in hints
    hints = {hint.field: hint.what for hint in check_book(tiny_book(cards(drop_seen="gauge"))).hints}
    assert {"drop_seen", "gauge"}.isdisjoint(hints)


def test_a_book_without_cards_has_no_hints_of_them():
    """Such a book is whole."""
    assert not any("looks like" in hint.what for hint in check_book(tiny_book()).hints)
