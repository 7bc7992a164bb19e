"""The README tells the truth: what it shows is what the commands print."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

from diagnose.sheet_fields import UnitSheet

README = Path(__file__).parents[1] / "README.md"
CODE = re.compile(r"(?:^    .*\n|^\n(?=    ))+", re.MULTILINE)


def blocks() -> list[str]:
    """The README's indented blocks, without the indent."""
    return [
        re.sub(r"^    ", "", found.group(), flags=re.MULTILINE).strip("\n")
        for found in CODE.finditer(README.read_text())
    ]


RUNS = [block for block in blocks() if block.startswith("$ halfsplit")]


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
