"""`sheet` and `calc` from the command line."""

import json
from pathlib import Path

import pytest

from diagnose.calculators.run import CALCULATORS
from knowledge.book import EXAMPLES
from tui.__main__ import main

BAD = sorted((Path(__file__).parents[1] / "data" / "bad_sheets").glob("*.yaml"))


@pytest.mark.parametrize("name", sorted(path.stem for path in EXAMPLES.glob("*.yaml")))
def test_sheet_check_of_an_example_says_what_it_would_do(name, capsys):
    """And as JSON with every calculation whole."""
    assert main(["sheet", "check", name]) == 0
    assert "Loop: " in capsys.readouterr().out
    assert main(["sheet", "check", name, "--json"]) == 0
    report = json.loads(capsys.readouterr().out)
    assert report["schema_version"] == 1
    assert {"misfits", "missing", "facts", "calculations", "will_do", "unknown"} <= set(report)


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_sheet_check_of_a_broken_sheet_names_file_and_line(path, capsys):
    """One kind of mistake each; code 2."""
    assert main(["sheet", "check", str(path)]) == 2
    assert f"{path.name}:" in capsys.readouterr().err


def test_there_are_ten_broken_sheets():
    """One for each kind of mistake."""
    assert len(BAD) >= 10


def test_calc_list_names_every_calculator_with_its_inputs(capsys):
    """As text and as JSON."""
    assert main(["calc", "--list"]) == 0
    text = capsys.readouterr().out
    assert main(["calc", "--list", "--json"]) == 0
    listed = {entry["name"]: entry for entry in json.loads(capsys.readouterr().out)["calculators"]}
    assert set(listed) == set(CALCULATORS)
    assert all(f"{name}: " in text for name in listed)
    assert all(entry["inputs"] for entry in listed.values())


def test_ten_calculators_are_there():
    """Displacer, loop, actuator, valve, vessel, lift, supply, cold, gauge, density."""
    assert len(CALCULATORS) == 10


def test_calc_gives_number_unit_and_source(capsys):
    """35 API is 0.84985 (the definition of API gravity)."""
    assert main(["calc", "density", "density=35 API", "--json"]) == 0
    result = json.loads(capsys.readouterr().out)
    assert result["answers"]["specific_gravity"]["value"] == pytest.approx(0.849850, abs=1e-6)
    assert result["sources"]
    assert result["in_range"] is True


def test_calc_takes_what_is_left_out_from_a_sheet(capsys):
    """The displacer of the hopeless example floats."""
    assert main(["calc", "displacer", "--unit", "long-draw-v7", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["answers"]["fit"]["value"] == "floats"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["calc"], "no calculator is named"),
        (["calc", "densty"], "Did you mean density?"),
        (["calc", "density", "desity=35 API"], "Did you mean density?"),
        (["calc", "density", "density=35"], "has no unit"),
        (["calc", "density", "density=35 psi"], "is a pressure, not a density"),
        (["calc", "lift", "height=10 ft"], "is missing"),
        (["calc", "density", "salt=80 %"], "out of range"),
        (["sheet", "check", "no-such-sheet"], "there is no unit sheet"),
    ],
)
def test_a_mistake_gives_code_2_and_its_mend(words, said, capsys):
    """On stderr, with nothing on stdout."""
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert said in err
