"""How the calculators look on a screen: sizes, markup, contrast, lines, and the pages that were approved."""

import pytest
from textual.events import Paste

from diagnose.calculators.run import CALCULATORS
from tests.tui.calc_driver import PLATE, SIZES, enter, fill, on_screen, row
from tests.tui.driver import dump, same_as_golden
from tests.tui.test_looks import weakest_contrast
from tui.screen.calc_form import CalcForm
from tui.screen.calc_lines import detail_rows, head_line, input_lines, input_rows, result_lines, rule_text
from tui.screen.calc_screen import CalcApp
from tui.screen.typed_line import LONGEST


async def test_pasted_text_is_typed_without_what_could_drive_the_terminal():
    """And a page pasted by mistake is cut off."""
    form = CalcForm(PLATE)
    async with on_screen(form) as pilot:
        pilot.app.post_message(Paste("10\x1b[2J in\n"))
        await pilot.pause()
        assert form.line == "10[2J in"
        pilot.app.post_message(Paste("漢" * 5000))
        await pilot.pause()
        assert len(form.line) == LONGEST
        assert "漢_" in row(pilot, "long")


async def test_markup_is_shown_as_text():
    """In what is typed and in what comes back."""
    async with on_screen(CalcForm(PLATE)) as pilot:
        await fill(pilot)
        assert "[b]and[/b] more." in dump(pilot.app)
        await pilot.press("up")
        pilot.app.post_message(Paste("[bold]$[x"))
        await pilot.pause()
        assert "2 in[bold]$[x_" in row(pilot, "wide")


async def test_f2_changes_between_sunlight_and_dark_with_enough_contrast_in_both():
    """Seven to one for every letter."""
    async with on_screen(CalcForm(PLATE)) as pilot:
        await fill(pilot)
        assert weakest_contrast(pilot.app) >= 7
        await pilot.press("f2")
        await pilot.pause()
        assert pilot.app.theme == "night"
        assert weakest_contrast(pilot.app) >= 7


@pytest.mark.parametrize("name", CALCULATORS)
async def test_no_size_breaks_a_calculator(name):
    """From 40x12 on the marked input, an answer row and the foot are there; below it says too small."""
    app = CalcApp(name)
    async with app.run_test(size=(80, 24)) as pilot:
        for width, height in SIZES:
            await pilot.resize_terminal(width, height)
            await pilot.pause()
            lines = dump(app).splitlines()
            assert ("Too small" in " ".join(dump(app).split())) == (width < 40 or height < 12)
            if width >= 40 and height >= 12:
                assert any(line.startswith(" > ") for line in lines)
                assert lines[next(n for n, line in enumerate(lines) if line.startswith("── ")) + 1]
                assert lines[-1].startswith(" Esc list")
        await pilot.press("escape")
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert dump(app).strip()


async def test_nothing_is_typed_while_the_window_is_too_small_to_show_it():
    """What was typed before is kept."""
    form = CalcForm(PLATE)
    async with on_screen(form) as pilot:
        await enter(pilot, "1")
        await pilot.resize_terminal(30, 8)
        await pilot.pause()
        await enter(pilot, "2")
        assert form.line == "1"


def test_the_rows_of_inputs_do_not_depend_on_what_is_typed_and_leave_room_for_answers():
    """At every size from the smallest."""
    for width in (40, 64, 80, 200):
        for height in range(12, 61):
            for inputs in (1, 4, 17, 40):
                rows = input_rows(width, height, inputs)
                assert 1 <= rows <= inputs
                assert height - 3 - detail_rows(width) - rows >= 3


def test_lines_are_never_wider_than_the_screen():
    """In any state and at any width."""
    form = CalcForm(PLATE)
    for line in ("", "1", "x" * 300, "10 in"):
        form.write(line)
        for width in range(38, 130):
            shown = [*input_lines(form, width, 5), *result_lines(form, width), (head_line(form, width), "")]
            assert max(len(text) for text, _ in shown) <= width


def test_answers_outside_the_range_of_their_formula_are_said_to_be_rough():
    """In words, over the answers."""
    form = CalcForm(PLATE, {"valve.seat": 6.0}, {"wide": "1 in"})
    assert rule_text(form, False, False) == "Answers, rough: outside the formula's range"


async def test_the_empty_and_the_filled_calculator_are_the_ones_that_were_read_and_approved():
    """Golden screens at the design size."""
    app = CalcApp("density", {"vessel.temperature": 310.9278})
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        same_as_golden(app, "calc_empty_80x24")
        await pilot.press("down")
        await enter(pilot, "35 API")
        await pilot.press("down", "down")
        await enter(pilot, "3 ft")
        same_as_golden(app, "calc_old_80x24")
