"""`rank` and `book` from the command line: data on stdout, talk on stderr, exit codes as documented."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from knowledge.book import load_book
from knowledge.schema import BookFile
from tui.__main__ import main

RANK = ["rank", "--set", "valve_fails=closed", "--saw", "complaint=wont_open"]


def test_rank_prints_json_that_scripts_can_rely_on(capsys):
    """The names that the issue of the first walk promised."""
    assert main([*RANK, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["schema_version"] == 1
    assert {"causes", "advice", "findings", "facts"} <= set(found)
    assert {"kind", "id", "title", "minutes", "hold", "why"} <= set(found["advice"])
    assert found["findings"] == [{"check": "complaint", "outcome": "wont_open"}]


def test_rank_tells_a_person_the_next_check_and_why(capsys):
    """Percent first, then what to do."""
    assert main(RANK) == 0
    out = capsys.readouterr().out
    assert "%  " in out
    assert "\nNext: " in out
    assert "\nWhy: " in out


def test_the_risk_of_moving_a_live_valve_is_stated_and_can_be_priced_anew(capsys):
    """With the price at nothing a check that moves the valve is advised; with the book's it is stated."""
    seen = ["--saw", "complaint=wont_open", "--saw", "output_gauge=none", "--saw", "supply_gauge=right"]
    told = {}
    for minutes in (0, 15):
        assert main(["rank", *seen, "--price", f"moving={minutes}", "--json"]) == 0
        found = json.loads(capsys.readouterr().out)
        assert found["prices"]["moving"] == minutes
        told[minutes] = found["advice"]
    moving = load_book().checks[told[0]["id"]].moves_valve
    assert moving
    assert told[0]["risk_minutes"] == 0
    assert told[15]["risk_minutes"] == (15 if load_book().checks[told[15]["id"]].moves_valve else 0)
    assert told[0]["expected_minutes"] < told[15]["expected_minutes"]


def test_every_mistake_is_on_stderr_and_the_code_is_2(capsys):
    """Nothing half-done on stdout."""
    assert main(["rank", "--set", "acton=snap", "--saw", "complaint=wont_opne"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Did you mean action?" in err
    assert "Did you mean wont_open?" in err


@pytest.mark.parametrize("kind", ["causes", "conditions", "checks", "facts", "complaints"])
def test_book_list_names_every_entry(kind, capsys):
    """One line each, or as JSON."""
    assert main(["book", "list", kind]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert main(["book", "list", kind, "--json"]) == 0
    entries = json.loads(capsys.readouterr().out)[kind]
    assert [line.split("\t") for line in lines] == [[entry["id"], entry["title"]] for entry in entries]


@pytest.mark.parametrize(
    "name", ["vent_blocked", "output_cannot_fall", "output_gauge", "valve_fails", "wont_open"]
)
def test_book_show_shows_an_entry_with_its_place(name, capsys):
    """Of whatever kind it is."""
    assert main(["book", "show", name, "--json"]) == 0
    entry = json.loads(capsys.readouterr().out)
    assert entry["id"] == name
    assert ".yaml:" in entry["place"]


def test_book_show_offers_the_nearest_name(capsys):
    """A slip of the finger is mended in one look."""
    assert main(["book", "show", "vent_bloked"]) == 2
    assert "Did you mean vent_blocked?" in capsys.readouterr().err


def test_book_check_passes_the_shipped_book(capsys):
    """No hint either."""
    assert main(["book", "check"]) == 0
    assert "hint" not in capsys.readouterr().out


def test_book_check_names_file_and_line_of_every_mistake(tmp_path, capsys):
    """And gives code 2."""
    (tmp_path / "a.yaml").write_text("section: valve\ncauses:\n  x: {title: X}\ntitel: no\n")
    assert main(["book", "check", str(tmp_path)]) == 2
    err = capsys.readouterr().err
    assert "a.yaml:3: causes.x.base: is missing" in err
    assert "a.yaml:4: titel: is not a known field" in err


def test_book_schema_is_the_schema_of_a_books_file(capsys):
    """What an editor completes from."""
    assert main(["book", "schema"]) == 0
    assert json.loads(capsys.readouterr().out) == BookFile.model_json_schema()


def test_a_line_command_does_not_load_the_screen():
    """It must answer quickly."""
    code = "import sys; from tui.__main__ import main; main(sys.argv[1:]); sys.exit('textual' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", code, *RANK], capture_output=True, env={**os.environ})
    assert run.returncode == 0


def test_a_reader_that_goes_away_is_no_error():
    """`halfsplit book show … | head -1` ends quietly."""
    run = subprocess.run(
        f'"{sys.executable}" -m tui book schema | head -1', shell=True, capture_output=True, text=True
    )
    assert run.stderr == ""
    assert run.stdout == "{\n"


@pytest.mark.parametrize("encoding", ["cp437", "latin-1", "ascii"])
def test_a_terminal_that_lacks_a_character_is_no_crash(encoding):
    """The words come out with something in its place."""
    run = subprocess.run(
        [sys.executable, "-m", "tui", *RANK],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
    )
    assert (run.returncode, run.stderr) == (0, b"")
    assert b"Next: " in run.stdout


@pytest.mark.skipif(
    not Path("/dev/full").exists(), reason="only some systems have a device that is always full"
)
def test_a_full_disk_is_told_in_one_line():
    """No traceback for what the program cannot help."""
    with Path("/dev/full").open("w") as full:
        run = subprocess.run(
            [sys.executable, "-m", "tui", "book", "list", "checks"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
        )
    assert run.returncode == 2
    assert run.stderr.startswith("The output cannot be written")
    assert run.stderr.count("\n") == 1
