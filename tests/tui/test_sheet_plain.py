"""A new unit sheet, line by line."""

import io

import pytest

from diagnose.sheet import read_sheet
from diagnose.sheet_draft import SheetDraft
from knowledge.problems import InputProblems
from tui.sheet_plain import ask_sheet, hint, save

FIELDS = len(SheetDraft().asked)


def ask(path, *lines):
    """(exit code, everything said) after these lines, and then the end of the input."""
    out = io.StringIO()
    code = ask_sheet(path, iter([f"{line}\n" for line in lines]), out)
    return code, out.getvalue()


def known(path):
    """(name, site, every other known field in SI) of a written sheet."""
    sheet, _ = read_sheet(str(path))
    return sheet.unit, sheet.site, sheet.values()


def test_everything_but_the_name_may_stay_unknown(tmp_path):
    """Enter at every other question, and the sheet is written."""
    path = tmp_path / "v.yaml"
    code, said = ask(path, "V-101", *[""] * (FIELDS - 1))
    assert code == 0
    assert f"1 of {FIELDS} fields are known." in " ".join(said.split())
    assert known(path) == ("V-101", None, {})


def test_every_field_is_asked_for_with_its_range_or_its_words(tmp_path):
    """In the order of the sheet."""
    _, said = ask(tmp_path / "v.yaml", "V-101", *[""] * (FIELDS - 1))
    places = [said.index(f"{name}, ") for name in SheetDraft().asked]
    assert places == sorted(places)
    assert "vessel.orientation, how it lies (horizontal, vertical): " in said
    assert "vessel.diameter, inside diameter (from 4 in to 20 ft): " in said


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("24", "'24' has no unit. Write it as: 24 in."),
        ("24 psi", "'24 psi' is a pressure, not a length. Give it in in."),
        ("900 ft", "'900 ft' is out of range. It can be from 4 in to 20 ft."),
    ],
)
def test_a_bad_value_is_told_of_and_asked_for_again(tmp_path, typed, message):
    """With the core's words; nothing before it is lost."""
    path = tmp_path / "v.yaml"
    code, said = ask(path, "V-101", "", "vertical", typed, "24 in", "q")
    assert code == 0
    assert message in said
    assert said.count("vessel.diameter, ") == 2
    assert known(path)[2] == {"vessel.orientation": "vertical", "vessel.diameter": pytest.approx(0.6096)}


def test_a_name_is_asked_for_until_there_is_one(tmp_path):
    """Enter and q do not pass it by."""
    path = tmp_path / "v.yaml"
    code, said = ask(path, "", "V-101", "q")
    assert code == 0
    assert "the unit must have a name. Type how people call it." in said
    assert known(path)[0] == "V-101"


def test_u_goes_back_and_the_new_answer_counts(tmp_path):
    """At the first question it stays there."""
    path = tmp_path / "v.yaml"
    ask(path, "u", "V-1", "Pad 7", "horizontal", "u", "vertical", "q")
    assert known(path) == ("V-1", "Pad 7", {"vessel.orientation": "vertical"})


@pytest.mark.parametrize("end", [["q"], []])
def test_stopping_early_writes_what_is_known(tmp_path, end):
    """By q, or by the end of the input."""
    path = tmp_path / "v.yaml"
    code, _ = ask(path, "V-101", "Pad 7", "", "610 mm", *end)
    assert code == 0
    assert known(path) == ("V-101", "Pad 7", {"vessel.diameter": pytest.approx(0.61)})


def test_without_a_name_nothing_is_written(tmp_path):
    """The exit code says so too."""
    code, said = ask(tmp_path / "v.yaml")
    assert code == 2
    assert "Nothing is written: the unit has no name." in said
    assert not list(tmp_path.iterdir())


def test_every_field_that_can_be_typed_is_read_back_the_same(tmp_path):
    """Each field gets its first word or the low end of its range, and the sheet agrees with the draft."""
    draft = SheetDraft()
    answers = []
    for name in draft.asked:
        about = draft.about(name)
        text = about["words"][0] if "words" in about else about.get("range", "yes: no #1").split(" to ")[0]
        draft.take(name, text)
        answers.append(text)
    path = tmp_path / "v.yaml"
    code, _ = ask(path, *answers)
    assert code == 0
    unit, site, values = known(path)
    assert (unit, site) == ("yes: no #1", "yes: no #1")
    assert len(values) == FIELDS - 2
    assert values == draft.sheet().values()


def test_a_file_that_is_there_is_not_overwritten(tmp_path):
    """The mistake names the file."""
    path = tmp_path / "v.yaml"
    path.write_text("unit: old\n", encoding="utf-8")
    with pytest.raises(InputProblems, match=r"v\.yaml: cannot be written \(File exists\)"):
        ask(path, "new", "q")
    assert path.read_text(encoding="utf-8") == "unit: old\n"


def test_a_folder_that_is_not_there_is_told_of(tmp_path):
    """And nothing is made."""
    draft = SheetDraft({"unit": "V"})
    with pytest.raises(InputProblems, match="No such file or directory"):
        save(draft, tmp_path / "none" / "v.yaml")
    assert not list(tmp_path.iterdir())


def test_a_hint_names_the_words_or_the_range():
    """And a free text has neither."""
    draft = SheetDraft()
    assert hint(draft, "valve.fails") == "where it stands with no pressure on it (closed, open)"
    assert hint(draft, "valve.cv") == "Cv, wide open (from 0.001 to 5000)"
    assert hint(draft, "unit") == "what the unit is called"
