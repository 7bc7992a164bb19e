"""`sheet check` says everything at once."""

import pytest

from diagnose.sheet_check import check_sheet, report_json
from diagnose.sheet_draft import SheetDraft
from diagnose.sheet_fields import UnitSheet, fields, read_field, shown
from knowledge.book import EXAMPLES


def checked(**parts):
    """The report on a sheet with these parts."""
    sheet = UnitSheet.model_validate({"unit": "V-1", **parts})
    return check_sheet(sheet, lambda field: f"sheet.yaml:{field}")


@pytest.mark.parametrize(
    ("parts", "field", "words"),
    [
        ({"vessel": {"low_trip": "20 in", "level": "10 in"}}, "vessel.low_trip", "is not below vessel.level"),
        (
            {"vessel": {"level": "40 in", "high_trip": "30 in"}},
            "vessel.level",
            "is not below vessel.high_trip",
        ),
        (
            {"valve": {"bench_low": "15 psi", "bench_high": "6 psi"}},
            "valve.bench_low",
            "is not below valve.bench_high",
        ),
        (
            {"valve": {"bench_high": "30 psi"}, "controller": {"supply_set": "20 psi"}},
            "valve.bench_high",
            "is not below controller.supply_set",
        ),
        (
            {"controller": {"supply_set": "30 psi"}, "supply": {"upstream": "20 psi"}},
            "controller.supply_set",
            "is not below supply.upstream",
        ),
        (
            {"service": {"liquid": "interface", "density": "0.8 SG", "upper_density": "1 SG"}},
            "service.upper_density",
            "is not below service.density",
        ),
        ({"service": {"liquid": "interface"}}, "service.liquid", "upper one's density is not given"),
        (
            {"service": {"liquid": "oil", "upper_density": "0.8 SG"}},
            "service.upper_density",
            "is no interface",
        ),
        (
            {"vessel": {"orientation": "horizontal", "diameter": "30 in", "high_trip": "40 in"}},
            "vessel.high_trip",
            "is above the top of the vessel",
        ),
        (
            {"displacer": {"diameter": "10 in"}, "vessel": {"diameter": "8 in"}},
            "displacer.diameter",
            "is not below vessel.diameter",
        ),
    ],
)
def test_fields_that_do_not_fit_together_are_named_with_their_place(parts, field, words):
    """Ten kinds of them."""
    misfits = {problem.field: str(problem) for problem in checked(**parts).misfits}
    assert words in misfits[field]
    assert misfits[field].startswith(f"sheet.yaml:{field}")


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_the_examples_fit_together(path):
    """None of them has a slip."""
    from diagnose.sheet import read_sheet

    sheet, document = read_sheet(str(path))
    report = check_sheet(sheet, lambda field: document.place(tuple(field.split("."))))
    assert not report.misfits
    assert report_json(report)["unit"] == sheet.unit


def test_what_is_missing_is_named_by_calculation():
    """In the sheet's own field names."""
    missing = checked(valve={"fails": "closed"}).worked.missing
    assert "valve.actuator_area" in missing["actuator"]
    assert "discharge.height" in missing["lift"]
    assert all(name in fields() for lacking in missing.values() for name in lacking)


def test_what_the_loop_would_do_is_said():
    """A direct controller on a valve that fails open dumps the wrong way round."""
    report = checked(controller={"action": "snap", "acting": "direct"}, valve={"fails": "open"})
    assert any("wrong way round" in sentence or "does not suit" in sentence for sentence in report.will_do)


@pytest.mark.parametrize("name", sorted(fields()))
def test_a_field_shown_can_be_read_again(name):
    """What is kept and what is written mean the same, for every field of the sheet."""
    about = fields()[name]
    value = about["words"][0] if "words" in about else (about["least"] + about["most"]) / 2
    again = read_field(about, shown(value, about))
    assert again == value if isinstance(value, str) else again == pytest.approx(value, rel=1e-5)


def test_a_draft_becomes_a_sheet_and_leaves_the_unknown_out():
    """Typed, kept as typed, read back."""
    draft = SheetDraft()
    draft.take("unit", "V-9")
    draft.take("vessel.diameter", "30 in")
    draft.take("valve.fails", "open")
    draft.take("valve.fails", "unknown")
    assert "fails" not in draft.to_yaml()
    assert draft.sheet().values() == {"vessel.diameter": pytest.approx(0.762)}


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("vessel.diameter", "30", "has no unit"),
        ("vessel.diameter", "30 psi", "is a pressure, not a length"),
        ("vessel.diameter", "900 ft", "out of range"),
        ("valve.fails", "shut", "is not one of its values"),
        ("unit", "", "must have a name"),
    ],
)
def test_a_draft_refuses_what_a_sheet_would_refuse(name, text, words):
    """With the same words."""
    with pytest.raises(ValueError, match=words):
        SheetDraft().take(name, text)
