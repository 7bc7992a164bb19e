"""Which callouts the ledger has still to read: written by the store beside the events."""

from collections.abc import Sequence
from typing import Final

from sqlalchemy import exists, insert, select
from sqlalchemy.engine import Connection

from diagnose.history.ledger_tables import CLOSED, WAITING
from diagnose.history.tables import OVERVIEW

CHUNK: Final = 500
"""Callouts that one statement names."""


def changed(connection: Connection, callouts: Sequence[int]) -> None:
    """Put down which of these callouts, whose events have changed, are to be read again."""
    for start in range(0, len(callouts), CHUNK):
        some = callouts[start : start + CHUNK]
        read = exists().where(CLOSED.c.callout == OVERVIEW.c.callout)
        waits = exists().where(WAITING.c.callout == OVERVIEW.c.callout)
        connection.execute(
            insert(WAITING).from_select(
                ["callout"],
                select(OVERVIEW.c.callout).where(
                    OVERVIEW.c.callout.in_(some), (OVERVIEW.c.ended != "") | read, ~waits
                ),
            )
        )


def all_waiting(connection: Connection) -> None:
    """Put every callout that has ended down as waiting, in a store that has read none."""
    connection.execute(
        insert(WAITING).from_select(["callout"], select(OVERVIEW.c.callout).where(OVERVIEW.c.ended != ""))
    )
