"""The file of one callout: its events as JSON lines, each durable before the walk goes on.

Append-only. A last line without its end was cut off by a kill in mid-write: its answer was never
acknowledged, so it is left out on reading and cut away before the next event. Any other line that
cannot be read is an error that names it; nothing is ever skipped or written over.
"""

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Final, Self

from pydantic import ValidationError

from diagnose.events import SCHEMA_VERSION, Event
from diagnose.lock import lock, unlock
from knowledge.problems import InputProblems, Problem

SUFFIX: Final = ".jsonl"


class OpenElsewhere(InputProblems):
    """Another process has this callout open."""


class Journal:
    """One callout's file, held by this process alone until it is closed (or the process ends)."""

    def __init__(self, path: Path, handle: int) -> None:
        """Use `create` or `open`; ``handle`` is an open and locked file."""
        self.path = path
        self._handle = handle
        self._size = 0

    @classmethod
    def create(cls, path: Path, first: Event) -> Self:
        """A new file that holds the opening event. `FileExistsError` when the name is taken."""
        path.parent.mkdir(parents=True, exist_ok=True)
        flags = os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
        journal = cls(path, os.open(path, flags, 0o600))
        try:
            journal._hold()
            journal.append(first)
            _sync_folder(path.parent)
        except BaseException:
            journal.close()
            raise
        return journal

    @classmethod
    def open(cls, path: Path) -> tuple[Self, list[Event]]:
        """The file, held, and the events in it so far.

        Raises `OpenElsewhere`, or `InputProblems` that names the line that cannot be read.
        """
        try:
            handle = os.open(path, os.O_RDWR | getattr(os, "O_BINARY", 0))
        except OSError as error:
            raise InputProblems([_unreadable(path, error)]) from error
        journal = cls(path, handle)
        try:
            journal._hold()
            data = path.read_bytes()
            events = list(_events(path, data))
            journal._size = data.rfind(b"\n") + 1
        except BaseException:
            journal.close()
            raise
        return journal, events

    def append(self, event: Event) -> None:
        """Write one event; it is on the disk when this returns. `OSError` when it is not."""
        line = event.line().encode() + b"\n"
        # Whatever stands behind the last whole line is half an event that nobody was told is saved.
        os.ftruncate(self._handle, self._size)
        os.lseek(self._handle, self._size, os.SEEK_SET)
        rest = memoryview(line)
        while rest:
            rest = rest[os.write(self._handle, rest) :]
        os.fsync(self._handle)
        self._size += len(line)

    def close(self) -> None:
        """Let go of the file; safe to call twice."""
        if self._handle >= 0:
            with contextlib.suppress(OSError):
                unlock(self._handle)
            os.close(self._handle)
            self._handle = -1

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _hold(self) -> None:
        if not lock(self._handle):
            raise OpenElsewhere(
                [
                    Problem(
                        str(self.path), "", "this callout is open in another window", "Close it there first."
                    )
                ]
            )


def read_events(path: Path) -> list[Event]:
    """The events of a file that nobody need hold. Raises `InputProblems`."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputProblems([_unreadable(path, error)]) from error
    return list(_events(path, data))


def _events(path: Path, data: bytes) -> Iterator[Event]:
    whole = data[: data.rfind(b"\n") + 1]
    if not whole:
        raise InputProblems([Problem(str(path), "", "holds no event", "Start a new callout.")])
    for number, line in enumerate(whole[:-1].split(b"\n"), 1):
        try:
            event = Event.model_validate_json(line)
        except ValidationError as error:
            raise InputProblems([_bad_line(path, number, "is not an event of a callout")]) from error
        if (number == 1) != (event.kind == "opened" and event.opening is not None):
            what = "does not open a callout" if number == 1 else "opens a second callout"
            raise InputProblems([_bad_line(path, number, what)])
        if event.opening and event.opening.schema_version > SCHEMA_VERSION:
            what = f"was written by a newer halfsplit (events {event.opening.schema_version})"
            raise InputProblems([_bad_line(path, number, what, "Use that one to go on with it.")])
        yield event


def _bad_line(path: Path, number: int, what: str, mend: str = "") -> Problem:
    return Problem(f"{path}:{number}", "", what, mend or "Mend the line by hand, or put the file elsewhere.")


def _unreadable(path: Path, error: OSError) -> Problem:
    return Problem(str(path), "", f"cannot be read ({error.strerror})", "")


def _sync_folder(folder: Path) -> None:
    """Make the new name itself durable, where the system can."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
