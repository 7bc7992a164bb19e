"""Curves as text."""

from hypothesis import given
from hypothesis import strategies as st

from tui.plots import LABEL, MARK, plot_lines, side_by_side

numbers = st.floats(-1e6, 1e6)


@given(st.lists(numbers, min_size=1, max_size=200), st.integers(1, 60), st.integers(1, 20))
def test_a_plot_has_its_size_and_a_mark_in_every_column(values, width, height):
    """Whatever the values are."""
    lines = plot_lines(values, min(values), max(values), width, height)
    assert len(lines) == height
    assert {len(line) for line in lines} == {width}
    for column in zip(*lines, strict=True):
        assert MARK in column


def test_a_rising_line_rises_from_left_to_right():
    """The lowest value stands at the bottom left, the highest at the top right."""
    lines = plot_lines(range(100), 0, 99, 10, 10)
    assert [line.index(MARK) for line in lines] == list(range(9, -1, -1))


def test_two_plots_stand_on_one_scale_within_the_screen():
    """The smaller one stays at the bottom of the scale of the larger."""
    lines = side_by_side("Level, in", [0, 10], [0, 1], width=30, height=5)
    assert lines[0] == "Level, in"
    assert max(map(len, lines)) <= 78
    assert lines[1].startswith(f"{'10':>{LABEL}} |")
    assert MARK not in lines[1][LABEL + 34 :]
