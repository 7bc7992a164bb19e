"""Compiled shapes in a folder: kept when it can be, and never in the way."""

import os
from pathlib import Path

import pytest

from diagnose import shape_store
from diagnose.shape_store import ShapeStore


def test_what_is_put_in_comes_out_in_another_process(tmp_path):
    """A store of the same folder reads it; what is not there is a KeyError; it can be taken out."""
    store = ShapeStore(tmp_path / "new" / "folder")
    store["abc"] = {"order": ["a", "b"], "married": [["a", "b"]]}
    again = ShapeStore(tmp_path / "new" / "folder")
    assert again["abc"] == {"order": ["a", "b"], "married": [["a", "b"]]}
    assert list(again) == ["abc"]
    del again["abc"]
    assert store.get("abc") is None
    with pytest.raises(KeyError):
        del store["abc"]


@pytest.mark.parametrize("raw", [b"", b"{", b"\xff\xfe", b"[" * 100_000, b" " * 2_000_000])
def test_a_damaged_file_is_as_good_as_none(tmp_path, raw):
    """Whatever its bytes are."""
    (tmp_path / "abc.json").write_bytes(raw)
    assert ShapeStore(tmp_path).get("abc") is None


def test_a_folder_that_cannot_be_used_keeps_nothing_and_says_nothing(tmp_path):
    """A file stands where the folder should be."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    store = ShapeStore(tmp_path / "file")
    store["abc"] = 1
    assert store.get("abc") is None
    assert len(store) == 0


def test_the_oldest_are_dropped(tmp_path, monkeypatch):
    """Only so many files are kept, and no half-written one stays behind."""
    monkeypatch.setattr(shape_store, "MOST_FILES", 3)
    store = ShapeStore(tmp_path)
    for number in range(5):
        store[f"k{number}"] = number
        os.utime(tmp_path / f"k{number}.json", (number, number))
    assert sorted(store) == ["k2", "k3", "k4"]
    assert {path.suffix for path in Path(tmp_path).iterdir()} == {".json"}
