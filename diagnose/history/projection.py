"""The tables that follow from the events: written beside every event, made anew at will."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from sqlalchemy import delete, insert
from sqlalchemy.engine import Connection

from diagnose.history.ledger_waiting import changed
from diagnose.history.overview import overview_of
from diagnose.history.record import Record
from diagnose.history.tables import OVERVIEW

PROJECTIONS = (OVERVIEW,)


def project(connection: Connection, records: Sequence[tuple[int, Record]], new: bool = False) -> None:
    """Write what follows from these records, each with the row of its callout. ``new``: none is there yet."""
    if not records:
        return
    if not new:
        clear(connection, [row for row, _ in records])
    connection.execute(insert(OVERVIEW), [_overview_row(row, record) for row, record in records])
    changed(connection, [row for row, _ in records])


def clear(connection: Connection, rows: Sequence[int]) -> None:
    """Take away what follows from the records of these callouts."""
    for table in PROJECTIONS:
        connection.execute(delete(table).where(table.c.callout.in_(rows)))


def _overview_row(row: int, record: Record) -> dict[str, Any]:
    return {"callout": row, **asdict(overview_of(record))}
