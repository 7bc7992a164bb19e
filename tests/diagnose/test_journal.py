"""The file of one callout."""

import os
from pathlib import Path

import pytest

from diagnose.callouts import open_callouts
from diagnose.events import Event
from diagnose.journal import Journal, OpenElsewhere, read_events
from knowledge.problems import InputProblems
from tests.tui.driver import call_for_help, new_walk, small_book


def fill(path: Path, *answers: str) -> list[Event]:
    """Save a callout with these answers."""
    events = new_walk(answers).events
    with Journal.create(path, events[0]) as journal:
        for event in events[1:]:
            journal.append(event)
    return events


def test_what_was_appended_is_read_back(tmp_path):
    """Every event comes back equal and in order."""
    events = fill(tmp_path / "new" / "a.jsonl", "1", "1", "0")
    assert read_events(tmp_path / "new" / "a.jsonl") == events
    assert len(events) == 4


def test_an_event_is_synced_to_the_disk_before_append_returns(tmp_path, monkeypatch):
    """fsync runs on the journal's file, after the whole line was written."""
    path = tmp_path / "a.jsonl"
    sizes = []
    real = os.fsync
    monkeypatch.setattr(os, "fsync", lambda handle: (sizes.append(os.fstat(handle).st_size), real(handle)))
    events = new_walk(["1"]).events
    with Journal.create(path, events[0]) as journal:
        sizes.clear()
        journal.append(events[1])
        assert sizes == [path.stat().st_size]


def test_a_name_that_is_taken_is_never_written_over(tmp_path):
    """Creating twice fails and leaves the first file as it was."""
    path = tmp_path / "a.jsonl"
    fill(path, "1")
    before = path.read_bytes()
    with pytest.raises(FileExistsError):
        Journal.create(path, new_walk().events[0])
    assert path.read_bytes() == before


@pytest.mark.parametrize("torn", [b"{", b'{"at":"t","kind":"check"', b'{"at":"x","kind":"undo"}', b"\0\0\0"])
def test_a_torn_last_line_is_left_out_and_cut_off_before_the_next_event(tmp_path, torn):
    """A kill in mid-write costs the answer that was never acknowledged, and nothing else."""
    path = tmp_path / "a.jsonl"
    events = fill(path, "1")
    path.write_bytes(path.read_bytes() + torn)
    journal, found = Journal.open(path)
    with journal:
        assert found == events
        more = new_walk(["1", "1"]).events[2]
        journal.append(more)
    assert read_events(path) == [*events, more]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (b"rubbish", "is not an event of a callout"),
        (b'{"at":"t","kind":"dance"}', "is not an event of a callout"),
        (b"", "is not an event of a callout"),
        (b"\xff\xfe", "is not an event of a callout"),
        (b'{"at":"t","kind":"undo","extra":1}', "is not an event of a callout"),
    ],
)
def test_a_bad_line_in_the_middle_is_named_and_nothing_is_changed(tmp_path, line, words):
    """The error says file, line and what to do; the file stays byte for byte."""
    path = tmp_path / "a.jsonl"
    fill(path, "1", "1")
    lines = path.read_bytes().split(b"\n")
    path.write_bytes(b"\n".join([lines[0], line, *lines[1:]]))
    before = path.read_bytes()
    with pytest.raises(InputProblems) as caught:
        Journal.open(path)
    assert [problem.place for problem in caught.value.problems] == [f"{path}:2"]
    assert words in str(caught.value)
    assert path.read_bytes() == before


def test_a_file_that_does_not_open_a_callout_is_refused(tmp_path):
    """The first line must be the opening, and only the first."""
    path = tmp_path / "a.jsonl"
    fill(path, "1")
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(lines[1])
    with pytest.raises(InputProblems, match="does not open a callout"):
        read_events(path)
    path.write_bytes(lines[0] + lines[0])
    with pytest.raises(InputProblems, match=r"a\.jsonl:2: opens a second callout"):
        read_events(path)


def test_a_file_of_a_newer_program_is_refused(tmp_path):
    """Events of a later kind are not guessed at."""
    path = tmp_path / "a.jsonl"
    opening = new_walk().events[0]
    newer = opening.model_copy(update={"opening": opening.opening.model_copy(update={"schema_version": 99})})
    path.write_text(newer.line() + "\n", encoding="utf-8")
    with pytest.raises(InputProblems, match="newer halfsplit"):
        read_events(path)


def test_a_missing_file_is_a_problem_of_the_person(tmp_path):
    """No traceback: the file's name and why."""
    with pytest.raises(InputProblems, match="cannot be read"):
        Journal.open(tmp_path / "none.jsonl")


def test_a_held_callout_cannot_be_opened_twice(tmp_path):
    """The second opening is told; after the first is closed it goes."""
    path = tmp_path / "a.jsonl"
    fill(path, "1")
    first, _ = Journal.open(path)
    with pytest.raises(OpenElsewhere, match="open in another window"):
        Journal.open(path)
    assert len(read_events(path)) == 2
    first.close()
    second, _ = Journal.open(path)
    second.close()


def test_a_write_that_fails_halfway_leaves_no_half_line_between_events(tmp_path, monkeypatch):
    """A full disk loses the event, says so, and the next one is whole again."""
    path = tmp_path / "a.jsonl"
    events = new_walk(["1", "1"]).events
    real = os.write

    def half(handle, data):
        real(handle, bytes(data)[:5])
        raise OSError(28, "No space left on device")

    with Journal.create(path, events[0]) as journal:
        monkeypatch.setattr(os, "write", half)
        with pytest.raises(OSError, match="No space left"):
            journal.append(events[1])
        monkeypatch.setattr(os, "write", real)
        journal.append(events[1])
        journal.append(events[2])
    assert read_events(path) == events


def test_a_system_that_writes_a_few_bytes_at_a_time_still_saves_whole_lines(tmp_path, monkeypatch):
    """A short write is gone on with."""
    path = tmp_path / "a.jsonl"
    real = os.write
    monkeypatch.setattr(os, "write", lambda handle, data: real(handle, bytes(data)[:7]))
    events = fill(path, "1")
    assert read_events(path) == events


def test_only_callouts_that_have_not_ended_are_listed_newest_first(tmp_path):
    """A cured one is closed; the others come in the order of their last event."""
    fill(tmp_path / "b.jsonl", "1")
    fill(tmp_path / "a.jsonl", "1", "1")
    fill(tmp_path / "ended.jsonl", *call_for_help())
    later = Event(at="2026-02-01T00:00:00Z", kind="undo")
    journal, _ = Journal.open(tmp_path / "b.jsonl")
    with journal:
        journal.append(later)
    found = open_callouts(tmp_path, small_book())
    assert [(item.path.name, item.answers) for item in found.open] == [("b.jsonl", 0), ("a.jsonl", 2)]
    assert found.damaged == ()


def test_one_damaged_file_is_told_of_and_the_others_are_listed(tmp_path):
    """The damaged one is named with its line."""
    fill(tmp_path / "good.jsonl", "1")
    (tmp_path / "bad.jsonl").write_text("rubbish\n", encoding="utf-8")
    (tmp_path / "empty.jsonl").touch()
    found = open_callouts(tmp_path, small_book())
    assert [item.path.name for item in found.open] == ["good.jsonl"]
    assert [problem.place for problem in found.damaged] == [f"{tmp_path / 'bad.jsonl'}:1"]


def test_a_callout_of_another_book_is_listed_unless_its_last_event_ends_it(tmp_path):
    """Events that this book cannot replay do not hide an open callout, nor show a closed one."""
    opening, *rest = new_walk(["1"]).events
    strange = rest[0].model_copy(update={"id": "gone"})
    for name, last in {
        "open": strange,
        "closed": Event(at="t", kind="help", id="help", answer="called"),
    }.items():
        with Journal.create(tmp_path / f"{name}.jsonl", opening) as journal:
            journal.append(strange)
            journal.append(last)
    assert [item.path.name for item in open_callouts(tmp_path, small_book()).open] == ["open.jsonl"]


def test_a_folder_that_is_not_there_has_no_callouts(tmp_path):
    """The first start of all is no error."""
    assert open_callouts(tmp_path / "none", small_book()).open == ()
