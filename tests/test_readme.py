"""The README tells the truth: what it shows is what the commands print."""

import io
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from diagnose.sheet_fields import UnitSheet
from tests.commands_in import own_commands, python_modules, strange_words
from tui.__main__ import main

README = Path(__file__).parents[1] / "README.md"
CODE = re.compile(r"(?:^    .*\n|^\n(?=    ))+", re.MULTILINE)


def blocks() -> list[str]:
    """The README's indented blocks, without the indent."""
    return [
        re.sub(r"^    ", "", found.group(), flags=re.MULTILINE).strip("\n")
        for found in CODE.finditer(README.read_text())
    ]


RUNS = [block for block in blocks() if block.startswith("$ halfsplit")]
COMMANDS = own_commands("README.md")
RUN_ELSEWHERE = {
    "walk": "tests/tui/test_walk_command.py",
    "desk": "tests/tui/test_desk_shift.py",
    "drill": "tests/tui/test_drill_command.py",
    "demo": "tests/tui/test_history_pages.py",
    "history": "tests/tui/test_history_pages.py",
    "calc --screen": "tests/tui/test_calc_screen.py",
    "calc --plot": "tests/tui/test_charts.py",
    "calc --unit": "tests/tui/test_sheet_command.py",
    "history show": "tests/tui/test_history_command.py",
    "history correct": "tests/tui/test_history_command.py",
    "history backup": "tests/tui/test_history_command.py",
    "history unit": "tests/tui/test_history_pages.py",
    "history stock": "tests/tui/test_statistics_command.py",
    "book check": "tests/tui/test_book_command.py",
}
"""Commands that wait for somebody, stand there without all they need, or take long; with their tests."""
UNIT = "willow-flat-v210"


def test_the_readme_opens_with_one_paragraph_that_states_the_job():
    """Title, one paragraph, and then a real run."""
    parts = README.read_text().split("\n\n")
    assert parts[0] == "# halfsplit"
    assert parts[1].startswith("halfsplit helps")
    assert parts[2].startswith("    $ halfsplit")


@pytest.mark.parametrize("block", RUNS)
def test_a_run_in_the_readme_prints_what_the_readme_shows(block):
    """Run again, it gives the same lines."""
    command, _, shown = block.partition("\n")
    words = shlex.split(command.removeprefix("$ halfsplit "))
    run = subprocess.run(
        [sys.executable, "-m", "tui", *words], capture_output=True, text=True, check=True, encoding="utf-8"
    )
    assert run.stdout.strip() == shown.strip()


def test_there_is_a_run_in_the_readme():
    """An empty list of runs would prove nothing."""
    assert RUNS


def test_the_sheet_in_the_readme_is_a_sheet():
    """The example can be copied."""
    block = next(block for block in blocks() if block.startswith("unit:"))
    assert UnitSheet.model_validate(yaml.safe_load(block)).controller.action == "snap"


def test_the_readme_is_under_120_lines():
    """Short enough to be read."""
    assert README.read_text().count("\n") < 120


def test_its_lines_are_short_but_for_what_a_command_printed():
    """They fit a window of 110 columns."""
    lines = README.read_text(encoding="utf-8").split("\n")
    assert [line for line in lines if len(line) > 110 and not line.startswith("    ")] == []


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_every_command_in_it_is_one_that_the_parser_knows(words):
    """Its subcommands and options, also of what is not run below."""
    assert list(strange_words(words)) == []


def test_what_it_runs_as_a_module_is_there():
    """The first command, the tests, and pip."""
    assert set(python_modules("README.md")) == {"pip", "tests", "tui"}


def is_run_elsewhere(words: list[str]) -> bool:
    """As a whole, or by its first two words."""
    return (
        " ".join(words) in RUN_ELSEWHERE
        or " ".join(words[:2]) in RUN_ELSEWHERE
        or words[0] in ("walk", "desk")
    )


def test_the_tests_that_run_the_others_are_there():
    """And each speaks of its command."""
    for command, file in RUN_ELSEWHERE.items():
        text = (README.parent / file).read_text(encoding="utf-8")
        assert command.split()[-1].lstrip("-") in text, command


def test_the_commands_in_it_run(tmp_path, monkeypatch, capsys):
    """In their order, after one short callout, each ends with 0. FILE is the example or a new file."""
    monkeypatch.chdir(tmp_path)
    ran = []
    for words in [
        ["walk", "--plain", "--new", "--unit", UNIT],
        *(w for w in COMMANDS if not is_run_elsewhere(w)),
    ]:
        writes = {"--html", "--callouts"} & set(words)
        monkeypatch.setattr("sys.stdin", io.StringIO("V-210\n\nq\n"))
        file = "written.jsonl" if writes or "merge" in words else UNIT
        assert main([file if word == "FILE" else word for word in words]) == 0, (words, capsys.readouterr())
        ran.append(words[0])
    assert {
        "walk",
        "sheet",
        "rank",
        "report",
        "history",
        "calc",
        "procedure",
        "rig",
        "book",
        "self-check",
    } <= set(ran)
