"""Records from the store's rows, and rows from records."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any, NamedTuple

from pydantic import ValidationError
from sqlalchemy import insert, select
from sqlalchemy.engine import Connection

from diagnose.events import Event
from diagnose.history.record import Kept, Record
from diagnose.history.tables import CALLOUT, EVENT
from knowledge.problems import InputProblems, Problem


class Stored(NamedTuple):
    """A record and the row of its callout."""

    row: int
    record: Record


def load(connection: Connection, rows: Sequence[int]) -> dict[int, Record]:
    """The records of callouts by their rows. `InputProblems` for events that cannot be read."""
    found = connection.execute(
        select(EVENT).where(EVENT.c.callout.in_(rows)).order_by(EVENT.c.callout, EVENT.c.number)
    )
    return {
        row: Record(tuple(map(_kept, entries))) for row, entries in groupby(found, lambda e: int(e.callout))
    }


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


def event_rows(row: int, record: Record, start: int = 0) -> Iterable[Mapping[str, Any]]:
    """The rows of a record's events from number ``start`` on."""
    for number, kept in enumerate(record.kept[start:], start):
        opening = kept.event.opening
        yield {
            "callout": row,
            "number": number,
            "parent": kept.parent,
            "body": kept.body,
            "person": kept.event.by,
            "caller": opening.caller if opening else "",
        }


def add_events(connection: Connection, rows: Iterable[Mapping[str, Any]]) -> None:
    """Insert events; none of them may be there yet."""
    listed = list(rows)
    if listed:
        connection.execute(insert(EVENT), listed)
