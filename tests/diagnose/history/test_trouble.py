"""A full disk, a folder that cannot be written to, a store kept busy: said in words, and nothing damaged."""

import os
import resource
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from diagnose.history.record import Record
from diagnose.history.store import History
from diagnose.history.trouble import NotSaved
from knowledge.problems import InputProblems
from tests.diagnose.history.conftest import NOW
from tests.diagnose.history.kills import assert_sound
from tests.diagnose.history.records import event, opening, saved
from tests.diagnose.history.test_merge import file_of

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="sets limits that only POSIX has")
NOBODY = 65534


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder that everybody may enter."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)


def apart(work: Callable[[], None]) -> str:
    """Do it in a process of its own; what it came to: nothing, or the message for the person."""
    reads, writes = os.pipe()
    process = os.fork()
    if not process:
        said = ""
        try:
            work()
        except NotSaved as error:
            said = f"NotSaved: {error.strerror}"
        except InputProblems as error:
            said = f"InputProblems: {error}"
        except BaseException as error:
            said = f"a fault: {error!r}"
        os.write(writes, said.encode())
        os._exit(0)
    os.close(writes)
    with os.fdopen(reads) as file:
        said = file.read()
    os.waitpid(process, 0)
    return said


def fill(name: str, count: int = 4000) -> None:
    """Answer until it fails; the first answer that is not saved ends it."""
    with History.open(name, lambda: NOW) as history:
        key = saved(history, opening("full"))
        for number in range(1, count):
            history.append(key, event(number % 3000, answer="x" * 300), number)


def as_before_and_usable(name: str, key: str) -> int:
    """The store opens, is whole, and takes answers again; how many answers the full one has."""
    with History.open(name, lambda: NOW) as history:
        assert_sound(history)
        assert history.events(key) == (opening(), event(1))
        history.append(key, event(2), 2)
        full = history.find("full").key
        return len(history.events(full))


def test_files_that_must_not_grow_are_told_of_and_nothing_is_damaged(folder):
    """What was acknowledged before is there; afterwards the store goes on."""
    name = str(folder / "s.sqlite")
    with History.open(name, lambda: NOW) as history:
        key = saved(history, opening(), event(1))

    def work() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))
        fill(name)

    assert apart(work) == "NotSaved: the disk does not take it, or the folder is gone"
    assert as_before_and_usable(name, key) > 1


@contextmanager
def small_disk(folder: Path) -> Iterator[None]:
    """A disk of 600 kB at that folder, where this may make one."""
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=600k", "tmpfs", str(folder)], capture_output=True, check=False
    )
    if made.returncode:
        pytest.skip("this may not make a disk")
    try:
        yield
    finally:
        subprocess.run(["umount", str(folder)], check=False)


def test_a_full_disk_is_told_of_and_nothing_is_damaged(folder):
    """On a small disk of its own."""
    with small_disk(folder):
        name = str(folder / "s.sqlite")
        with History.open(name, lambda: NOW) as history:
            key = saved(history, opening(), event(1))
        assert apart(lambda: fill(name)) == "NotSaved: the disk is full"
        subprocess.run(["mount", "-o", "remount,size=4m", str(folder)], check=True)
        assert as_before_and_usable(name, key) > 1


def test_a_disk_that_is_full_in_a_long_work_says_which_store_and_what_to_do(folder, capsys):
    """A merge, bringing back a copy; an export leaves no part of a file; the callouts that are there stay."""
    from tui.__main__ import main

    big = [Record.in_a_row([opening(f"c{n}"), event(1, answer="x" * 3000)]) for n in range(300)]
    with tempfile.TemporaryDirectory() as elsewhere, small_disk(folder):
        data, full = ["--data", elsewhere], ["--data", str(folder / "data")]
        file = file_of(Path(elsewhere), *big)
        copy = str(Path(elsewhere) / "copy")
        assert main(["history", "merge", str(file), *data]) == 0
        assert main(["history", "backup", copy, *data]) == 0
        name = str(folder / "data" / "history.sqlite")
        with History.open(name, lambda: NOW) as history:
            saved(history, opening("mine"))
        capsys.readouterr()
        for work in (["merge", str(file)], ["restore", copy]):
            assert main(["history", *work, *full]) == 2
            said = capsys.readouterr().err
            assert f"{name}: not all was saved, the disk is full. What was saved before stays." in said
        assert main(["history", "export", "--callouts", str(folder / "out.jsonl"), *data]) == 2
        assert "out.jsonl: cannot be written (No space left on device)" in capsys.readouterr().err
        assert [path.name for path in folder.iterdir()] == ["data"]
        with History.open(name, lambda: NOW) as history:
            assert_sound(history)
            assert history.find("mine").open


@pytest.mark.parametrize("there", [True, False])
def test_a_folder_that_cannot_be_written_to_is_told_of(folder, there):
    """Whether there is a store in it or not; not a byte is changed."""
    path = folder / "s.sqlite"
    if there:
        with History.open(str(path), lambda: NOW) as history:
            saved(history, opening())
    before = path.read_bytes() if there else b""
    folder.chmod(0o555)

    def work() -> None:
        if os.getuid() == 0:
            os.setuid(NOBODY)
        History.open(str(path), lambda: NOW)

    said = apart(work)
    assert said.startswith(f"InputProblems: {path}: cannot be used: ")
    assert "--data" in said
    folder.chmod(0o755)
    assert (path.read_bytes() if path.exists() else b"") == before


def test_a_folder_that_has_become_read_only_saves_nothing_and_says_so(folder):
    """In the middle of a callout."""
    path = folder / "s.sqlite"
    with History.open(str(path), lambda: NOW) as history:
        key = saved(history, opening())
    for file in folder.iterdir():
        os.chown(file, NOBODY, -1) if os.getuid() == 0 else None

    def work() -> None:
        os.chown(folder, NOBODY, -1) if os.getuid() == 0 else None
        if os.getuid() == 0:
            os.setuid(NOBODY)
        history = History.open(str(path), lambda: NOW)
        history.engine.dispose()
        path.chmod(0o444)
        history.append(key, event(1), 1)

    said = apart(work)
    assert said == "NotSaved: the history cannot be written to, it is read-only"
    path.chmod(0o644)
    with History.open(str(path), lambda: NOW) as history:
        assert history.events(key) == (opening(),)


def test_a_store_that_somebody_keeps_busy_is_waited_for_and_then_told_of(folder, monkeypatch):
    """No traceback, nothing saved."""
    path = folder / "s.sqlite"
    with History.open(str(path), lambda: NOW) as history:
        key = saved(history, opening())
    monkeypatch.setattr("diagnose.history.engine.BUSY", 200)
    with (
        closing(sqlite3.connect(path, isolation_level=None)) as other,
        History.open(str(path), lambda: NOW) as mine,
    ):
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(NotSaved, match="another program keeps the history busy"):
            mine.append(key, event(1), 1)
        other.execute("ROLLBACK")
        assert mine.append(key, event(1), 1) == 2
