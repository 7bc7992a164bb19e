"""The calculators on the screen.

Most of it is tested with a small calculator of its own, so that a change of the arithmetic changes no
test here; two goldens show a real one.
"""

import argparse

import pytest

from diagnose.calculators.run import CALCULATORS, calculate, value_text
from knowledge.problems import InputProblems
from tests.tui.calc_driver import PLATE, enter, fill, on_screen, row
from tests.tui.driver import dump
from tui.commands.calc import add_parser
from tui.screen.calc_form import CalcForm
from tui.screen.calc_screen import CalcApp, run_calculators


async def test_a_calculator_is_picked_from_the_list_by_its_number_or_by_enter():
    """Esc leads back to the list, with the mark where it was."""
    names = list(CALCULATORS)
    app = CalcApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for calculator in CALCULATORS.values():
            assert f"[{calculator.name}]" in dump(app)
        await pilot.press("2")
        await pilot.pause()
        assert app.screen.form.calculator.name == names[1]
        await pilot.press("escape", "up", "enter")
        await pilot.pause()
        assert app.screen.form.calculator.name == names[0]


async def test_a_named_calculator_opens_over_the_list_and_unknown_names_are_told_of():
    """With the nearest spelling."""
    app = CalcApp("density")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Density of oil" in dump(app)
        await pilot.press("escape")
        await pilot.pause()
        assert "What do you want to calculate?" in dump(app)
        shown = next(line for line in dump(app).splitlines() if line.startswith(" > "))
        assert "Density of oil" in shown
    with pytest.raises(InputProblems, match=r"no calculator named 'densty'\. Did you mean density\?"):
        run_calculators("densty", {})


async def test_the_answers_follow_every_change_and_are_those_of_the_line_command():
    """The screen shows what `calculate` gives for the same words."""
    app = CalcApp("density")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down")
        for text, value in (("35 API", "35 API"), ("", None)):
            await enter(pilot, text)
            if value is None:
                await pilot.press(*["backspace"] * 5, "0", "space", "A", "P", "I")
                value = "30 API"
            await pilot.pause()
            seen = dump(app)
            for answer in calculate("density", [f"density={value}"]).answers:
                assert f"{value_text(answer.value, answer.unit)}  {answer.about}" in seen
            assert "── Answers ──" in seen


async def test_what_is_needed_what_is_usual_and_what_the_sheet_says_is_shown():
    """On each line and, as long as there is no answer, under the rule."""
    async with on_screen(CalcForm(PLATE, {"valve.seat": 0.254})) as pilot:
        assert "from the sheet: 10 in" in row(pilot, "long")
        assert "needed" in row(pilot, "wide")
        assert "usual: square" in row(pilot, "shape")
        assert "may stay empty" in row(pilot, "more_0")
        assert "── No answer yet ──" in dump(pilot.app)
        assert "! Still needed: wide." in dump(pilot.app)
        await pilot.press("down")
        await enter(pilot, "2 in")
        assert "area of the plate" in dump(pilot.app)


async def test_what_is_typed_goes_before_the_sheet_and_emptied_the_sheet_counts_again():
    """Delete empties a line."""
    form = CalcForm(PLATE, {"valve.seat": 0.254})
    async with on_screen(form) as pilot:
        await pilot.press("down")
        await enter(pilot, "2 in")
        await pilot.press("up")
        await enter(pilot, "20 in")
        assert form.result["area"] == pytest.approx(0.508 * 0.0508)
        await pilot.press("delete")
        await pilot.pause()
        assert form.result["area"] == pytest.approx(0.254 * 0.0508)
        assert "from the sheet: 10 in" in row(pilot, "long")


async def test_a_bad_value_shows_its_message_and_the_last_answers_are_marked_as_old():
    """Nothing typed is lost, and mending it makes the answers new."""
    form = CalcForm(PLATE)
    async with on_screen(form) as pilot:
        await fill(pilot)
        await pilot.press("up", "backspace", "backspace")
        await pilot.pause()
        seen = dump(pilot.app)
        assert "! 2 _" in row(pilot, "wide")
        assert "! '2' has no unit. Write it as: 2 in." in seen
        assert "── OLD answers: not of what is typed now" in seen
        assert "old 0.0129  area of the plate" in seen
        await pilot.press("down")
        await pilot.pause()
        assert "! '2' has no unit." in row(pilot, "wide")
        assert form.typed == {"long": "10 in", "wide": "2 "}
        await pilot.press("up")
        await enter(pilot, "in")
        assert "── Answers" in dump(pilot.app)
        assert "old" not in dump(pilot.app)


async def test_inputs_that_make_no_sense_together_are_told_of():
    """Each is possible by itself; the core's message stands over the old answers."""
    async with on_screen(CalcForm(PLATE)) as pilot:
        await fill(pilot)
        await pilot.press("up", "up", "delete")
        await enter(pilot, "1 in")
        assert "! it is wider than long: turn it round" in dump(pilot.app)
        assert "OLD answers" in dump(pilot.app)


async def test_a_word_is_picked_by_its_number_or_by_left_and_right():
    """Delete or backspace takes it out; letters do nothing."""
    form = CalcForm(PLATE)
    async with on_screen(form) as pilot:
        await fill(pilot)
        assert "Press: 1 round, 2 square, 3 oval." in dump(pilot.app)
        await pilot.press("1")
        assert form.result["fits"] is True
        for key, word in (("right", "square"), ("left", "round"), ("left", "oval"), ("x", "oval")):
            await pilot.press(key)
            assert form.line == word
        await pilot.press("backspace")
        assert form.line == ""
        await pilot.press("right")
        assert form.line == "oval"
        await pilot.press("9")
        await pilot.pause()
        assert "! '9' is not one of its words." in dump(pilot.app)


async def test_left_and_right_do_nothing_to_a_number():
    """There is no word before or after it."""
    form = CalcForm(PLATE)
    async with on_screen(form) as pilot:
        await enter(pilot, "10 in")
        await pilot.press("left", "right")
    assert form.typed == {"long": "10 in"}


async def test_the_mark_goes_round_and_the_marked_line_is_always_shown():
    """More inputs than rows: ^ and v say so."""
    form = CalcForm(PLATE)
    async with on_screen(form) as pilot:
        for _ in range(len(PLATE.inputs) + 1):
            await pilot.pause()
            assert row(pilot, form.entry.name)[1] == ">"
            assert f"{form.marked + 1} of 17" in dump(pilot.app)
            await pilot.press("down")
        await pilot.press(*["down"] * 6)
        await pilot.pause()
        assert [line for line in dump(pilot.app).splitlines() if line.startswith(" ^ ")]
        assert [line for line in dump(pilot.app).splitlines() if line.startswith(" v ")]


async def test_answers_that_do_not_fit_are_announced_and_reached():
    """PgDn and PgUp, to the last source and back; no further."""
    async with on_screen(CalcForm(PLATE)) as pilot:
        await fill(pilot)
        assert "PgDn: more" in dump(pilot.app)
        assert "Source: A book" not in dump(pilot.app)
        await pilot.press(*["pagedown"] * 9)
        await pilot.pause()
        assert "Source: A book" in dump(pilot.app)
        assert "PgUp: more" in dump(pilot.app)
        await pilot.press(*["pageup"] * 3)
        await pilot.pause()
        assert "area of the plate" in dump(pilot.app)


async def test_q_leaves_where_nothing_is_typed_and_is_a_letter_where_something_is():
    """The foot names it only where it does."""
    form = CalcForm(PLATE)
    async with on_screen(form) as pilot:
        assert "q leave" in dump(pilot.app)
        await enter(pilot, "1q")
        assert form.line == "1q"
        assert "q leave" not in dump(pilot.app)
        await pilot.press("down", "q")
        await pilot.pause()
        assert not pilot.app.is_running
    assert pilot.app.return_code == 0


@pytest.mark.parametrize("key", ["q", "escape"])
async def test_q_and_esc_leave_the_list(key):
    """Without an error."""
    app = CalcApp()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(key)
        await pilot.pause()
        assert not app.is_running
    assert app.return_code == 0


async def test_what_was_typed_is_there_again_after_a_look_at_the_list():
    """Also after another calculator."""
    app = CalcApp("density")
    number = list(CALCULATORS).index("density")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down")
        await enter(pilot, "35 API")
        await pilot.press("escape", "1", "escape", *["down"] * number, "enter")
        await pilot.pause()
        assert "> density      35 API_" in dump(app)


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ([], "calc: --screen: needs a terminal. Without one: halfsplit calc NAME KEY=VALUE ..."),
        (["density", "--json"], "calc: --json: does not go with --screen."),
        (["density", "what=oil"], "calc: what=oil: does not go with --screen."),
    ],
)
def test_the_command_says_what_the_screen_needs(words, message, capsys):
    """Exit code 2, and no screen is opened."""
    parser = argparse.ArgumentParser()
    add_parser(parser.add_subparsers())
    args = parser.parse_args(["calc", "--screen", *words])
    assert args.run(args) == 2
    assert message in capsys.readouterr().err
