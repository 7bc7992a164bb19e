"""`self-check` and `completion`."""

import json
import subprocess
import sys

import pytest

from tests.tui.driver import small_book
from tui.__main__ import main
from tui.self_check import self_check


def test_it_tells_versions_book_and_folders(capsys):
    """With code 0 also where there is no terminal: the line mode works there."""
    assert main(["self-check"]) == 0
    out = capsys.readouterr().out
    for name in ("halfsplit", "python", "textual", "book", "data folder", "terminal", "characters"):
        assert f"\n{name}" in f"\n{out}"
    assert "walk --plain" in out


def test_the_json_says_the_same(capsys):
    """Fact by fact."""
    assert main(["self-check", "--json"]) == 0
    facts = json.loads(capsys.readouterr().out)["facts"]
    assert {"name", "value", "wrong"} == set(facts[0])


def test_a_data_folder_that_is_a_file_is_told_with_the_mend(tmp_path):
    """The folder of a file cannot be made."""
    path = tmp_path / "file"
    path.touch()
    (fact,) = (fact for fact in self_check(small_book(), str(path / "data")) if fact.name == "data folder")
    assert "cannot be written" in fact.wrong
    assert "--data" in fact.wrong


@pytest.mark.parametrize("shell", ["bash", "zsh", "tcsh"])
def test_the_script_for_a_shell_knows_the_commands(shell, capsys):
    """Every one of them."""
    assert main(["completion", shell]) == 0
    out = capsys.readouterr().out
    assert all(name in out for name in ("walk", "rank", "sheet", "calc", "drill"))


def test_bash_takes_the_script():
    """It reads without a mistake."""
    script = subprocess.run(
        [sys.executable, "-m", "tui", "completion", "bash"], capture_output=True, check=True
    ).stdout
    assert subprocess.run(["bash", "-n"], input=script).returncode == 0


def test_the_version_is_told(capsys):
    """The package's own."""
    with pytest.raises(SystemExit) as left:
        main(["--version"])
    assert left.value.code == 0
    assert capsys.readouterr().out.startswith("halfsplit ")
