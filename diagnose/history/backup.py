"""Copies of the store that are safe to take, and to bring back, while it is in use.

The copy of a file is a file of SQLite, that of a database a file of JSON lines with the names of people; both
can be brought back into either. Bringing back adds what is missing and takes nothing away, so that what was
answered since the copy stays. Only a file that cannot be read makes room: it is set aside under another name.
"""

import os
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final, TextIO

from diagnose.history.engine import is_file, url_of
from diagnose.history.rebuild import all_records
from diagnose.history.travel import LOT, Merged, Progress, export_callouts, lots, merge, merge_records
from knowledge.problems import InputProblems, Problem

if TYPE_CHECKING:
    from diagnose.history.store import History

_MAGIC: Final = b"SQLite format 3\0"
"""How a file of SQLite begins."""
SET_ASIDE: Final = ".damaged"
"""Ends the name of a store that could not be read."""


def back_up(history: "History", path: Path, progress: Progress = lambda done, whole: None) -> None:
    """Write a copy of the store as of one moment. The file appears when it is whole. Raises `OSError`."""
    if is_file(history.url):
        copy_file(Path(str(history.url.database)), path)
        return
    with taking_place(path) as out:
        export_callouts(history, out, with_names=True, progress=progress)


@contextmanager
def taking_place(target: Path) -> Iterator[TextIO]:
    """A text file to write that takes the place of ``target`` when it is whole; else it goes."""
    part = target.with_name(f"{target.name}.part")
    try:
        with part.open("w", encoding="utf-8", newline="\n") as out:
            yield out
        _take_place(part, target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def before_migration(history: "History", folder: Path, number: int) -> Path:
    """Keep the store as it is before a migration; returns the copy. Raises `OSError`."""
    if is_file(history.url):
        path = Path(f"{history.url.database}.before-{number}")
    else:
        path = folder / f"{history.url.database}.before-{number}.jsonl"
    path.parent.mkdir(parents=True, exist_ok=True)
    back_up(history, path)
    return path


def copy_file(source: Path, target: Path) -> None:
    """Copy a store of SQLite as of one moment, whoever writes to it meanwhile. Raises `OSError`."""
    part = target.with_name(f"{target.name}.part")
    part.unlink(missing_ok=True)
    try:
        with closing(sqlite3.connect(source)) as one, closing(sqlite3.connect(part)) as other:
            one.backup(other)
            other.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.Error as error:
        part.unlink(missing_ok=True)
        raise OSError(None, str(error)) from error
    _take_place(part, target)


def _take_place(part: Path, target: Path) -> None:
    with part.open("rb+") as file:
        os.fsync(file.fileno())
    part.replace(target)


def restore(
    named: str,
    opened: Callable[[str], "History"],
    path: Path,
    progress: Progress = lambda done, whole: None,
) -> Merged:
    """Bring a copy back into the store of that name; ``opened`` opens a store.

    Raises `InputProblems` for a file that is no copy of a store, `NotSaved`.
    """
    try:
        with path.open("rb") as file:
            is_sqlite = file.read(len(_MAGIC)) == _MAGIC
    except OSError as error:
        raise InputProblems([Problem(str(path), "", f"cannot be read ({error.strerror})", "")]) from error
    with _readable(named, opened) as history:
        if not is_sqlite:
            return merge(history, [path], progress)
        with tempfile.TemporaryDirectory() as folder:
            # A copy of the copy: opening a store may migrate it, and a backup is not to be touched.
            copy = Path(folder) / "copy.sqlite"
            try:
                copy_file(path, copy)
            except OSError as error:
                what = f"is no copy of a history: {error.strerror or error}"
                raise InputProblems([Problem(str(path), "", what, "Name another copy.")]) from error
            with opened(str(copy)) as source:
                return _taken(history, source, progress)


def _taken(history: "History", source: "History", progress: Progress) -> Merged:
    if source.demo != history.demo:
        what = "is of a demo" if source.demo else "is of real callouts, and the store is a demo's"
        raise InputProblems([Problem(source.name, "", what, "A demo is kept apart from real callouts.")])
    merged = Merged()
    with source.reading() as connection:
        whole = source.count(connection)
        done = 0
        for lot in lots(all_records(connection), LOT):
            merge_records(history, [record for _, record in lot], merged)
            done += len(lot)
            progress(done, whole)
    return merged


@contextmanager
def _readable(named: str, opened: Callable[[str], "History"]) -> Iterator["History"]:
    """The store, a new one in the place of a file that cannot be read."""
    try:
        history = opened(named)
    except InputProblems:
        url = url_of(named)
        if not is_file(url) or not _damaged(Path(str(url.database))):
            raise
        for end in ("", "-wal", "-shm"):
            beside = Path(f"{url.database}{end}")
            if beside.exists():
                beside.replace(Path(f"{url.database}{SET_ASIDE}{end}"))
        history = opened(named)
    with history:
        yield history


def _damaged(path: Path) -> bool:
    try:
        with closing(sqlite3.connect(path)) as connection:
            return bool(connection.execute("PRAGMA quick_check(1)").fetchone() != ("ok",))
    except sqlite3.DatabaseError as error:
        return not isinstance(error, sqlite3.OperationalError)
