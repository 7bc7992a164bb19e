"""`rank --batch`: JSON lines in, JSON lines out, mistakes on stderr with their place."""

import io
import json
import subprocess
import sys

import pytest

from tui.__main__ import main

LINES = (
    '{"id": "a", "set": {"valve_fails": "closed"}, "saw": {"complaint": "wont_open"}}\n'
    "\n"
    '{"id": "b", "saw": {"complaint": "wont_opne"}}\n'
    '{"id": "c", "unit": "willow-flat-v210", "saw": {"complaint": "wont_open"}, "hold": "open"}\n'
)


@pytest.fixture
def calls(tmp_path):
    path = tmp_path / "calls.jsonl"
    path.write_text(LINES, encoding="utf-8")
    return path


def test_every_line_has_its_answer_and_the_bad_one_is_named(calls, capsys):
    """One JSON object a line on stdout, in order; one line on stderr; code 2."""
    assert main(["rank", "--batch", str(calls)]) == 2
    out, err = capsys.readouterr()
    found = [json.loads(line) for line in out.splitlines()]
    assert [(answer["line"], answer["id"]) for answer in found] == [(1, "a"), (3, "b"), (4, "c")]
    assert ["errors" in answer for answer in found] == [False, True, False]
    assert {answer["schema_version"] for answer in found} == {1}
    expected = "saw complaint=wont_opne: 'wont_opne' is no complaint. Did you mean wont_open?"
    assert err == f"{calls}:3: {expected}\n"


def test_a_line_says_what_the_command_says_of_one_callout(calls, capsys):
    """Key by key."""
    main(["rank", "--batch", str(calls)])
    first, _, last = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    saw = ["--saw", "complaint=wont_open", "--json"]
    assert main(["rank", "--set", "valve_fails=closed", *saw]) == 0
    assert {"line": 1, "id": "a", **json.loads(capsys.readouterr().out)} == first
    assert main(["rank", "--unit", "willow-flat-v210", "--hold", "open", *saw]) == 0
    assert {"line": 4, "id": "c", **json.loads(capsys.readouterr().out)} == last


def test_a_dash_reads_stdin_and_good_lines_give_code_0(monkeypatch, capsys):
    """Bytes, whatever the locale's encoding."""
    raw = io.BytesIO('{"id": "é", "saw": {"complaint": "wont_open"}}\n'.encode())
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(raw, encoding="ascii"))
    assert main(["rank", "--batch", "-"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["id"] == "é"
    assert err == ""


def test_an_empty_file_has_no_answers(tmp_path, capsys):
    """And is no mistake."""
    path = tmp_path / "none.jsonl"
    path.touch()
    assert main(["rank", "--batch", str(path)]) == 0
    assert capsys.readouterr() == ("", "")


@pytest.mark.parametrize("name", ["no_such.jsonl", "", "nul\0", "x" * 5000])
def test_a_file_that_cannot_be_read_is_told_in_one_line(name, tmp_path, monkeypatch, capsys):
    """A folder too, which is what nothing stands for."""
    monkeypatch.chdir(tmp_path)
    assert main(["rank", "--batch", name]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "cannot be read (" in err
    assert err.count("\n") == 1


def test_options_of_one_callout_do_not_go_with_a_batch(calls, capsys):
    """They would be taken for something said of every line."""
    assert main(["rank", "--batch", str(calls), "--saw", "complaint=wont_open", "--hold", "open"]) == 2
    assert capsys.readouterr() == ("", "--batch: goes without --saw, --hold. Say it in the lines.\n")


def test_a_reader_that_goes_away_ends_it_quietly(calls):
    """`halfsplit rank --batch … | head -1`."""
    run = subprocess.run(
        f'"{sys.executable}" -m tui rank --batch "{calls}" | head -c 20', shell=True, capture_output=True
    )
    assert run.stdout == b'{"schema_version": 1'
    assert b"Traceback" not in run.stderr
