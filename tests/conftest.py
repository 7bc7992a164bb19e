"""What every test stands on."""

from pathlib import Path

import pytest


@pytest.fixture(scope="session")
def shapes_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One folder for compiled shapes: what a test finds there can make it quicker and nothing else."""
    return tmp_path_factory.mktemp("shapes")


@pytest.fixture(autouse=True)
def keep_off_the_real_data_folder(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch, shapes_folder: Path
) -> Path:
    """Every test, and every process that it starts, has a data folder and a home of its own."""
    place = tmp_path_factory.mktemp("person")
    for name in ("HOME", "USERPROFILE", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA"):
        monkeypatch.setenv(name, str(place / "home"))
    for name in ("HALFSPLIT_DB", "HALFSPLIT_CONFIG"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HALFSPLIT_DATA", str(place / "data"))
    monkeypatch.setenv("HALFSPLIT_CACHE", str(shapes_folder))
    return place
