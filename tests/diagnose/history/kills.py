"""Processes that work on a store and are killed at any moment, and what must be true afterwards."""

import os
import random
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache, partial
from pathlib import Path
from typing import Any

from sqlalchemy import func, select

from diagnose.history.engine import engine_of, is_file, url_of
from diagnose.history.migrations import MIGRATIONS, Migration
from diagnose.history.overview import overview_of
from diagnose.history.rebuild import all_records
from diagnose.history.saver import Saver
from diagnose.history.store import History, Wanted
from diagnose.history.tables import EVENT
from diagnose.history.travel import merge
from diagnose.sheet import Unit
from diagnose.walk import Walk, open_callout
from tests.tui.driver import call_for_help, cure, new_walk, small_book, told, two_repairs

NOW = "2026-01-31T12:00:01Z"
SCRIPTS: tuple[Callable[[], tuple[str, ...]], ...] = (cure, call_for_help, two_repairs)
"""The callouts of a shift, which are answered in turn."""
SHAPES: dict[str, Any] = {}
"""Compiled shapes, so that a process that is begun anew need not work them out."""


def opened(name: str) -> History:
    """The store."""
    return History.open(name, lambda: NOW)


@contextmanager
def killed(work: Callable[[int], None], after: float, at_work: bool = False) -> Iterator[list[str]]:
    """Run in a process of its own, which is killed after so many seconds; gives the lines that it wrote.

    ``at_work``: the seconds count from its first line on.
    """
    reads, writes = os.pipe()
    process = os.fork()
    if not process:
        os.close(reads)
        code = 1
        try:
            work(writes)
            code = 0
        except BaseException as error:
            sys.stderr.write(f"{error!r}\n")
        finally:
            os._exit(code)
    os.close(writes)
    first = os.read(reads, 1).decode() if at_work else ""
    time.sleep(after)
    os.kill(process, signal.SIGKILL)
    with os.fdopen(reads) as file:
        lines = (first + file.read()).splitlines()
    _, status = os.waitpid(process, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0, "the process failed"
    yield lines


def work_a_shift(name: str, writes: int) -> None:
    """Answer three callouts in turn, one shift after the other; each answer that is saved is written down."""
    book = small_book()
    with opened(name) as history:
        for shift in range(10_000):
            walks = []
            for number in range(len(SCRIPTS)):
                first = open_callout(f"{shift}-{number}", Unit("V-101"), book, "2026-01-31T12:00:00Z")
                saver = Saver(history, history.begin(first))
                walks.append(Walk(book, saver.events, saver.save, lambda: NOW, SHAPES, others=saver))
            left = True
            while left:
                left = False
                for number, (walk, script) in enumerate(zip(walks, SCRIPTS, strict=True)):
                    done = len(walk.events) - 1
                    if done < len(script()):
                        walk.answer(script()[done])
                        os.write(writes, f"{shift} {number} {done + 1}\n".encode())
                        left = True


@cache
def whole(number: int) -> list[tuple[str, str, str, str]]:
    """The events of a callout that nobody killed."""
    walk = Walk(small_book(), new_walk().events, lambda event: None, lambda: NOW, SHAPES)
    for answer in SCRIPTS[number]():
        walk.answer(answer)
    return told(walk.events)


def assert_sound(history: History) -> None:
    """The file is whole, and what lists show is what follows from the events."""
    with history.reading() as connection:
        if is_file(history.url):
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
            assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []
        events = connection.scalar(select(func.count()).select_from(EVENT))
        records = [record for _, record in all_records(connection)]
    shown = {item.key: item for item in history.callouts(Wanted(struck=True))}
    assert {record.key: overview_of(record) for record in records} == shown
    assert sum(len(record.kept) for record in records) == events


def kill_shifts(name: str, times: int, seed: int, longest: float = 0.5) -> int:
    """Kill a shift so many times; returns how many answers were acknowledged; all are there, once."""
    draw = random.Random(seed)
    saved: dict[tuple[int, int], int] = {}
    whole(0), whole(1), whole(2)
    for turn in range(times):
        # Half of them from the start, so that opening the store is hit too.
        work = partial(work_a_shift, name)
        with killed(work, draw.uniform(0, longest), at_work=turn % 2 == 0) as lines:
            for line in lines:
                shift, number, done = map(int, line.split())
                saved[shift, number] = done
        with opened(name) as history:
            assert_sound(history)
            found = {item.name: history.events(item.key) for item in history.callouts()}
        for (shift, number), done in saved.items():
            events = told(found[f"{shift}-{number}"])[1:]
            # The last answer may have been saved although the kill came before it was acknowledged.
            assert done <= len(events) <= done + 1
            assert events == whole(number)[1 : len(events) + 1]
            saved[shift, number] = len(events)
    return sum(saved.values())


def kill_merges(name: str, files: list[Path], wanted: str, times: int, seed: int, longest: float) -> int:
    """Kill merges of these files; returns how many callouts the kills left, then finishes.

    ``wanted``: all that is in the store of a merge that nobody killed.
    """
    from tests.diagnose.history.test_merge import text_of

    draw = random.Random(seed)
    lines = set(wanted.splitlines())
    left = 0
    for _ in range(times):
        with killed(lambda writes: _merge(name, files), draw.uniform(0, longest)):
            pass
        with opened(name) as history:
            assert_sound(history)
            there = text_of(history).splitlines()
        assert set(there) <= lines
        left += len(there)
    _merge(name, files)
    with opened(name) as history:
        assert text_of(history) == wanted
    return left


def _merge(name: str, files: list[Path]) -> None:
    with opened(name) as history:
        merge(history, files)


def kill_migrations(name: str, times: int, seed: int, longest: float) -> tuple[int, int]:
    """Kill migrations, one after the other; returns how many were made whole and how many were not made."""
    from tests.diagnose.history.test_merge import text_of

    draw = random.Random(seed)
    with opened(name) as history:
        before = text_of(history)
    made = list(MIGRATIONS)
    done = 0
    for number in range(100, 100 + times):
        later = [*made, Migration(number, "of next year", _many_steps(number))]
        with killed(lambda writes, m=later: _migrate(name, m), draw.uniform(0, longest)):
            pass
        done += _was_made(name, number)
        with History.open(name, lambda: NOW, migrations=later) as history:
            with history.reading() as connection:
                copied = connection.exec_driver_sql(f"SELECT count(*) FROM copy_{number}").scalar()
                marks = connection.exec_driver_sql(f"SELECT count(*) FROM mark_{number}").scalar()
                events = connection.scalar(select(func.count()).select_from(EVENT))
            assert (copied, marks) == (events, 1)
            assert text_of(history) == before
            assert_sound(history)
        made = later
    return done, times - done


def _was_made(name: str, number: int) -> bool:
    """Whether the migration was recorded, looked up as a program would that knows nothing of halfsplit."""
    engine = engine_of(url_of(name))
    with engine.connect() as connection:
        found = connection.exec_driver_sql(f"SELECT count(*) FROM migration WHERE number = {number}").scalar()
    engine.dispose()
    return bool(found)


def _migrate(name: str, migrations: list[Migration]) -> None:
    History.open(name, lambda: NOW, migrations=migrations).close()


def _many_steps(number: int) -> Callable[..., None]:
    def make(connection) -> None:
        connection.exec_driver_sql(f"CREATE TABLE copy_{number} (callout BIGINT, number INTEGER, body TEXT)")
        connection.exec_driver_sql(
            f"INSERT INTO copy_{number} SELECT callout, number, body FROM event ORDER BY number"
        )
        connection.exec_driver_sql(f"CREATE INDEX copy_{number}_body ON copy_{number} (number)")
        connection.exec_driver_sql(f"CREATE TABLE mark_{number} (a INTEGER)")
        connection.exec_driver_sql(f"INSERT INTO mark_{number} VALUES (1)")

    return make
