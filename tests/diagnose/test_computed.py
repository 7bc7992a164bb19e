"""What a sheet says is worked out, becomes facts, and moves the graph."""

import pytest

from diagnose.computed import COMPUTED, OF_A_SHEET, work_out
from diagnose.derived import atmosphere_at, derived
from diagnose.question import understand
from diagnose.report import rank
from diagnose.sheet import read_sheet, read_unit
from knowledge.book import EXAMPLES, Book, load_book

NAMES = sorted(path.stem for path in EXAMPLES.glob("*.yaml"))


@pytest.fixture(scope="module")
def book() -> Book:
    """The book that comes with the program."""
    return load_book()


def ranked(book, name, *saws):
    """The report on an example."""
    unit = read_unit(name, book)
    return rank(book, unit, understand(book, unit, [], saws))


def worked(name):
    """Computed facts of an example, fact to value."""
    return {fact.fact: fact.value for fact in work_out(read_sheet(name)[0].values()).facts}


def test_every_computed_fact_of_the_book_has_a_calculator_and_each_value_a_word(book):
    """The book and the calculators speak of the same facts."""
    assert set(COMPUTED) == set(book.computed)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_worked_out_of_an_example_is_a_value_that_the_book_knows(book, name):
    """A word of a calculator that the book does not hold would be lost without a sound."""
    for fact, value in worked(name).items():
        assert value in book.computed[fact].values, (fact, value)


@pytest.mark.parametrize("name", NAMES)
def test_every_calculator_of_a_sheet_works_or_says_what_it_lacks(name):
    """No calculator is silent."""
    result = work_out(read_sheet(name)[0].values())
    assert set(result.calculations) | set(result.missing) | set(result.refused) == set(OF_A_SHEET)
    assert all(result.missing.values())


def test_the_examples_cover_what_they_are_for():
    """Actions, fail positions, liquids, ways to lie; one hopeless, one converted wrongly."""
    sheets = [read_sheet(name)[0] for name in NAMES]
    assert len(sheets) >= 8
    assert {sheet.controller.action for sheet in sheets} >= {"snap", "throttle"}
    assert {sheet.valve.fails for sheet in sheets} >= {"closed", "open"}
    assert {sheet.service.liquid for sheet in sheets} >= {"oil", "water", "interface"}
    assert {sheet.vessel.orientation for sheet in sheets} >= {"horizontal", "vertical"}
    assert worked("long-draw-v7")["displacer_fit"] == "floats"
    assert worked("stone-gap-v31")["loop_does"] == "other_action"


@pytest.mark.parametrize(
    ("name", "cause", "calculator"),
    [
        ("long-draw-v7", "displacer_floats", "displacer"),
        ("stone-gap-v31", "ports_swapped", "loop"),
        ("quail-run-v5", "vessel_pressure_low", "lift"),
    ],
)
def test_what_cannot_work_leads_before_a_single_check_and_names_its_calculation(
    book, name, cause, calculator
):
    """By the sheet alone."""
    causes = ranked(book, name)["causes"]
    leading = next(entry for entry in causes if entry["id"] == cause)
    assert leading["probability"] > 0.75
    assert calculator in {because["calculator"] for because in leading["because"]}


def test_the_hopeless_displacer_is_first_of_all(book):
    """Nothing comes before it."""
    assert ranked(book, "long-draw-v7")["causes"][0]["id"] == "displacer_floats"


def test_a_right_unit_raises_nothing(book):
    """What fits speaks for no cause."""
    assert not [entry for entry in ranked(book, "cold-fork-v12")["causes"] if entry["because"]]


def test_a_fact_that_is_set_by_hand_outweighs_the_sheet(book):
    """`--set` is for what the sheet got wrong."""
    unit = read_unit("long-draw-v7", book)
    found = rank(book, unit, understand(book, unit, ["displacer_fit=fits"], []))
    assert next(c for c in found["causes"] if c["id"] == "displacer_floats")["probability"] < 0.05


# ISO 2533 standard atmosphere, table (from memory): 1000 m 89 874.6 Pa, 3000 m 70 108.5 Pa.
@pytest.mark.parametrize(("elevation", "pressure"), [(0, 101_325), (1000, 89_874.6), (3000, 70_108.5)])
def test_the_atmosphere_follows_the_elevation(elevation, pressure):
    """To a tenth of a percent."""
    assert atmosphere_at(elevation) == pytest.approx(pressure, rel=1e-3)


def test_the_drop_over_the_shut_valve_is_what_the_climb_leaves():
    """100 psi in the vessel, 10 psi of back pressure, water 33.9 ft up (about 14.7 psi)."""
    psi = 6894.757
    found = derived(
        {
            "vessel.pressure": 100 * psi,
            "discharge.back_pressure": 10 * psi,
            "discharge.height": 33.9 * 0.3048,
            "service.density": 1000.0,
        }
    )
    assert found["derived.drop"] / psi == pytest.approx(75.3, abs=0.05)
