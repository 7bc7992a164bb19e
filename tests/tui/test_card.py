"""`v` shows what a thing looks like: the same words in both faces, the drawing where there is room for it."""

import io
from dataclasses import replace

import pytest

from diagnose.steps import check_step
from knowledge.book import load_book
from knowledge.schema_card import Card
from tests.tui.driver import (
    RECORD,
    checking,
    dump,
    on_screen,
    press,
    same_as_golden,
    settle,
    small_book,
    stage,
    walk_screen,
)
from tui.card_lines import alone
from tui.plain import walk_plain
from tui.screen.card import card_lines

CARD = Card(
    title="The lever under the pilot",
    drawing="   [1]\n    |\n----+---- 2",
    names=["pilot", "lever"],
    see="A flat bar with a screw in it.",
    where="Inside the cover.",
    right="The tip meets the middle of the pin.",
    wrong="The tip is beside the pin.",
)


def asked(card: Card | None):
    """A walk that asks for the lever, with this card."""
    step = check_step(small_book(), "lift_arm", "It parts the two.", ())
    return stage(checking("lift_arm"), replace(step, card=card))


def talk(*lines: str, card: Card | None = CARD) -> str:
    """What the line mode says after its first page."""
    out = io.StringIO()
    walk_plain(asked(card), [f"{line}\n" for line in lines], out, RECORD)
    return out.getvalue().partition("Answer: ")[2]


def test_a_window_that_is_too_narrow_leaves_the_drawing_out_and_says_so():
    """All of the words stay."""
    wide = [line for line, _ in card_lines(CARD, "en", 40)]
    narrow = " ".join(line.strip() for line, _ in card_lines(CARD, "en", 9))
    assert wide[:4] == [*CARD.rows, "1 = pilot, 2 = lever"]
    assert narrow.startswith("The drawing needs a wider window.")
    assert "+" not in narrow
    assert "beside the pin." in narrow


def test_the_line_mode_says_the_words_first_and_draws_last():
    """`v words` leaves the drawing out, and nothing is answered by either."""
    said = talk("v")
    places = [said.index(words) for words in (CARD.title, "What you see: A flat", "Where it is:", "Wrong:")]
    assert places == sorted(places)
    assert "\n".join(["Drawing: 1 = pilot, 2 = lever.", *CARD.rows]) in said
    words = talk("v words")
    assert "Wrong: The tip is beside the pin." in words
    assert "Drawing" not in words
    assert "+" not in words
    assert "There is no picture for this one." in talk("v", card=None)


def test_a_card_has_its_labels_in_the_language_that_is_spoken():
    """English where there are none in it."""
    assert "Dónde está: Inside the cover." in alone(CARD, "es")
    assert alone(CARD, "xx") == alone(CARD, "en")


async def test_v_opens_the_card_over_the_screen_and_v_closes_it_again():
    """The question is still there, unanswered; without a card a message says so."""
    async with on_screen(asked(CARD)) as pilot:
        assert "v view" in dump(pilot.app)
        await press(pilot, "v")
        assert "Wrong: The tip is beside the pin." in dump(pilot.app)
        await press(pilot, "v")
        assert walk_screen(pilot).is_current
    async with on_screen(asked(None)) as pilot:
        assert "v view" not in dump(pilot.app)
        await press(pilot, "v")
        assert "There is no picture for this one." in dump(pilot.app)


@pytest.mark.parametrize("size", [(20, 6), (40, 12), (60, 20), (200, 60)])
async def test_no_size_breaks_a_card(size):
    """Down to the smallest window."""
    async with on_screen(asked(CARD)) as pilot:
        await press(pilot, "v")
        await pilot.resize_terminal(*size)
        await settle(pilot)
        assert "lever" in dump(pilot.app)


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_a_card_is_the_one_that_was_read_and_approved(size):
    """Golden screens."""
    async with on_screen(asked(CARD), size) as pilot:
        await press(pilot, "v")
        same_as_golden(pilot.app, f"card_{size[0]}x{size[1]}")


def test_each_card_of_the_shipped_book_stands_whole_in_a_usual_window():
    """Drawing, names and sentences, between the head and the foot of 80 by 24."""
    cards = load_book().cards
    assert len(cards) >= 40
    assert {name: len(card_lines(card, "en", 78)) for name, card in cards.items() if not card.rows} == {}
    tall = {name: len(card_lines(card, "en", 78)) for name, card in cards.items()}
    assert {name: rows for name, rows in tall.items() if rows > 22} == {}
