"""A new unit sheet on the screen."""

import io

import pytest

from diagnose.sheet import read_sheet
from knowledge.problems import InputProblems
from tests.tui.calc_driver import enter
from tests.tui.driver import dump
from tests.tui.form_driver import FIELDS, answer, at, on_form
from tui.screen.sheet_form import FormApp, run_form
from tui.sheet_plain import ask_sheet


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
