"""A new unit sheet on the screen."""

import io

import pytest
from textual.events import Paste

from diagnose.sheet import read_sheet
from diagnose.sheet_draft import SheetDraft
from knowledge.problems import InputProblems
from tests.tui.driver import dump, same_as_golden
from tests.tui.test_calc_screen import SIZES, enter
from tests.tui.test_looks import weakest_contrast
from tui.screen.form_draft import FormDraft
from tui.screen.form_lines import asked_lines, foot_line, head_line, known_lines, part_lines
from tui.screen.sheet_form import FormApp, run_form
from tui.sheet_plain import ask_sheet

FIELDS = SheetDraft().asked


def at(name, **typed):
    """A draft at a field, with some lines that the sheet took."""
    form = FormDraft(SheetDraft(dict(typed)))
    form.go(FIELDS.index(name))
    return form


def on_form(tmp_path, form=None):
    """The form on the screen, writing to `new.yaml`."""
    app = FormApp(tmp_path / "new.yaml")
    app.form_screen.form = form or FormDraft()
    return app


async def answer(pilot, *texts):
    """Type each text and take it."""
    for text in texts:
        await enter(pilot, text)
        await pilot.press("enter")
    await pilot.pause()


async def test_the_same_answers_give_the_same_file_on_the_screen_and_in_lines(tmp_path):
    """Both faces write one sheet; a word is typed or picked by its number."""
    by_screen, by_lines = tmp_path / "new.yaml", tmp_path / "lines.yaml"
    app = FormApp(by_screen)
    async with app.run_test(size=(80, 24)) as pilot:
        await answer(pilot, "V-3", "", "vertical", "24 in", "", "")
        await pilot.press("escape", "1")
        await pilot.pause()
        assert not app.is_running
    ask_sheet(by_lines, iter(["V-3", "", "vertical", "24 in", "", "", "q"]), io.StringIO())
    assert by_screen.read_text(encoding="utf-8") == by_lines.read_text(encoding="utf-8")
    sheet, _ = read_sheet(str(by_screen))
    assert sheet == app.return_value.sheet()
    assert sheet.vessel.orientation == "vertical"


async def test_a_digit_gives_a_word_at_once_and_0_leaves_it_unknown(tmp_path):
    """The next field is asked for; a number that is not there is told of."""
    form = at("vessel.orientation", unit="V-3")
    app = on_form(tmp_path, form)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("5")
        await pilot.pause()
        assert "There is no word 5 here." in dump(app)
        await pilot.press("2")
        assert (form.name, form.draft.typed["vessel.orientation"]) == ("vessel.diameter", "vertical")
        await pilot.press("up", "0")
        assert (form.name, "vessel.orientation" in form.draft.typed) == ("vessel.diameter", False)


async def test_left_and_right_put_a_word_on_the_line_and_enter_takes_it(tmp_path):
    """The marked word is shown."""
    form = at("vessel.orientation", unit="V-3")
    app = on_form(tmp_path, form)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("left", "right")
        await pilot.pause()
        assert "> 1  horizontal" in dump(app)
        await pilot.press("enter", "left", "right")
    assert form.draft.typed == {"unit": "V-3", "vessel.orientation": "horizontal"}
    assert form.line == ""


async def test_a_bad_value_is_told_of_and_stays_until_it_is_mended(tmp_path):
    """The core's message; the field is not left forwards."""
    form = at("vessel.diameter", unit="V-3")
    app = on_form(tmp_path, form)
    async with app.run_test(size=(80, 24)) as pilot:
        await answer(pilot, "24")
        assert "! '24' has no unit. Write it as: 24 in." in dump(app)
        assert "Typed: 24_" in dump(app)
        await answer(pilot, " in")
    assert (form.name, form.draft.typed["vessel.diameter"]) == ("vessel.length", "24 in")


async def test_up_goes_back_and_loses_nothing(tmp_path):
    """A good line is taken, a bad one waits where it was typed; the answer before can be kept or changed."""
    form = at("vessel.diameter", unit="V-3")
    app = on_form(tmp_path, form)
    async with app.run_test(size=(80, 24)) as pilot:
        await answer(pilot, "24 in")
        await enter(pilot, "90")
        await pilot.press("up")
        await pilot.pause()
        assert "Typed: 24 in_" in dump(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "Typed: 90_" in dump(app)
        assert "! '90' has no unit." in dump(app)
        await pilot.press("up", "delete")
        await answer(pilot, "30 in")
        await pilot.press("delete")
        await enter(pilot, "5 ft")
        await pilot.press("up")
    assert form.draft.typed == {"unit": "V-3", "vessel.diameter": "30 in", "vessel.length": "5 ft"}


async def test_an_emptied_line_is_unknown_again(tmp_path):
    """Enter with nothing takes the old answer out."""
    form = at("vessel.diameter", unit="V-3", **{"vessel.diameter": "24 in"})
    app = on_form(tmp_path, form)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("delete", "enter")
    assert form.draft.typed == {"unit": "V-3"}


async def test_the_name_must_be_given(tmp_path):
    """Neither Enter nor writing gets past it."""
    app = on_form(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        assert "! the unit must have a name." in dump(app)
        await pilot.press("escape", "1")
        await pilot.pause()
        assert "! the unit must have a name." in dump(app)
        assert app.is_running
    assert not list(tmp_path.iterdir())


async def test_esc_asks_and_going_on_changes_nothing(tmp_path):
    """By 2 or by Esc, with the half typed line still there."""
    app = on_form(tmp_path, at("vessel.diameter", unit="V-3"))
    async with app.run_test(size=(80, 24)) as pilot:
        await enter(pilot, "24")
        for key in ("2", "escape"):
            await pilot.press("escape")
            await pilot.pause()
            assert f"Leave? 1 of {len(FIELDS)} fields are known." in dump(app)
            assert "! Not taken, and not written: vessel.diameter: 24" in dump(app)
            await pilot.press(key)
            await pilot.pause()
            assert "Typed: 24_" in dump(app)
    assert not list(tmp_path.iterdir())


async def test_throwing_away_writes_nothing(tmp_path):
    """And gives no sheet."""
    app = on_form(tmp_path, at("vessel.diameter", unit="V-3"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("escape", "3")
        await pilot.pause()
        assert not app.is_running
    assert app.return_value is None
    assert not list(tmp_path.iterdir())


async def test_after_the_last_field_it_asks_and_writes(tmp_path):
    """Esc there leads back to the last field."""
    app = on_form(tmp_path, at(FIELDS[-1], unit="V-3"))
    async with app.run_test(size=(80, 24)) as pilot:
        await answer(pilot, "14.7 psia")
        assert f"That was the last field. 2 of {len(FIELDS)} fields are known." in dump(app)
        await pilot.press("escape", "enter", "enter")
        await pilot.pause()
        assert not app.is_running
    assert read_sheet(str(tmp_path / "new.yaml"))[0].values() == app.return_value.sheet().values()


async def test_what_cannot_be_written_is_told_of_and_nothing_is_lost(tmp_path):
    """A file of that name came there in the meantime; it stays as it is, and writing can be tried again."""
    form = at("vessel.diameter", unit="V-3")
    app = on_form(tmp_path, form)
    path = tmp_path / "new.yaml"
    path.write_text("unit: other\n", encoding="utf-8")
    async with app.run_test(size=(80, 24)) as pilot:
        await enter(pilot, "24 in")
        await pilot.press("escape", "1")
        await pilot.pause()
        seen = "".join(line.strip() for line in dump(app).splitlines())
        assert "Nothing is written." in seen
        assert "cannot be written(File exists)" in seen.replace("written (", "written(")
        assert path.read_text(encoding="utf-8") == "unit: other\n"
        path.unlink()
        await pilot.press("1")
        await pilot.pause()
        assert not app.is_running
    assert read_sheet(str(path))[0].vessel.diameter == pytest.approx(0.6096)


@pytest.mark.parametrize(
    ("keys", "code", "said"),
    [
        (["V", "enter", "escape", "1"], 0, f"new.yaml. 1 of {len(FIELDS)} fields are known."),
        (["V", "enter", "escape", "3"], 2, "Nothing is written."),
    ],
)
def test_after_the_screen_it_says_where_the_sheet_is(tmp_path, monkeypatch, capsys, keys, code, said):
    """On the terminal, where it stays to be read."""
    run = FormApp.run

    async def typing(pilot):
        await pilot.press(*keys)
        await pilot.pause()

    monkeypatch.setattr(FormApp, "run", lambda app: run(app, headless=True, auto_pilot=typing))
    assert run_form(tmp_path / "new.yaml") == code
    assert said in capsys.readouterr().out
    assert (tmp_path / "new.yaml").exists() == (code == 0)


def test_a_folder_that_is_not_there_is_told_of_before_anything_is_asked(tmp_path):
    """Nobody answers sixty questions for nothing."""
    with pytest.raises(InputProblems, match=r"is in a folder that is not there\. Make it first\."):
        run_form(tmp_path / "none" / "new.yaml")


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
