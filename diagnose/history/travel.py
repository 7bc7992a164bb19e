"""Callouts that go from one store to another by file, in any order and any number of times.

A merge adds the events that are not there yet and takes nothing away. A line that is no callout is told of
and left out; all other lines are taken, for each callout stands for itself. Some hundred callouts go in at a
time, each lot whole or not at all: a merge that was stopped halfway is finished by making it again.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Final, TextIO, TypeVar

from sqlalchemy import bindparam, select, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import Connection

from diagnose.history import rows
from diagnose.history.projection import Changed, project
from diagnose.history.record import Record, union
from diagnose.history.store import History
from diagnose.history.tables import CALLOUT, EVENT
from diagnose.history.wire import Incoming, line_of, read_callouts
from knowledge.problems import Problem

LOT: Final = 400
"""Callouts that are read from the store at a time."""
MOST_EVENTS: Final = 10_000
"""Events in one transaction, but for the last callout's."""
_Item = TypeVar("_Item")
Progress = Callable[[int, int], None]
"""Told how much is done, of how much."""


@dataclass
class Merged:
    """What a merge came to."""

    new: int = 0
    """Callouts that the store did not hold."""
    grown: int = 0
    """Callouts of which it now holds more."""
    known: int = 0
    """Callouts of which there was nothing new."""
    problems: tuple[Problem, ...] = ()
    """The lines that were left out."""


def export_callouts(
    history: History,
    out: TextIO,
    with_names: bool = False,
    keys: Sequence[str] | None = None,
    progress: Progress = lambda done, whole: None,
) -> int:
    """Write callouts as lines, all or those of ``keys``, in the order of keys; returns how many.

    One moment of the store is written, whatever is added meanwhile.
    """
    done = 0
    with history.reading() as connection:
        whole = len(keys) if keys is not None else history.count(connection)
        for row_numbers in lots(_wanted_rows(connection, keys)):
            found = rows.load(connection, row_numbers)
            for row in row_numbers:
                out.write(line_of(found[row], with_names, history.demo) + "\n")
            done += len(row_numbers)
            progress(done, whole)
    return done


def _wanted_rows(connection: Connection, keys: Sequence[str] | None) -> Iterator[int]:
    if keys is not None:
        for lot in lots(sorted(keys)):
            query = select(CALLOUT.c.row).where(CALLOUT.c.key.in_(lot)).order_by(CALLOUT.c.key)
            yield from connection.scalars(query)
        return
    last = ""
    while True:
        query = select(CALLOUT.c.row, CALLOUT.c.key).where(CALLOUT.c.key > last).order_by(CALLOUT.c.key)
        page = connection.execute(query.limit(LOT)).all()
        if not page:
            return
        last = page[-1].key
        yield from (row for row, _ in page)


def merge(history: History, paths: Iterable[Path], progress: Progress = lambda done, whole: None) -> Merged:
    """Take the callouts of files into the store. Raises `NotSaved`; what went in before that stays."""
    paths = list(paths)
    problems: list[Problem] = []
    merged = Merged()
    whole = sum(path.stat().st_size for path in paths if path.is_file())
    before = 0
    for path in paths:
        try:
            with path.open("rb") as file:
                for lot in _transactions(_sound(history, path, read_callouts(path, file), problems)):
                    merge_records(history, [incoming.record for incoming in lot], merged)
                    progress(before + file.tell(), whole)
                before += file.tell()
        except OSError as error:
            if error.filename is None:
                raise
            problems.append(Problem(str(path), "", f"cannot be read ({error.strerror})", ""))
    merged.problems = tuple(problems)
    return merged


def _sound(
    history: History, path: Path, found: Iterable[Incoming | Problem], problems: list[Problem]
) -> Iterator[Incoming]:
    for item in found:
        if isinstance(item, Problem):
            problems.append(item)
        elif item.demo != history.demo:
            what = "is of a demo" if item.demo else "is a real callout, and the store is a demo's"
            mend = "A demo is kept apart from real callouts."
            problems.append(Problem(f"{path}:{item.line}", "", what, mend))
        else:
            yield item


def merge_records(history: History, records: Iterable[Record], merged: Merged) -> None:
    """Take records into the store, all in one transaction, and count them in ``merged``."""
    incoming: dict[str, Record] = {}
    for record in records:
        key = record.key
        incoming[key] = union(incoming[key], record) if key in incoming else record
    if not incoming:
        return
    with history.writing() as connection:
        places = _places(connection, sorted(incoming))
        held = rows.entries_of(connection, [row for row, events in places.values() if events])
        changed = []
        for key, (row, events) in places.items():
            entries = held.pop(row, None)
            if entries and rows.say_the_same(entries, incoming[key]):
                continue
            before = rows.record_of(entries) if entries else None
            now = union(before, incoming[key]) if before else incoming[key]
            if before:
                _learn_names(connection, row, before, now)
            if len(now.kept) > events:
                changed.append(Changed(row, now, before))
        _write(connection, changed)
    new = sum(change.before is None for change in changed)
    merged.new += new
    merged.grown += len(changed) - new
    merged.known += len(places) - len(changed)


def _places(connection: Connection, keys: Sequence[str]) -> dict[str, tuple[int, int]]:
    """The row and the number of events of each callout, held against other writers; new ones are put in.

    All writers go by the order of the keys, so that no two wait for each other.
    """
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    new = dialect.insert(CALLOUT).on_conflict_do_nothing(index_elements=[CALLOUT.c.key])
    connection.execute(new, [{"key": key, "events": 0} for key in keys])
    query = select(CALLOUT.c.key, CALLOUT.c.row, CALLOUT.c.events).where(CALLOUT.c.key.in_(keys))
    found = connection.execute(query.order_by(CALLOUT.c.key).with_for_update())
    return {key: (row, events) for key, row, events in found}


def _write(connection: Connection, changed: Sequence[Changed]) -> None:
    if not changed:
        return
    counted = update(CALLOUT).where(CALLOUT.c.row == bindparam("which")).values(events=bindparam("many"))
    connection.execute(
        counted, [{"which": change.row, "many": len(change.record.kept)} for change in changed]
    )
    rows.insert_many(
        connection,
        EVENT,
        (
            entry
            for row, record, before in changed
            for entry in rows.event_rows(row, record, len(before.kept) if before else 0)
        ),
    )
    project(connection, changed)


def _learn_names(connection: Connection, row: int, before: Record, now: Record) -> None:
    """Keep the names of people that only the file had."""
    for number, (known, named) in enumerate(zip(before.kept, now.kept, strict=False)):
        if known is not named:
            opening = named.event.opening
            where = (EVENT.c.callout == row) & (EVENT.c.number == number)
            names = {"person": named.event.by, "caller": opening.caller if opening else ""}
            connection.execute(update(EVENT).where(where).values(names))
            if opening and len(now.kept) == len(before.kept):
                project(connection, [Changed(row, now, before)])


def _transactions(found: Iterable[Incoming]) -> Iterator[list[Incoming]]:
    """So many callouts at a time as have `MOST_EVENTS` events together: that bounds the memory, too."""
    lot: list[Incoming] = []
    size = 0
    for incoming in found:
        lot.append(incoming)
        size += len(incoming.record.kept)
        if size >= MOST_EVENTS:
            yield lot
            lot, size = [], 0
    if lot:
        yield lot


def lots(items: Iterable[_Item], size: int = LOT) -> Iterator[list[_Item]]:
    """The items, so many at a time."""
    items = iter(items)
    while lot := list(islice(items, size)):
        yield lot
