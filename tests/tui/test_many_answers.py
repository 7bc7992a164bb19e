"""A page with more answers than there are figures: its keys, on the screen and line by line."""

from dataclasses import replace

import pytest

from diagnose.opening import open_callout
from diagnose.steps import KEYS, Choice, choices
from diagnose.walk import Walk
from tests.diagnose.test_steps import many_complaints
from tests.tui.driver import Unit, checking, dump, on_screen, press
from tests.tui.test_plain import talk
from tui.screen.page import answer_lines, foot_line


def asking(count: int) -> Walk:
    """A walk that asks for one of so many complaints."""
    book = many_complaints(count)
    first = open_callout("test", Unit("V-1"), book, "2026-01-31T12:00:00Z")
    return Walk(book, [first], lambda event: None, lambda: "2026-01-31T12:00:01Z")


@pytest.mark.parametrize(
    ("count", "unsure", "keys"),
    [
        (1, False, "1"),
        (1, True, "0-1"),
        (3, True, "0-3"),
        (9, False, "1-9"),
        (10, False, "1-9 j"),
        (12, False, "1-9 j-l"),
        (11, True, "0-9 j-k"),
    ],
)
def test_the_foot_says_which_keys_answer(count, unsure, keys):
    """Figures from the first to the last, then letters from the first to the last."""
    answers = {f"a{k}": "It does" for k in range(count)} | ({"could_not_tell": "?"} if unsure else {})
    view = checking("lift_arm").view()
    line = foot_line(replace(view, step=replace(view.step, choices=choices(answers))), 80)
    assert line.startswith(f" {keys} answer  ")


async def test_a_letter_answers_on_the_screen():
    """The tenth and the twelfth; every answer stands there with its key."""
    for key, name in (("j", "does_c9"), ("l", "does_c11")):
        walk = asking(12)
        async with on_screen(walk, (80, 40)) as pilot:
            shown = dump(pilot.app)
            for k, letter in enumerate(KEYS):
                assert (
                    f"{letter}  It does c{k}\n" in shown.replace("\xa0", " ")
                    or f"{letter}  It does c{k} " in shown
                )
            await press(pilot, key)
        assert walk.state.complaint == name


async def test_a_letter_that_stands_for_no_answer_says_so():
    """And changes nothing."""
    walk = asking(10)
    async with on_screen(walk) as pilot:
        await press(pilot, "k")
        assert "There is no answer k here." in dump(pilot.app)
    assert walk.state.complaint == ""


def test_a_letter_answers_line_by_line():
    """Its line stands in the list of answers."""
    walk = asking(12)
    assert "\nl. It does c11\n" in talk(walk, "l")
    assert walk.state.complaint == "does_c11"


def test_the_lines_of_the_answers_carry_their_keys():
    """The mark before the key of the marked one."""
    lines, first, last = answer_lines([Choice(key, key, f"Answer {key}") for key in KEYS], 9, 40)
    assert [line[2] for line, _ in lines] == list(KEYS)
    assert (first, last, lines[9][0]) == (9, 9, "> j  Answer j")
