"""The tables that follow from the events: written beside every event, made anew at will."""

from collections.abc import Sequence
from typing import NamedTuple

from sqlalchemy import delete
from sqlalchemy.engine import Connection

from diagnose.history.ledger_waiting import changed as read_again
from diagnose.history.overview import overview_of
from diagnose.history.record import Record
from diagnose.history.rows import insert_many
from diagnose.history.tables import OVERVIEW


class Changed(NamedTuple):
    """A callout that has got events, and what it was before."""

    row: int
    record: Record
    before: Record | None
    """None when it is new."""


def project(connection: Connection, changed: Sequence[Changed]) -> None:
    """Write what follows from these records, all of it in the transaction that wrote their events."""
    if not changed:
        return
    clear(connection, [row for row, _, before in changed if before])
    insert_many(
        connection, OVERVIEW, ((row, *vars(overview_of(record)).values()) for row, record, _ in changed)
    )
    read_again(connection, [row for row, _, _ in changed])


def clear(connection: Connection, rows: Sequence[int]) -> None:
    """Take away what follows from the records of these callouts."""
    if rows:
        connection.execute(delete(OVERVIEW).where(OVERVIEW.c.callout.in_(rows)))
