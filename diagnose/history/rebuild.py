"""Everything that follows from the events, made anew from them."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from sqlalchemy import select
from sqlalchemy.engine import Connection

from diagnose.history import rows
from diagnose.history.projection import Changed, project
from diagnose.history.record import Record
from diagnose.history.tables import CALLOUT

if TYPE_CHECKING:
    from diagnose.history.store import History
    from diagnose.history.travel import Progress

LOT: Final = 500
"""Callouts in one transaction."""


def rebuild(history: "History", progress: "Progress" = lambda done, whole: None) -> int:
    """Make the overviews anew, and have the ledger read every closed callout again; returns how many.

    Safe while the store is in use: each lot is read and written in one transaction. Raises `NotSaved`.
    """
    done, last = 0, 0
    with history.reading() as connection:
        whole = history.count(connection)
    while True:
        with history.writing() as connection:
            records = _page(connection, last, held=True)
            project(connection, [Changed(row, record, record) for row, record in records.items()])
        if not records:
            return done
        last = max(records)
        done += len(records)
        progress(done, whole)


def all_records(connection: Connection) -> Iterator[tuple[int, Record]]:
    """Every callout of the store with its row, a lot at a time."""
    last = 0
    while page := _page(connection, last):
        yield from page.items()
        last = max(page)


def _page(connection: Connection, after: int, held: bool = False) -> dict[int, Record]:
    """The records after a row; ``held``: nobody may add to them before the transaction ends."""
    query = select(CALLOUT.c.row).where(CALLOUT.c.row > after).order_by(CALLOUT.c.row).limit(LOT)
    if held:
        query = query.with_for_update()
    return rows.load(connection, list(connection.scalars(query)))
