"""`halfsplit rig` from the command line."""

import json

from tui.__main__ import main


def test_a_run_is_drawn_side_by_side(capsys):
    """Level, output, stem and flow, healthy at the left."""
    assert (
        main(["rig", "run", "--unit", "willow-flat-v210", "--fault", "supply_shut", "--minutes", "20"]) == 0
    )
    lines = capsys.readouterr().out.splitlines()
    assert "healthy and with supply_shut (at the right)" in lines[0]
    assert lines[1].startswith("Dumps: ")
    assert lines[1].endswith(" and 0")
    assert all(len(line) <= 78 for line in lines)
    assert {"Level, in", "Controller's output, psi", "Stem, share open", "Liquid leaving, bbl/d"} <= set(
        lines
    )


def test_a_run_in_json_holds_its_curves(capsys):
    """For scripts, with the seed that it can be had again by."""
    assert main(["rig", "run", "--minutes", "5", "--seed", "4", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["schema_version"], found["seed"], found["faults"]) == (1, 4, [])
    assert {"name", "title", "unit", "healthy", "faulted"} == set(found["curves"][0])


def test_the_faults_are_listed(capsys):
    """One a line, or as JSON."""
    assert main(["rig", "faults"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert main(["rig", "faults", "--json"]) == 0
    table = json.loads(capsys.readouterr().out)["faults"]
    assert [line.split("\t") for line in lines] == [[row["id"], row["about"]] for row in table]


def test_mistakes_are_told_at_once_and_the_code_is_2(capsys):
    """Nothing on stdout."""
    assert main(["rig", "run", "--fault", "vent_bloked", "--severity", "3"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Did you mean vent_blocked?" in err
    assert "--severity" in err


def test_where_plant_and_book_disagree_is_listed_with_both_reasons(capsys):
    """One fault in one set-up, everything told that the book is not nearly sure of."""
    asked = ["rig", "compare", "--fault", "supply_shut", "--set-up", "snap_direct_water", "--least", "0.7"]
    assert main([*asked, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["schema_version"], found["trials"], found["least"]) == (1, 1, 0.7)
    assert {row["fault"] for row in found["disagreements"]} == {"supply_shut"}
    assert all(row["chance"] < 0.7 and row["plant_because"] for row in found["disagreements"])


def test_a_comparison_of_what_there_is_not_is_refused(capsys):
    """The names that were meant are offered."""
    assert main(["rig", "compare", "--fault", "vent_bloked", "--set-up", "snap_direct_watr"]) == 2
    err = capsys.readouterr().err
    assert "Did you mean vent_blocked?" in err
    assert "Did you mean snap_direct_water?" in err
