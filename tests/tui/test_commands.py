"""`rank`, and what holds for every command: data on stdout, talk on stderr, exit codes as documented."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.helpers import TINY, write_book
from tests.tui.two_causes import written
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


def test_the_risk_of_moving_a_live_valve_is_stated_and_can_be_priced_anew(tmp_path, capsys):
    """With the price at nothing the check that moves the valve has no risk; the book's price is stated."""
    book = written(
        tmp_path, checks={"look": {"moves_valve": True}, "drop_seen": {"minutes": 60}}, prices={"moving": 15}
    )
    told = {}
    for price in ([], ["--price", "moving=0"]):
        assert main(["rank", "--book", book, "--saw", "complaint=wont_open", *price, "--json"]) == 0
        found = json.loads(capsys.readouterr().out)
        assert found["advice"]["id"] == "look"
        told[found["prices"]["moving"]] = found["advice"]
    assert set(told) == {0, 15}
    assert (told[0]["risk_minutes"], told[15]["risk_minutes"]) == (0, 15)
    assert told[0]["expected_minutes"] < told[15]["expected_minutes"]
    assert main(["rank", "--book", book, "--saw", "complaint=wont_open"]) == 0
    assert "That counts as 15 min" in capsys.readouterr().out


@pytest.mark.parametrize("fact", [[], ["--set", "season=cold"]])
def test_rank_gives_the_line_to_speak_in_another_language(fact, tmp_path, capsys):
    """The line alone; what the program writes stays as it was."""
    spanish = {name: {"say_in": {"es": f"Mire: {name}."}} for name in TINY["checks"]}
    book = [
        "--book",
        str(write_book(tmp_path, {"checks": spanish, "facts": {"season": {"say_in": {"es": "¿Frío?"}}}})),
    ]
    asked = ["rank", *book, *fact, "--set", "fails=closed", "--saw", "complaint=wont_open"]
    assert main(asked) == 0
    english = capsys.readouterr().out
    assert main([*asked, "--lang", "es"]) == 0
    other = capsys.readouterr().out
    changed_lines = [
        pair for pair in zip(english.splitlines(), other.splitlines(), strict=True) if pair[0] != pair[1]
    ]
    (pair,) = changed_lines
    assert pair[0].startswith("Say: ")
    assert pair[1].startswith(("Say: Mire: ", "Say: ¿Frío?"))


def test_a_language_that_the_book_does_not_know_is_refused(tmp_path, capsys):
    """Code 2, nothing on stdout."""
    asked = ["rank", "--book", written(tmp_path), "--saw", "complaint=wont_open"]
    assert main([*asked, "--lang", "es"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "--lang: the book is not spoken in 'es'" in err


def test_every_mistake_is_on_stderr_and_the_code_is_2(capsys):
    """Nothing half-done on stdout."""
    assert main(["rank", "--set", "acton=snap", "--saw", "complaint=wont_opne"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Did you mean action?" in err
    assert "Did you mean wont_open?" in err


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
