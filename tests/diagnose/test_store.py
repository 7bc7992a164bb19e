"""Plain data in a folder: kept when it can be, and never in the way."""

import os
from pathlib import Path

import pytest

from diagnose import store as folder_store
from diagnose.store import FolderStore


def test_what_is_put_in_comes_out_in_another_process(tmp_path):
    """A store of the same folder reads it; what is not there is a KeyError; it can be taken out."""
    store = FolderStore(tmp_path / "new" / "folder")
    store["abc"] = {"order": ["a", "b"], "married": [["a", "b"]]}
    again = FolderStore(tmp_path / "new" / "folder")
    assert again["abc"] == {"order": ["a", "b"], "married": [["a", "b"]]}
    assert list(again) == ["abc"]
    del again["abc"]
    assert store.get("abc") is None
    with pytest.raises(KeyError):
        del store["abc"]


@pytest.mark.parametrize("raw", [b"", b"{", b"\xff\xfe", b"[" * 100_000, b" " * 5_000_000])
def test_a_damaged_file_is_as_good_as_none(tmp_path, raw):
    """Whatever its bytes are."""
    (tmp_path / "abc.json").write_bytes(raw)
    assert FolderStore(tmp_path).get("abc") is None


def test_a_folder_that_cannot_be_used_keeps_nothing_and_says_nothing(tmp_path):
    """A file stands where the folder should be."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    store = FolderStore(tmp_path / "file")
    store["abc"] = 1
    assert store.get("abc") is None
    assert len(store) == 0


def test_the_oldest_are_dropped(tmp_path, monkeypatch):
    """Only so many files are kept, and no half-written one stays behind."""
    monkeypatch.setattr(folder_store, "MOST_FILES", 3)
    store = FolderStore(tmp_path)
    for number in range(5):
        store[f"k{number}"] = number
        os.utime(tmp_path / f"k{number}.json", (number, number))
    assert sorted(store) == ["k2", "k3", "k4"]
    assert {path.suffix for path in Path(tmp_path).iterdir()} == {".json"}


def test_what_is_read_again_outlives_what_is_not(tmp_path, monkeypatch):
    """The first one made is the one in use."""
    monkeypatch.setattr(folder_store, "MOST_FILES", 2)
    store = FolderStore(tmp_path)
    for number in range(2):
        store[f"k{number}"] = number
        os.utime(tmp_path / f"k{number}.json", (number, number))
    assert store["k0"] == 0
    store["k2"] = 2
    assert sorted(store) == ["k0", "k2"]


def test_what_is_too_large_is_not_kept(tmp_path, monkeypatch):
    """It would not be read again either."""
    monkeypatch.setattr(folder_store, "MAX_BYTES", 8)
    store = FolderStore(tmp_path)
    store["small"], store["large"] = "abc", "abcdefghi"
    assert list(store) == ["small"]
