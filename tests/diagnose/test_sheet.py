"""A unit sheet becomes facts and quantities; what is wrong in it is said with its line."""

import re
from pathlib import Path

import pytest

from diagnose.sheet import find_sheet, quantities_of, read_unit
from diagnose.sheet_fields import fields
from diagnose.units import UNITS
from knowledge import book as book_module
from knowledge.book import EXAMPLES, Book, load_book
from knowledge.problems import InputProblems
from tests.helpers import tiny_book

BAD = Path(__file__).parents[1] / "data" / "bad_sheets"


@pytest.fixture(scope="module")
def tiny() -> Book:
    return tiny_book({"facts": {"season": {"values": {"warm": "Warm", "cold": "Cold"}}}})


@pytest.fixture(scope="module")
def shipped() -> Book:
    return load_book()


def sheet(folder: Path, text: str) -> str:
    path = folder / "v.yaml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_what_the_sheet_gives_is_known(tmp_path, tiny):
    """Facts by their field of the sheet, quantities in the book's own unit."""
    unit = read_unit(
        sheet(tmp_path, "unit: V-1\nvalve: {fails: open}\ncontroller: {supply_set: 2 bar}\n"), tiny
    )
    assert (unit.name, unit.facts) == ("V-1", {"fails": "open"})
    assert unit.quantities == {"supply_psi": pytest.approx(29.00755)}


@pytest.mark.parametrize("written", ["", "valve: {}", "valve: {fails: }", "valve: {fails: unknown}"])
def test_what_is_left_out_empty_or_unknown_is_not_known(tmp_path, tiny, written):
    """All four mean the same."""
    unit = read_unit(sheet(tmp_path, f"unit: V-1\n{written}\n"), tiny)
    assert (unit.facts, unit.quantities) == ({}, {})


def test_what_the_sheet_does_not_give_is_as_usual(tiny):
    """A quantity of the unit counts; else the book's usual number."""
    assert quantities_of(tiny, {}) == {"supply_psi": 30}
    assert quantities_of(tiny, {"supply_psi": 20.0}) == {"supply_psi": 20.0}


@pytest.mark.parametrize(
    ("name", "line", "words"),
    [
        ("wrong_value", 3, "valve.fails: 'opne' is not one of its values. Did you mean open?"),
        ("unknown_field", 3, "valve.fials: is not a known field. Did you mean fails?"),
        ("no_unit", 1, "unit: is missing. Add `unit:` here."),
        ("no_measure", 3, "controller.supply_set: '30' has no unit. Write it as: 30 psi."),
        ("bare_number", 3, "controller.supply_set: '30' has no unit. Write it as: 30 psi."),
        (
            "wrong_measure",
            3,
            "controller.supply_set: '30 degC' is a temperature, not a pressure. Give it in psi.",
        ),
        ("twice", 3, "valve: stands twice (first on line 2). Keep one of them."),
        ("several", 3, "controller.supply_set: 'plenty' is not a number with a unit. Write it as: 12 psi."),
        ("several", 5, "valve.fails: 'sideways' is not one of its values. It can be: closed, open, unknown."),
    ],
)
def test_each_mistake_says_where_what_and_how_to_mend_it(tiny, name, line, words):
    """One bad sheet for each; the last one has two mistakes and both are said."""
    with pytest.raises(InputProblems, match=re.escape(f"{name}.yaml:{line}: {words}")):
        read_unit(str(BAD / f"{name}.yaml"), tiny)


def test_a_name_that_is_no_file_and_no_example_says_so(tiny):
    """The option is named, since there is no file to name."""
    with pytest.raises(InputProblems, match=r"^--unit: there is no unit sheet 'no_such_unit', neither"):
        read_unit("no_such_unit", tiny)


def test_a_slip_in_an_examples_name_finds_it(tmp_path, monkeypatch):
    """The nearest spelling is offered."""
    (tmp_path / "separator.yaml").write_text("unit: S\n", encoding="utf-8")
    monkeypatch.setattr("diagnose.sheet.EXAMPLES", tmp_path)
    assert find_sheet("separator") == tmp_path / "separator.yaml"
    with pytest.raises(
        InputProblems, match=r"'seperator', neither a file nor an example\. Did you mean separator\?"
    ):
        find_sheet("seperator")


@pytest.mark.parametrize("name", ["../separator", "/separator", "examples/separator"])
def test_an_example_is_named_without_a_way_to_it(tmp_path, monkeypatch, name):
    """A path means a file, never something beside the examples."""
    (tmp_path / "examples").mkdir()
    (tmp_path / "separator.yaml").write_text("unit: S\n", encoding="utf-8")
    monkeypatch.setattr("diagnose.sheet.EXAMPLES", tmp_path / "examples")
    with pytest.raises(InputProblems, match="there is no unit sheet"):
        find_sheet(name)


def test_every_example_is_a_right_sheet(shipped):
    """Each packaged example reads against the shipped book; one knows nothing, the others something."""
    units = {path.stem: read_unit(path.stem, shipped) for path in sorted(EXAMPLES.glob("*.yaml"))}
    assert [name for name, unit in units.items() if not unit.facts] == ["unknown-unit"]
    assert len(units) > 1


def test_every_field_that_the_shipped_book_names_is_on_the_sheet(shipped):
    """A fact or a quantity that names a field nobody can fill in would never be known."""
    named = {e.sheet for e in [*shipped.facts.values(), *shipped.quantities.values()] if e.sheet}
    assert named <= set(fields())


def test_every_reading_of_the_shipped_book_has_a_unit_known_here(shipped):
    """And a bin that is a share of a quantity is in that quantity's unit, its limits rising."""
    for name, check in shipped.checks.items():
        if check.reading:
            assert check.reading.unit in UNITS, name
            parts = [part for part in check.reading.bins if part.below is not None]
            for part in parts:
                assert part.of is None or shipped.quantities[part.of].unit == check.reading.unit, name
            limits = [p.below * (shipped.quantities[p.of].usual if p.of else 1) for p in parts]
            assert limits == sorted(limits), name
    assert {quantity.unit for quantity in shipped.quantities.values()} <= set(UNITS)


def test_the_examples_are_where_the_book_says(tmp_path):
    """Beside the shipped book, in the same package."""
    assert EXAMPLES.parent == book_module.SHIPPED.parent
