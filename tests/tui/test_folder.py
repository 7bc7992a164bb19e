"""Where the data lies, and that no test touches the real place."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.tui.driver import ROOT
from tui.__main__ import main
from tui.folder import callout_name, data_folder


def test_no_test_touches_the_real_data_folder_or_home(keep_off_the_real_data_folder):
    """The guard itself: both lie in the test's own place, here and in every process started here."""
    place = keep_off_the_real_data_folder
    assert data_folder(None) == place / "data"
    assert data_folder(None, {}).is_relative_to(place)
    assert Path.home() == place / "home"
    told_by = subprocess.run(
        [sys.executable, "-c", "from tui.folder import data_folder; print(data_folder(None))"],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
    )
    assert told_by.stdout.strip() == str(place / "data")


def test_the_option_goes_over_the_environment_over_the_systems_place(tmp_path):
    """--data, then HALFSPLIT_DATA, then where such data lies on this system."""
    environment = {"HALFSPLIT_DATA": "from_environment"}
    assert data_folder("from_option", environment) == Path("from_option")
    assert data_folder(None, environment) == Path("from_environment")
    assert data_folder(None, {}).name == "halfsplit"


@pytest.mark.parametrize(
    "unit", ["../../etc/passwd", "CON: a/b\\c", "...", "", "x" * 300, "Größe 7", "\x1b[2J", "a\nb"]
)
def test_any_unit_name_makes_a_safe_file_name(tmp_path, unit):
    """One file in the folder, whatever the unit is called."""
    name = callout_name("2026-01-31T12:00:05Z", unit, "3f9c2a")
    (tmp_path / name).touch()
    assert [entry.name for entry in tmp_path.iterdir()] == [name]
    assert name.startswith("20260131T120005Z-")
    assert len(name) < 80


@pytest.mark.parametrize("raw", [None, b"", b"{}", b"[" * 9999, b"\xff"])
def test_whatever_becomes_of_what_was_kept_the_answer_is_the_same(tmp_path, monkeypatch, capsys, raw):
    """Nothing kept, kept, damaged, and a folder that cannot be used: the same to the letter."""
    words = ["rank", "--unit", "willow-flat-v210", "--saw", "complaint=wont_open", "--json"]

    def answer(folder: str) -> str:
        monkeypatch.setenv("HALFSPLIT_CACHE", folder)
        assert main(words) == 0
        return capsys.readouterr().out

    plain = answer("")
    assert answer(str(tmp_path / "kept")) == plain
    assert answer(str(tmp_path / "kept")) == plain
    files = list((tmp_path / "kept").iterdir())
    assert len(files) > 1
    for file in files:
        file.write_bytes(file.read_bytes()[:-9] if raw is None else raw)
    assert answer(str(tmp_path / "kept")) == plain
    assert answer(str(files[0])) == plain
