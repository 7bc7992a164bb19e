"""A kept book is the book of the YAML, and whatever is wrong with what was kept is as if nothing had been."""

import random
import shutil
from pathlib import Path

import pytest
from pydantic import BaseModel

from diagnose.store import FolderStore
from knowledge import book as book_module
from knowledge import door
from knowledge.book import SHIPPED, load_book
from knowledge.kept import keep_text, kept_text, parsed, written
from knowledge.kept_book import parts_of, recalled_book
from knowledge.problems import InputProblems
from tests.helpers import write_book


def tiny(folder: Path) -> Path:
    """A new folder with the tiny book in it."""
    folder.mkdir()
    return write_book(folder)


@pytest.mark.parametrize("shipped", [True, False])
def test_a_kept_book_is_the_same_and_no_yaml_is_read_for_it(tmp_path, monkeypatch, shipped):
    """Every entry, section, place and the digest, through a folder on disk."""
    folder = SHIPPED if shipped else tiny(tmp_path / "book")
    plain = load_book(folder)
    assert load_book(folder, FolderStore(tmp_path / "kept")) == plain
    monkeypatch.setattr(book_module, "read_bytes", None)
    again = load_book(folder, FolderStore(tmp_path / "kept"))
    assert again == plain
    assert list(again.causes) == list(plain.causes)
    assert again.places == plain.places
    assert whole(again) == whole(plain)


def whole(book):
    """All that an entry is: its fields in order, those that were given, and what it prints."""

    def told(value):
        if isinstance(value, BaseModel):
            given = sorted(value.model_fields_set)
            return type(value), list(value.__dict__), given, value.model_dump_json()
        return {name: told(part) for name, part in value.items()} if isinstance(value, dict) else value

    return {name: told(part) for name, part in parts_of(book).items()}


def test_an_entry_of_a_kept_book_shares_no_default_with_another(tmp_path):
    """So that one that is changed in place changes no other."""
    kept = {}
    load_book(write_book(tmp_path), kept)
    causes = list(load_book(tmp_path, kept).causes.values())
    lists = [cause.repair.parts for cause in causes]
    assert len({id(parts) for parts in lists}) == len(lists) > 1


@pytest.mark.parametrize(
    "wrong",
    [
        None,
        7,
        [],
        "text",
        {},
        {"order": ["a"], "married": []},
        {"checksum": 1, "content": 2},
        {"checksum": "", "content": ""},
    ],
)
def test_what_is_no_kept_book_is_as_good_as_none(tmp_path, wrong):
    """And the right one is put in its place."""
    folder, kept = write_book(tmp_path), {}
    plain = load_book(folder, kept)
    (key,) = kept
    good = kept[key]
    kept[key] = wrong
    assert load_book(folder, kept) == plain
    assert kept == {key: good}


@pytest.mark.parametrize("seed", range(30))
def test_a_damaged_or_truncated_file_is_as_good_as_none(tmp_path, seed):
    """A byte changed or the end cut off, anywhere."""
    folder = tiny(tmp_path / "book")
    plain = load_book(folder, FolderStore(tmp_path / "kept"))
    (file,) = (tmp_path / "kept").iterdir()
    good, rng = file.read_bytes(), random.Random(seed)
    place = rng.randrange(len(good))
    damaged = good[:place] + bytes([good[place] ^ rng.randrange(1, 256)]) + good[place + 1 :]
    file.write_bytes(rng.choice([damaged, good[:place]]))
    assert load_book(folder, FolderStore(tmp_path / "kept")) == plain


def test_what_was_kept_for_another_book_is_as_good_as_none(tmp_path):
    """Though it is whole: the checksum is of the key too."""
    one, other, kept = tiny(tmp_path / "one"), tiny(tmp_path / "other"), {}
    file = next(other.glob("*.yaml"))
    file.write_text(file.read_text(encoding="utf-8") + "# more\n", encoding="utf-8")
    load_book(one, kept)
    (first,) = kept
    plain = load_book(other, kept)
    (second,) = set(kept) - {first}
    kept[second] = kept[first]
    assert recalled_book(kept, second) is None
    assert load_book(other, kept) == plain


@pytest.mark.parametrize(
    "change",
    [
        lambda parts: [],
        lambda parts: {**parts, "strange": {}},
        lambda parts: {name: part for name, part in parts.items() if name != "causes"},
        lambda parts: {**parts, "prices": {**parts["prices"], "*": "Nothing"}},
        lambda parts: {**parts, "prices": {**parts["prices"], "more": 1}},
        lambda parts: {**parts, "prices": {"*": "Prices"}},
    ],
)
def test_kept_data_of_other_parts_or_models_is_read_again(tmp_path, change):
    """Though it is whole by its checksum."""
    folder, kept = write_book(tmp_path), {}
    plain = load_book(folder, kept)
    (key,) = kept
    keep_text(kept, key, written(change(parsed(kept_text(kept, key)))))
    assert load_book(folder, kept) == plain


def test_a_changed_byte_another_name_or_another_reader_is_another_key(tmp_path, monkeypatch):
    """So that what is kept can never be of another text or of older code."""
    folder, kept = tiny(tmp_path / "book"), {}
    file = next(folder.glob("*.yaml"))
    load_book(folder, kept)
    file.write_text(file.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    load_book(folder, kept)
    file.rename(file.with_name("zzz.yaml"))
    assert load_book(folder, kept).places["slow_pilot"].startswith("zzz.yaml:")
    assert len(kept) == 3
    shutil.copy(door.__file__, tmp_path / "door.py")
    with (tmp_path / "door.py").open("a", encoding="utf-8") as stream:
        stream.write("# another\n")
    monkeypatch.setattr(door, "__file__", str(tmp_path / "door.py"))
    load_book(folder, kept)
    assert len(kept) == 4


@pytest.mark.parametrize(
    "text", ["causes: *a", "causes: {a: 1}", "nothing: 1", "conditions: {a: {title: A, leads_to: {b: 1}}}"]
)
def test_a_book_with_problems_is_not_kept_and_its_places_are_exact(tmp_path, text):
    """They are the same with and without a place to keep it, and again."""
    folder, kept = write_book(tmp_path), {}
    (folder / "more.yaml").write_text(f"section: valve\n\n{text}\n", encoding="utf-8")
    with pytest.raises(InputProblems) as plain:
        load_book(folder)
    for _ in range(2):
        with pytest.raises(InputProblems) as told:
            load_book(folder, kept)
        assert told.value.problems == plain.value.problems
    assert "more.yaml:3" in str(plain.value.problems[0])
    assert kept == {}


def test_a_file_that_cannot_be_read_is_told_with_the_problems_of_the_others(tmp_path):
    """All at once."""
    folder = write_book(tmp_path)
    (folder / "bad.yaml").write_text("causes: [", encoding="utf-8")
    (folder / "folder.yaml").mkdir()
    with pytest.raises(InputProblems) as told:
        load_book(folder, {})
    text = str(told.value)
    assert "folder.yaml: is not a file" in text
    assert "bad.yaml:2: is not YAML" in text


def test_a_folder_that_cannot_be_used_does_not_matter(tmp_path):
    """A file stands where the folder should be."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    folder = tiny(tmp_path / "book")
    assert load_book(folder, FolderStore(tmp_path / "file")) == load_book(folder)
