"""The words of problems, and the nearest spelling."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knowledge.problems import InputProblems, Problem, nearest

STEADY = settings(max_examples=60, deadline=None, derandomize=True)
names = st.lists(st.text("abcdef_", min_size=3, max_size=10), min_size=1, max_size=12, unique=True)


@pytest.mark.parametrize(
    ("problem", "line"),
    [
        (Problem("b.yaml:3", "causes.x", "is missing", "Add it."), "b.yaml:3: causes.x: is missing. Add it."),
        (Problem("b.yaml:3", "", "is missing", "Add it."), "b.yaml:3: is missing. Add it."),
        (Problem("--unit", "", "is missing"), "--unit: is missing."),
    ],
)
def test_a_problem_reads_as_place_trail_what_mend(problem, line):
    """What is empty is left out."""
    assert str(problem) == line


def test_all_problems_are_said_each_on_its_line():
    """In the order given."""
    error = InputProblems([Problem("b", "", "second"), Problem("a", "", "first")])
    assert str(error) == "b: second.\na: first."


@given(names, st.data())
@STEADY
def test_a_name_that_is_known_is_its_own_nearest(known, data):
    """Whatever else is known."""
    name = data.draw(st.sampled_from(known))
    assert nearest(name, known) == f"Did you mean {name}?"


@given(names)
@STEADY
def test_only_known_names_are_offered(known):
    """A sentence names known names alone: all of twelve or fewer, none of more."""
    told = nearest("~~~~", known)
    assert told == (f"It can be: {', '.join(known)}." if len(known) <= 12 else "")


@pytest.mark.parametrize("typed", ["wont_opne", "wnt_open", "wont_opens", "wont_oppen"])
def test_a_slip_of_the_finger_finds_its_word(typed):
    """Letters swapped, left out or doubled."""
    assert nearest(typed, ["wont_shut", "wont_open", "hunts"]) == "Did you mean wont_open?"


def test_with_nothing_known_nothing_is_said():
    """No empty list is offered."""
    assert nearest("x", []) == ""
