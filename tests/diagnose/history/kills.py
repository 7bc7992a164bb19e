"""Processes that work on a store and are killed at any moment, and what must be true afterwards."""

import os
import random
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from sqlalchemy import delete, func, inspect, select
from sqlalchemy.engine import Connection

from diagnose.history.backup import restore
from diagnose.history.engine import engine_of, is_file, url_of
from diagnose.history.migrations import MIGRATIONS, Migration
from diagnose.history.overview import overview_of
from diagnose.history.rebuild import all_records
from diagnose.history.saver import Saver
from diagnose.history.store import History, Wanted
from diagnose.history.tables import EVENT, MIGRATION
from diagnose.history.travel import merge
from diagnose.opening import open_callout
from diagnose.sheet import Unit
from diagnose.walk import Walk
from tests.tui.driver import call_for_help, cure, new_walk, small_book, told, two_repairs

NOW = "2026-01-31T12:00:01Z"
SCRIPTS: tuple[Callable[[], tuple[str, ...]], ...] = (cure, call_for_help, two_repairs)
"""The callouts of a shift, which are answered in turn."""
SHAPES: dict[str, Any] = {}
"""Compiled shapes, so that a process that is begun anew need not work them out."""


def opened(name: str) -> History:
    """The store."""
    return History.open(name, lambda: NOW)


@dataclass(frozen=True)
class Ended:
    """How a process ended."""

    lines: list[str]
    """What it wrote."""
    hit: bool
    """The kill came before it was done."""


@contextmanager
def killed(work: Callable[[int], None], after: float, at_work: bool = False) -> Iterator[Ended]:
    """Run in a process of its own, which is killed after so many seconds.

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
    yield Ended(lines, os.WIFSIGNALED(status))


def counted(times: int) -> Iterator[int]:
    """So many numbers, and a dot on stderr for each ten that are done."""
    for number in range(times):
        yield number
        if number % 10 == 9:
            print(".", end="\n" if number == times - 1 else "", file=sys.stderr, flush=True)


def seconds_of(work: Callable[[int], None]) -> float:
    """How long it takes when nobody kills it."""
    begun = time.perf_counter()
    with killed(lambda writes: _then_tell(work, writes), 0, at_work=True):
        return time.perf_counter() - begun


def _then_tell(work: Callable[[int], None], writes: int) -> None:
    work(writes)
    os.write(writes, b"done\n")


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
    for turn in counted(times):
        # Half of them from the start, so that opening the store is hit too.
        work = partial(work_a_shift, name)
        with killed(work, draw.uniform(0, longest), at_work=turn % 2 == 0) as ended:
            for line in ended.lines:
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


@dataclass(frozen=True)
class Kills:
    """What so many kills found."""

    hit: int
    """Of them, those that came before the work was done."""
    before: int
    """Those after which nothing of the work was there."""
    midway: int
    """Those after which some of it was there."""
    after: int
    """Those after which all of it was there."""


def kill_merges(place: Callable[[], str], files: list[Path], wanted: str, times: int, seed: int) -> Kills:
    """Kill a merge of these files into a new store so many times, each at any moment of it, then finish it.

    ``wanted``: all that is in the store of a merge that nobody killed. After the kill there are whole
    callouts of it, and after the merge was made again all of it.
    """
    from tests.diagnose.history.test_merge import text_of

    draw = random.Random(seed)
    lines = wanted.splitlines()
    hit, left = 0, list[int]()
    whole = seconds_of(partial(_merge, place(), files))
    for _ in counted(times):
        name = place()
        with killed(partial(_merge, name, files), draw.uniform(0, whole)) as ended:
            hit += ended.hit
        with opened(name) as history:
            assert_sound(history)
            there = text_of(history).splitlines()
            assert set(there) <= set(lines)
            left.append(len(there))
            merge(history, files)
            assert text_of(history) == wanted
            assert_sound(history)
    none, every = left.count(0), left.count(len(lines))
    return Kills(hit, none, times - none - every, every)


def _merge(name: str, files: list[Path], writes: int) -> None:
    with opened(name) as history:
        merge(history, files)


NEXT_YEAR: Final = 100
"""The number of a migration to come."""


def kill_migrations(name: str, backups: Path, times: int, seed: int) -> Kills:
    """Kill a migration so many times, each at any moment of it and of the copy before it.

    After the kill all of it is there, or nothing; the next start makes it whole, and the copy is the store.
    """
    from tests.diagnose.history.test_merge import text_of

    draw = random.Random(seed)
    with opened(name) as history:
        before = text_of(history)
    migrations = [*MIGRATIONS, Migration(NEXT_YEAR, "of next year", _many_steps)]
    work = partial(_migrate, name, backups, migrations)
    whole = seconds_of(work)
    _take_back(name, backups)
    hit = made = 0
    for _ in counted(times):
        with killed(work, draw.uniform(0, whole)) as ended:
            hit += ended.hit
        made += _was_made(name)
        with History.open(name, lambda: NOW, backups=backups, migrations=migrations) as history:
            with history.reading() as connection:
                copied = connection.exec_driver_sql("SELECT count(*) FROM copied").scalar()
                marks = connection.exec_driver_sql("SELECT count(*) FROM mark").scalar()
                events = connection.scalar(select(func.count()).select_from(EVENT))
            assert (copied, marks) == (events, 1)
            assert text_of(history) == before
            assert_sound(history)
        _take_back(name, backups)
    return Kills(hit, times - made, 0, made)


def _was_made(name: str) -> bool:
    """Whether the migration was made, all of it or nothing, looked up without halfsplit's help."""
    engine = engine_of(url_of(name))
    with engine.connect() as connection:
        found = connection.scalar(select(MIGRATION.c.number).where(MIGRATION.c.number == NEXT_YEAR))
    tables = {table for table in ("copied", "mark") if inspect(engine).has_table(table)}
    engine.dispose()
    assert tables == (set() if found is None else {"copied", "mark"})
    return found is not None


def _take_back(name: str, backups: Path) -> None:
    """The store as it was before the migration; its copy must be whole, and goes."""
    from tests.diagnose.history.test_merge import text_of

    engine = engine_of(url_of(name))
    with engine.begin() as connection:
        connection.exec_driver_sql("DROP TABLE copied")
        connection.exec_driver_sql("DROP TABLE mark")
        connection.execute(delete(MIGRATION).where(MIGRATION.c.number == NEXT_YEAR))
    engine.dispose()
    (copy,) = (path for path in backups.glob(f"*before-{NEXT_YEAR}*") if not path.name.endswith(".part"))
    with opened(name) as history, TemporaryDirectory() as folder:
        other = str(Path(folder) / "copy.sqlite")
        restore(other, opened, copy)
        with opened(other) as brought_back:
            assert text_of(brought_back) == text_of(history)
    for path in backups.glob(f"*before-{NEXT_YEAR}*"):
        path.unlink()


def _migrate(name: str, backups: Path, migrations: list[Migration], writes: int) -> None:
    History.open(name, lambda: NOW, backups=backups, migrations=migrations).close()


def _many_steps(connection: Connection) -> None:
    connection.exec_driver_sql("CREATE TABLE copied (callout BIGINT, number INTEGER, body TEXT)")
    connection.exec_driver_sql("INSERT INTO copied SELECT callout, number, body FROM event ORDER BY number")
    connection.exec_driver_sql("CREATE INDEX copied_number ON copied (number)")
    connection.exec_driver_sql("CREATE TABLE mark (a INTEGER)")
    connection.exec_driver_sql("INSERT INTO mark VALUES (1)")
