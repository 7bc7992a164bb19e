"""Charts as text and as pictures, and `calc --plot`."""

import json
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.charts import Axis, Chart, Mark, Series
from diagnose.derived import derived
from diagnose.sheet import read_sheet
from tests.tui.driver import ROOT, dump
from tui.__main__ import main
from tui.curves_svg import chart_svg, charts_svg
from tui.plots import SIGNS, chart_lines
from tui.screen.calc_screen import CalcApp

UNIT = str(ROOT / "knowledge/examples/willow-flat-v210.yaml")
SVG = "{http://www.w3.org/2000/svg}"
numbers = st.floats(-1e6, 1e6)
points = st.lists(st.tuples(numbers, numbers), min_size=1, max_size=20).map(tuple)
text = st.text(max_size=200)
charts = st.builds(
    Chart,
    st.just("some"),
    text,
    st.builds(Axis, text, text),
    st.builds(Axis, text, text),
    st.lists(st.builds(Series, text, points), min_size=1, max_size=5).map(tuple),
    st.lists(st.builds(Mark, st.sampled_from("xy"), numbers, text), max_size=12).map(tuple),
    st.lists(text, max_size=2).map(tuple),
)


@given(charts, st.integers(40, 120), st.integers(3, 20))
def test_the_plot_of_any_chart_is_as_wide_as_it_may_be(chart, width, height):
    """Its rows with their letters keep within the width; every line is printable and on one line."""
    lines = chart_lines(chart, width, height)
    rows = [line for line in lines if line[8:10] == " |"]
    assert len(rows) >= height
    assert all(line.isprintable() for line in lines)
    assert all(len(line) <= width + len(chart.marks) for line in rows)


def test_a_rising_line_rises_and_a_mark_stands_at_its_value():
    """From the bottom left to the top right, with a dotted mark half-way."""
    line = Series("it", ((0.0, 0.0), (10.0, 10.0)))
    chart = Chart("c", "Title", Axis("time", "min"), Axis("level", "in"), (line,), (Mark("x", 5.0, "half"),))
    lines = chart_lines(chart, 53, 9)
    plot = [row[10:51] for row in lines[2:11]]
    assert plot[0].index(SIGNS[0]) > plot[8].rindex(SIGNS[0])
    assert {row[20] for row in plot} <= {":", SIGNS[0]}
    assert lines[11][10 + 20] == "a"
    assert " a  5 min: half" in lines


@given(charts)
def test_the_picture_of_any_chart_is_well_formed_and_shows_its_words(chart):
    """A line for each series; hostile words are text."""
    root = ET.fromstring(chart_svg(chart))
    assert len(list(root.iter(f"{SVG}polyline"))) == len(chart.series)
    assert {part.tag for part in root.iter()} <= {
        SVG + tag for tag in ("svg", "title", "rect", "text", "line", "polyline")
    }


def test_several_charts_stand_under_each_other():
    """None covers another."""
    line = Series("it", ((0.0, 0.0), (10.0, 10.0)))
    chart = Chart("c", "<b>", Axis("x"), Axis("y"), (line,))
    inner = list(ET.fromstring(charts_svg([chart, chart])).iter(f"{SVG}svg"))[1:]
    assert float(inner[1].get("y")) == float(inner[0].get("height"))


@pytest.mark.parametrize("name", ["displacer", "actuator", "vessel"])
def test_calc_plots_within_80_columns(name, capsys):
    """The example unit's curves."""
    assert main(["calc", name, "--unit", UNIT, "--plot"]) == 0
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    assert SIGNS[0] * 3 in out


def test_calc_plot_as_data_and_as_a_picture(tmp_path, capsys):
    """The same chart both ways."""
    assert main(["calc", "vessel", "--unit", UNIT, "--plot", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["schema_version"]
    assert told["charts"][0]["name"] == "level"
    path = tmp_path / "level.svg"
    assert main(["calc", "vessel", "--unit", UNIT, "--svg", str(path)]) == 0
    assert "Level against time" in path.read_text()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["gauge", "reading=10 psi", "range=60 psi", "grade=B"], "gauge has no curve"),
        (["displacer", "diameter=3 in", "length=12 in", "hung=upright", "density=35 API"], "give no curve"),
    ],
)
def test_calc_plot_without_a_curve_says_which_have_one(words, told, capsys):
    """Code 2, and what to do."""
    assert main(["calc", *words, "--plot"]) == 2
    assert told in capsys.readouterr().err


async def test_the_calculators_screen_shows_the_curve():
    """F3 where there are answers; Esc goes back to what was typed; nothing where there is no curve."""
    app = CalcApp("vessel", derived(read_sheet(UNIT)[0].values()))
    async with app.run_test(size=(80, 24)) as pilot:
        for _ in range(3):
            await pilot.pause()
        form = dump(app)
        assert "F3 curve" in form
        await pilot.press("f3")
        for _ in range(400):
            await pilot.pause(0.02)
            if "high trip, in" in dump(app):
                break
        assert "Level against time" in dump(app)
        assert SIGNS[0] * 3 in dump(app)
        await pilot.press("escape")
        await pilot.pause()
        assert dump(app) == form
    app = CalcApp("gauge", {})
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("f3")
        await pilot.pause()
        assert "F3" not in dump(app)
