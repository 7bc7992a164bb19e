"""Which callouts the ledger has still to read: written by the store beside the events."""

from collections.abc import Sequence
from typing import Final

from sqlalchemy import bindparam, exists, insert, select
from sqlalchemy.engine import Connection

from diagnose.history.ledger_tables import CLOSED, WAITING
from diagnose.history.tables import OVERVIEW

CHUNK: Final = 500
"""Callouts that one statement names."""


_READ: Final = exists().where(CLOSED.c.callout == OVERVIEW.c.callout)
_WAITS: Final = exists().where(WAITING.c.callout == OVERVIEW.c.callout)
_ADD: Final = insert(WAITING).from_select(
    ["callout"],
    select(OVERVIEW.c.callout).where(
        OVERVIEW.c.callout.in_(bindparam("some", expanding=True)), (OVERVIEW.c.ended != "") | _READ, ~_WAITS
    ),
)


def changed(connection: Connection, callouts: Sequence[int]) -> None:
    """Put down which of these callouts, whose events have changed, are to be read again."""
    for start in range(0, len(callouts), CHUNK):
        connection.execute(_ADD, {"some": callouts[start : start + CHUNK]})
