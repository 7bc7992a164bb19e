"""The full screen: what it looks like, at every size and in both themes."""

import argparse

import pytest
from rich.cells import cell_len
from rich.color import ColorTriplet
from textual.binding import Binding
from textual.color import Color
from textual.widgets import Input

from knowledge.problems import InputProblems
from knowledge.words import SECTIONS
from tests.tui.driver import (
    MOMENTS,
    RECORD,
    checking,
    dump,
    new_walk,
    on_screen,
    patient_clock,
    press,
    same_as_golden,
    settle,
    walk_screen,
)
from tui.looks import Looks, looks_of
from tui.screen.app import WalkApp
from tui.screen.help import effective_keys
from tui.screen.page import bar, foot_line, strip_lines
from tui.screen.plain_cells import PlainCells
from tui.screen.room import Wanted, share_out
from tui.screen.walk_screen import WalkScreen
from tui.screen.wrap import cut, wrap
from tui.texts.english import ENGLISH

KEY_HELP = ENGLISH.help.keys
LABELS = ENGLISH.page.sections
FAULTS = ENGLISH.page.faults
WALK_KEYS = [str(entry.id) for entry in WalkScreen.BINDINGS if isinstance(entry, Binding)]


def dialog_walk():
    """A walk with two findings behind it and a question before it that takes a reading."""
    return new_walk(["1", "1"], lift_arm="nothing", soap="dry", now="output_gauge")


SIZES = [(20, 6), (24, 8), (30, 10), (39, 30), (40, 12), (60, 20), (80, 24), (120, 30), (120, 40), (200, 60)]


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
@pytest.mark.parametrize("moment", MOMENTS)
async def test_screens_are_the_ones_that_were_read_and_approved(moment, size):
    """Golden screens; `driver.RENEW` tells how to write them anew."""
    async with on_screen(MOMENTS[moment](), size) as pilot:
        same_as_golden(pilot.app, f"{moment}_{size[0]}x{size[1]}")


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
@pytest.mark.parametrize(("dialog", "key"), [("keys", "question_mark"), ("change", "c"), ("type", "r")])
async def test_dialogs_are_the_ones_that_were_read_and_approved(dialog, key, size):
    """Golden screens of what lies over the question."""
    async with on_screen(dialog_walk(), size) as pilot:
        await press(pilot, key)
        same_as_golden(pilot.app, f"dialog_{dialog}_{size[0]}x{size[1]}")


@pytest.mark.parametrize("moment", MOMENTS)
async def test_no_size_breaks_a_screen_and_no_answer_is_ever_cut_off(moment):
    """At each size every answer is there whole, or the window is said to be too small."""
    walk = MOMENTS[moment]()
    step = walk.view().step
    async with on_screen(walk) as pilot:
        for width, height in SIZES:
            await pilot.resize_terminal(width, height)
            await settle(pilot)
            seen = " ".join(answers_column(dump(pilot.app)).split())
            if "Too small" in seen:
                assert width < 40 or height < 12
                continue
            for choice in step.choices if step else ():
                assert f"{choice.key} {choice.label}" in seen, (width, height)


def answers_column(screen: str) -> str:
    """The screen, without the faults where they stand beside the answers."""
    lines = screen.splitlines()
    start = next(
        (n for n, line in enumerate(lines) if f"{FAULTS} ─" in line and not line.startswith("── L")), None
    )
    if start is None:
        return screen
    left = lines[start].index(f"── {FAULTS}")
    return "\n".join(line[:left] for line in lines[start:])


@pytest.mark.parametrize("key", ["question_mark", "c", "r", "slash"])
async def test_no_size_breaks_a_dialog(key):
    """Each dialog is drawn at each size, and closes again."""
    async with on_screen(dialog_walk()) as pilot:
        await press(pilot, key)
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert dump(pilot.app).strip()
        await press(pilot, "escape")
        assert pilot.app.screen is walk_screen(pilot)


async def test_no_answer_is_taken_while_the_window_is_too_small_to_show_it():
    """A question that cannot be read cannot be answered."""
    walk = new_walk(["1", "1"])
    async with on_screen(walk, (20, 6)) as pilot:
        assert "Too small" in dump(pilot.app)
        await press(pilot, "1", "enter", "u", "c", "r", "n", "slash")
        assert len(walk.events) == 3
        await pilot.resize_terminal(80, 24)
        await press(pilot, "1")
    assert len(walk.events) == 4


def luminance(color: ColorTriplet) -> float:
    """Relative luminance, WCAG 2.2 (from memory)."""
    parts = [part / 255 for part in color]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: ColorTriplet, other: ColorTriplet) -> float:
    """Contrast of two colours, 1 to 21, WCAG 2.2 (from memory).

    >>> contrast(ColorTriplet(0, 0, 0), ColorTriplet(255, 255, 255))
    21.0
    """
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def weakest_contrast(app) -> float:
    """The least contrast of any letter on the screen."""
    found = []
    for strip in app.screen._compositor.render_strips():
        for text, style, _ in strip:
            if text.strip() and style and style.color and style.bgcolor:
                found.append(contrast(style.color.get_truecolor(), style.bgcolor.get_truecolor()))
    assert found
    return min(found)


@pytest.mark.parametrize("theme", ["sun", "night"])
@pytest.mark.parametrize("moment", ["check", "caution", "cured"])
async def test_every_letter_has_a_contrast_of_seven_to_one(moment, theme):
    """Measured on the drawn screen, in both themes."""
    async with on_screen(MOMENTS[moment]()) as pilot:
        pilot.app.theme = theme
        await settle(pilot)
        assert weakest_contrast(pilot.app) >= 7


@pytest.mark.parametrize("theme", ["sun", "night"])
@pytest.mark.parametrize("key", ["question_mark", "c", "r", "slash", "f", "w", "g", "s"])
async def test_every_letter_of_a_dialog_has_a_contrast_of_seven_to_one(key, theme):
    """The line that is typed on too."""
    async with on_screen(dialog_walk()) as pilot:
        pilot.app.theme = theme
        await press(pilot, key)
        for line in pilot.app.screen.query(Input):
            line.value = "12"
            await press(pilot, "enter")
        await pilot.app.workers.wait_for_complete()
        await settle(pilot)
        assert weakest_contrast(pilot.app) >= 7


async def test_t_goes_round_the_three_themes():
    """Sunlight, dark, the terminal's own, and sunlight again."""
    async with on_screen(new_walk()) as pilot:
        for theme in ("sun", "night", "terminal", "sun"):
            assert pilot.app.theme == theme
            await press(pilot, "t")


@pytest.mark.parametrize("moment", ["check", "caution", "repair"])
async def test_the_terminals_own_theme_sets_no_colour(moment):
    """Nor is anything told by colour: what stands out is bold or reversed."""
    app = WalkApp(MOMENTS[moment](), RECORD, monotonic=patient_clock(), ahead=False, looks=Looks("terminal"))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        styles = [style for strip in app.screen._compositor.render_strips() for _, style, _ in strip if style]
        assert all(style.color is None or style.color.is_default for style in styles)
        assert all(style.bgcolor is None or style.bgcolor.is_default for style in styles)
        assert any(style.reverse for style in styles)


@pytest.mark.parametrize("moment", MOMENTS)
async def test_ascii_alone_is_ascii_alone_and_as_wide(moment):
    """Every sign becomes one of the same width, so nothing moves."""
    walk = MOMENTS[moment]()
    async with on_screen(walk) as pilot:
        whole = dump(pilot.app)
    app = WalkApp(walk, RECORD, monotonic=patient_clock(), ahead=False, looks=Looks(ascii_only=True))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        strips = app.screen._compositor.render_strips()
        filters = [PlainCells()]
        drawn = ["".join(s.text for s in filters[0].apply(list(strip), Color(0, 0, 0))) for strip in strips]
        assert any(isinstance(each, PlainCells) for each in app.get_line_filters())
    assert "\n".join(drawn).isascii()
    assert [len(line.rstrip()) for line in drawn] == [cell_len(line) for line in whole.splitlines()]


def test_the_looks_are_those_of_option_then_settings_then_surroundings(tmp_path, monkeypatch):
    """NO_COLOR asks for no colour; an encoding without block signs for ASCII; a wrong word is told of."""
    assert looks_of(environment={}, encoding="utf-8") == Looks("sun", ascii_only=False)
    assert looks_of(environment={"NO_COLOR": "1"}, encoding="ascii") == Looks("terminal", ascii_only=True)
    settings = tmp_path / "settings.toml"
    monkeypatch.setenv("HALFSPLIT_CONFIG", str(settings))
    settings.write_text('theme = "night"\nascii = "yes"\n', encoding="utf-8")
    assert looks_of(environment={"NO_COLOR": "1"}, encoding="utf-8") == Looks("night", ascii_only=True)
    option = argparse.Namespace(theme="sun", ascii=False)
    assert looks_of(option, environment={}, encoding="utf-8").theme == "sun"
    settings.write_text('theme = "nite"\n', encoding="utf-8")
    with pytest.raises(InputProblems, match="'nite' is no theme"):
        looks_of(environment={}, encoding="utf-8")


async def test_the_help_names_every_key_that_does_something():
    """From the bindings themselves: each has its sentence, and one that is bound anew shows its new key."""
    ids = {name if name in KEY_HELP else name.split("_")[0] for name in WALK_KEYS}
    assert ids <= set(KEY_HELP)
    async with on_screen(dialog_walk()) as pilot:
        pilot.app.set_keymap({"undo": "b"})
        keys = {what: key for key, what in effective_keys(walk_screen(pilot))}
        assert keys[KEY_HELP["undo"]] == "b"
        assert keys[KEY_HELP["answer"]] == "0 to 9, j, k, l"
        assert keys[KEY_HELP["help"]] == "?"


def test_rows_are_never_shared_out_twice():
    """At every size and wish the parts together fill the window and no more."""
    for height in range(12, 61):
        for question in (1, 5, 12, 40):
            for answers in (0, 2, 4, 10):
                for leaders in (0, 5):
                    wanted = Wanted(question, min(question, 7), answers, 2, 1, leaders)
                    room = share_out(80, height, wanted)
                    heading = 1 if room.leaders else 0
                    parts = room.question + room.answers + room.strip + room.fit + room.leaders + heading
                    assert parts + 3 == height
                    assert room.question >= 3


def test_the_design_size_shows_five_faults_the_strip_and_four_answers():
    """80x24 with an ordinary check."""
    room = share_out(80, 24, Wanted(question=12, must=6, answers=4, strip=2, leaders=5))
    assert (room.answers, room.leaders, room.strip) == (4, 5, 2)


def test_all_nine_sections_fit_on_eighty_columns_in_signal_order():
    """Name above, number and bar below, in the same column."""
    shares = tuple((name, 0.11) for name in SECTIONS)
    names, numbers = strip_lines(shares, 78)
    assert names.split() == [word for label in LABELS.values() for word in label.split()]
    assert numbers.count("11%") == 9
    assert names.index("Pilot") == [i for i in range(len(numbers)) if numbers.startswith("11%", i)][4]


def test_a_narrow_strip_keeps_the_sections_with_most_blame():
    """Those left out are said to be left out."""
    shares = tuple((name, 0.5 if name == "valve" else 0.01) for name in SECTIONS)
    names, numbers = strip_lines(shares, 30)
    assert "Valve" in names
    assert "50%" in numbers
    assert names.endswith("..")
    assert len(names) <= 30


def test_bars_grow_with_the_share():
    """In eighths of a cell, from nothing to full."""
    lengths = [len(bar(share / 100, 4)) for share in range(101)]
    assert lengths == sorted(lengths)
    assert (bar(0, 4), bar(1, 4), bar(7, 4)) == ("", "████", "████")


def test_lines_are_measured_in_cells_and_long_words_are_broken():
    """Wide letters take two cells."""
    assert wrap("漢字漢字 ab", 6) == ["漢字漢", "字 ab"]
    assert wrap("x" * 10, 4, "- ") == ["- xx", "  xx", "  xx", "  xx", "  xx"]
    assert cut("漢字漢字", 6) == "漢..."


def test_the_foot_never_runs_over_the_edge_and_always_tells_how_to_answer():
    """The needed keys come first."""
    view = checking("output_gauge").view()
    for width in range(40, 130):
        line = foot_line(view, width)
        assert len(line) <= width
        assert line.startswith(" 0-3 answer  r reading")
