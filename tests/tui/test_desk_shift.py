"""A shift on the phone by one script: three callouts in turn, one handed over, one gone on with after a kill.

The script is played at the screen in a real terminal and by lines through a pipe; both leave equal events.
"""

import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from diagnose.history.store import History
from diagnose.history.travel import merge
from tests.tui.driver import ROOT, SHEET, SMALL_BOOK, told

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
WAIT = 60.0
"""Seconds for one answer of the program: far more than it takes on a slow machine."""


class Act(NamedTuple):
    """One thing that the voice on the phone does: as lines, and as keys with what shows that they took."""

    lines: str
    heard: str
    """What the line mode says when it is done."""
    keys: tuple[tuple[str, str], ...]
    """(keys, what is then seen)."""


def answer(line: str, question: int, *keys: tuple[str, str]) -> Act:
    """An answer that leads to the question of that number."""
    return Act(line, f"Question {question}.", keys or ((line, f"question {question}"),))


BEFORE = (
    Act(
        "new one.yaml for Kim",
        "Question 1.",
        (("n", "Which unit"), ("2", "Who is calling"), ("Kim\r", "question 1")),
    ),
    answer("1", 2),
    answer("1", 3),
    Act(
        "new", "Question 1.", (("\t", "Desk: 1"), ("n", "Which unit"), ("1", "Who is"), ("\r", "question 1"))
    ),
    Act("2", "1 answered.", (("2", "1 answered"),)),
    Act("take 1", "Question 3.", (("\x1bOP", "question 3"),)),
    answer("2?", 4, ("n", "NOT SURE"), ("2", "question 4")),
    Act(
        "new for Lee",
        "Question 1.",
        (("\t", "Desk: 2"), ("n", "Which unit"), ("1", "Who is"), ("Lee\r", "question 1")),
    ),
    answer("1", 2),
    Act("/soap\n1", "Question 3.", (("/", "What was said"), ("soap", "1"), ("1", "question 3"))),
    Act("take 2", "1 answered.", (("\x1bOQ", "1 answered"),)),
    answer("1", 2),
)
"""Up to the kill."""
AFTER = (
    Act("take 1", "Question 4.", (("1", "question 4"),)),
    answer("0", 5),
    Act("take 2", "Question 2.", (("\x1bOQ", "question 2"),)),
    answer("2", 3),
    Act(
        "out 3 handed.jsonl",
        "is in handed.jsonl",
        (
            ("\t", "Desk: 3"),
            ("\x1b[B\x1b[B", "> 3"),
            ("o", "into which file"),
            ("handed.jsonl\r", "is in handed.jsonl"),
        ),
    ),
)


def command(folder: Path, *more: str) -> list[str]:
    """The command line of the desk."""
    words = [
        "desk",
        "--book",
        str(SMALL_BOOK),
        "--data",
        str(folder),
        "--sheets",
        str(folder / "sheets"),
        *more,
    ]
    return [sys.executable, "-m", "tui", *words]


def environment(folder: Path) -> dict[str, str]:
    """Where the program is found while the person stands in a folder of their own."""
    return {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "TERM": "xterm-256color"}


def ready(folder: Path) -> Path:
    """A folder with one sheet."""
    (folder / "sheets").mkdir(parents=True)
    for place in (folder / "sheets", folder):
        (place / "one.yaml").write_bytes(SHEET.read_bytes())
    return folder


def seen(read: Iterator[str], what: str) -> None:
    """Read until something is seen."""
    text = ""
    for part in read:
        text += part
        if what in text:
            return
    raise AssertionError(f"{what!r} is not seen in {text[-3000:]!r}")


def a_second_before(act: Act) -> None:
    """After a restart callouts are numbered by the second in which they were opened."""
    if act.lines.startswith("new"):
        time.sleep(1.1)


def by_lines(folder: Path, acts: tuple[Act, ...]) -> None:
    """Play acts through a pipe, then kill the process as the power does."""
    process = subprocess.Popen(
        command(folder, "--plain"),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        cwd=folder,
        env=environment(folder),
    )
    assert process.stdin
    assert process.stdout
    watch = threading.Timer(WAIT, process.kill)
    watch.start()
    try:
        for act in acts:
            a_second_before(act)
            process.stdin.write(f"{act.lines}\n")
            process.stdin.flush()
            seen(iter(process.stdout.readline, ""), act.heard)
    finally:
        watch.cancel()
        process.kill()
        process.wait()
        process.stdin.close()
        process.stdout.close()


def by_screen(folder: Path, acts: tuple[Act, ...]) -> None:
    """Play acts with keys in a terminal of 80x24, then kill the process as the power does."""
    import pty
    import termios

    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, 80))
    process = subprocess.Popen(
        command(folder, "--no-ahead"),
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        cwd=folder,
        env=environment(folder),
        start_new_session=True,
    )
    os.close(theirs)
    try:
        seen(shown(ours), "Desk: ")
        for act in acts:
            a_second_before(act)
            for keys, what in act.keys:
                time.sleep(0.5)  # a finger that bounces is quicker, and its second key would not count
                os.write(ours, keys.encode())
                seen(shown(ours), what)
    finally:
        process.kill()
        process.wait()
        os.close(ours)


def shown(ours: int) -> Iterator[str]:
    """What is drawn, as it comes, for as long as one waits."""
    import select

    end = time.monotonic() + WAIT
    while time.monotonic() < end:
        if select.select([ours], [], [], 0.2)[0]:
            yield os.read(ours, 65536).decode("utf-8", "replace")


def events_of(path: Path) -> dict[str, list[tuple[str, str, str, str]]]:
    """What was answered in each callout of a store, by the caller's name."""
    with History.open(str(path), lambda: "2026-02-01T00:00:00Z") as history:
        return {item.caller: told(history.events(item.key)) for item in history.callouts()}


def test_a_shift_leaves_the_same_events_on_the_screen_and_in_lines(tmp_path):
    """The one that is handed over comes in elsewhere as it stands."""
    left = {}
    for face, play in (("lines", by_lines), ("screen", by_screen)):
        folder = ready(tmp_path / face)
        play(folder, BEFORE)
        play(folder, AFTER)
        left[face] = events_of(folder / "history.sqlite")
        with History.open(str(tmp_path / f"{face}-other.sqlite"), lambda: "2026-02-01T00:00:00Z") as other:
            assert merge(other, [folder / "handed.jsonl"]).problems == ()
        assert events_of(tmp_path / f"{face}-other.sqlite") == {"Lee": left[face]["Lee"]}
    assert left["screen"] == left["lines"]
    assert {caller: len(events) for caller, events in left["lines"].items()} == {"Kim": 5, "": 4, "Lee": 3}
