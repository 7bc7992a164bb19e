"""How the form of a new unit sheet looks: sizes, markup, contrast, and the pages that were approved."""

import pytest
from textual.events import Paste

from tests.tui.calc_driver import SIZES, enter
from tests.tui.driver import dump, same_as_golden
from tests.tui.form_driver import FIELDS, at, on_form
from tests.tui.test_looks import weakest_contrast
from tui.screen.form_lines import asked_lines, foot_line, head_line, known_lines, part_lines
from tui.screen.sheet_form import FormApp


async def test_markup_and_control_characters_are_shown_as_text(tmp_path):
    """In the name of the unit too."""
    app = on_form(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        app.post_message(Paste("[b]V[/] \x1b[2J$[x]\n"))
        await pilot.pause()
        assert "Typed: [b]V[/] [2J$[x]_" in dump(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "New unit sheet: [b]V[/] [2J$[x] " in dump(app)


async def test_no_size_breaks_the_form_and_words_and_line_are_never_cut_off(tmp_path):
    """From 40x12 on, at every field with something wrong on its line; below it says too small."""
    app = on_form(tmp_path, at("unit"))
    form = app.form_screen.form
    async with app.run_test(size=(80, 24)) as pilot:
        for width, height in SIZES:
            await pilot.resize_terminal(width, height)
            await pilot.pause()
            seen = dump(app)
            assert ("Too small" in " ".join(seen.split())) == (width < 40 or height < 12)
        for width, height in ((40, 12), (80, 24)):
            await pilot.resize_terminal(width, height)
            await pilot.pause()
            for place in range(len(FIELDS)):
                form.go(place)
                form.write("x" * 150)
                form.take()
                app.form_screen.draw()
                await pilot.pause()
                lines = dump(app).splitlines()
                assert any(line.startswith(" Typed: xxx") and line.endswith("x_") for line in lines)
                assert form.name in ("unit", "site") or any(line.startswith(" ! ") for line in lines)
                for number, word in enumerate(form.words, 1):
                    assert any(f"{number}  {word}" in line for line in lines)
                assert lines[-1].startswith(" Enter")


async def test_nothing_is_typed_or_taken_while_the_window_is_too_small_to_show_it(tmp_path):
    """A question that cannot be read cannot be answered."""
    app = on_form(tmp_path)
    async with app.run_test(size=(30, 8)) as pilot:
        await enter(pilot, "V")
        await pilot.press("enter")
        assert (app.form_screen.form.place, app.form_screen.form.line) == (0, "")


async def test_f2_changes_between_sunlight_and_dark_with_enough_contrast_in_both(tmp_path):
    """Seven to one for every letter, the message too."""
    app = on_form(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        assert weakest_contrast(app) >= 7
        await pilot.press("f2")
        await pilot.pause()
        assert app.theme == "night"
        assert weakest_contrast(app) >= 7


def test_every_part_stands_above_the_question_with_the_present_one_marked():
    """And the number of the field in it; in a narrow window that one alone."""
    form = at("controller.acting")
    wide = " ".join(line for line, _ in part_lines(form, 78))
    assert "service  [controller 3 of 10]  displacer" in wide
    assert [part for part in form.parts() if part not in wide] == []
    assert part_lines(form, 38) == [("[controller 3 of 10]", "")]


def test_only_what_stands_before_the_question_is_listed_as_known_newest_last():
    """As many as there are rows."""
    typed = {"unit": "V", "site": "Pad", "vessel.diameter": "24 in", "valve.cv": "9"}
    form = at("vessel.length", **typed)
    assert [line.split()[0] for line, _ in known_lines(form, 78, 2)] == ["site", "vessel.diameter"]
    assert known_lines(form, 78, 0) == []


def test_lines_are_never_wider_than_the_screen():
    """At every field and width, with a long line that is wrong."""
    for name in FIELDS:
        form = at(name, unit="A unit with quite a long name of its own")
        form.write("漢字 " * 40)
        form.take()
        for width in (38, 63, 78, 118):
            asked = asked_lines(form, width, 12)
            shown = [*asked, *part_lines(form, width), *known_lines(form, width, 9)]
            assert max(len(line) for line, _ in shown) <= width
            assert len(asked) <= 12
            assert len(head_line(form, width)) <= width
            assert len(foot_line(form, width)) <= width


@pytest.mark.parametrize(
    ("golden", "name", "typed"),
    [("form_word", "controller.mount", ""), ("form_wrong", "valve.bench_low", "3")],
)
async def test_the_form_is_the_one_that_was_read_and_approved(tmp_path, golden, name, typed):
    """Golden screens at the design size."""
    known = {
        "unit": "Pad 7 V-3",
        "site": "north",
        "vessel.orientation": "horizontal",
        "vessel.level": "14 in",
    }
    app = on_form(tmp_path, at(name, **known))
    async with app.run_test(size=(80, 24)) as pilot:
        await enter(pilot, typed)
        if typed:
            await pilot.press("enter")
        await pilot.pause()
        same_as_golden(app, f"{golden}_80x24")


async def test_the_leave_page_is_the_one_that_was_read_and_approved(monkeypatch, tmp_path):
    """With a line that would not be written."""
    monkeypatch.chdir(tmp_path)
    app = FormApp(type(tmp_path)("new.yaml"))
    app.form_screen.form = at("valve.bench_low", unit="Pad 7 V-3")
    async with app.run_test(size=(80, 24)) as pilot:
        await enter(pilot, "3")
        await pilot.press("escape")
        await pilot.pause()
        same_as_golden(app, "form_leave_80x24")
