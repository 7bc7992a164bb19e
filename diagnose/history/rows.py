"""Records from the store's rows, and rows from records."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Any, Final, NamedTuple

from pydantic import ValidationError
from sqlalchemy import Row, Table, bindparam, select
from sqlalchemy.engine import Connection

from diagnose.events import Event
from diagnose.history.record import Kept, Record
from diagnose.history.tables import CALLOUT, EVENT
from knowledge.problems import InputProblems, Problem

_EVENTS: Final = (
    select(EVENT)
    .where(EVENT.c.callout.in_(bindparam("rows", expanding=True)))
    .order_by(EVENT.c.callout, EVENT.c.number)
)


class Stored(NamedTuple):
    """A record and the row of its callout."""

    row: int
    record: Record


def load(connection: Connection, rows: Sequence[int]) -> dict[int, Record]:
    """The records of callouts by their rows. `InputProblems` for events that cannot be read."""
    return {row: record_of(entries) for row, entries in entries_of(connection, rows).items()}


def entries_of(connection: Connection, rows: Sequence[int]) -> dict[int, list[Row[Any]]]:
    """The events of callouts by their rows, as they lie in the table."""
    found = connection.execute(_EVENTS, {"rows": rows})
    return {row: list(entries) for row, entries in groupby(found, lambda entry: int(entry[0]))}


def record_of(entries: Iterable[Row[Any]]) -> Record:
    """The record of one callout's events. `InputProblems` for events that cannot be read."""
    return Record(tuple(map(_kept, entries)))


def say_the_same(entries: Sequence[Row[Any]], record: Record) -> bool:
    """Whether a record has the very events, in the same order, and no name of a person that is not there."""
    return len(entries) == len(record.kept) and all(
        entry.body == kept.body
        and entry.parent == kept.parent
        and kept.event.by in ("", entry.person)
        and (kept.event.opening is None or kept.event.opening.caller in ("", entry.caller))
        for entry, kept in zip(entries, record.kept, strict=True)
    )


def load_key(connection: Connection, key: str) -> Stored | None:
    """The record of that key, if there is one."""
    row = connection.scalar(select(CALLOUT.c.row).where(CALLOUT.c.key == key))
    return None if row is None else Stored(row, load(connection, [row])[row])


def _kept(entry: Any) -> Kept:
    try:
        event = Event.model_validate_json(entry.body)
    except ValidationError as error:
        place = f"callout {entry.callout}, event {entry.number}"
        what, mend = "is not an event of a callout", "Restore a backup of the history."
        raise InputProblems([Problem(place, "", what, mend)]) from error
    named: dict[str, Any] = {"by": entry.person} if entry.person else {}
    if entry.caller and event.opening:
        named["opening"] = event.opening.model_copy(update={"caller": entry.caller})
    return Kept(event.model_copy(update=named) if named else event, entry.body, entry.parent)


def event_rows(row: int, record: Record, start: int = 0) -> Iterator[tuple[Any, ...]]:
    """The rows of a record's events from number ``start`` on, in the order of the table's columns."""
    for number, kept in enumerate(record.kept[start:], start):
        opening = kept.event.opening
        yield row, number, kept.parent, kept.body, kept.event.by, opening.caller if opening else ""


def insert_many(connection: Connection, table: Table, rows: Iterable[tuple[Any, ...]]) -> None:
    """Insert rows, each in the order of the table's columns; none of them may be there yet.

    By the driver's own quickest way: the merge of a big file is little else.
    """
    listed = list(rows)
    names = [column.name for column in table.columns]
    if not listed:
        return
    if connection.dialect.name == "sqlite":
        marks = ", ".join("?" * len(names))
        into = f"INSERT INTO {table.name} ({', '.join(names)}) VALUES ({marks})"
        connection.exec_driver_sql(into, listed)
        return
    cursor: Any = connection.connection.cursor()
    with cursor, cursor.copy(f"COPY {table.name} ({', '.join(names)}) FROM STDIN") as copy:
        for row in listed:
            copy.write_row(row)
