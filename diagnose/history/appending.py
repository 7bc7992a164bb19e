"""One event put behind those that its writer has seen: the write that somebody beside the unit waits for.

The callouts written to last are kept in memory, so that an answer need not read its callout first. What is
kept there is only believed where the store still has as many events, and the very one that is followed.
"""

import threading
from collections import OrderedDict
from typing import Final

from sqlalchemy import bindparam, exists, insert, update
from sqlalchemy.engine import Connection

from diagnose.events import REMARKS, Event
from diagnose.history.ledger_waiting import changed
from diagnose.history.overview import ENDS, overview_of
from diagnose.history.record import Behind, Kept, Record, Seen
from diagnose.history.rows import Stored, load_key
from diagnose.history.tables import CALLOUT, EVENT, OVERVIEW
from knowledge.problems import InputProblems, Problem

KEPT: Final = 64
"""Callouts in memory: more than a desk has open at a time."""
_FIXED: Final = frozenset({"callout", "key", "name", "caller", "opened"})
"""Columns of an overview that no later event changes."""

_SAME_COUNT: Final = (CALLOUT.c.key == bindparam("which")) & (CALLOUT.c.events == bindparam("expected"))
_COUNT: Final = (
    update(CALLOUT).where(_SAME_COUNT).values(events=CALLOUT.c.events + 1).returning(CALLOUT.c.row)
)
_SAME_PARENT: Final = exists().where(
    EVENT.c.callout == CALLOUT.c.row,
    EVENT.c.number == bindparam("follows"),
    EVENT.c.body == bindparam("said"),
)
_COUNT_KNOWN: Final = _COUNT.where(_SAME_PARENT)
_EVENT: Final = insert(EVENT)
_OVERVIEW: Final = (
    update(OVERVIEW)
    .where(OVERVIEW.c.callout == bindparam("which"))
    .values({column.name: bindparam(column.name) for column in OVERVIEW.c if column.name not in _FIXED})
)


class Recent:
    """The callouts that were written to last. Safe to use from several threads."""

    def __init__(self) -> None:
        self._found: OrderedDict[str, Stored] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: str, events: int) -> Stored | None:
        """The callout of that key, if it is there with so many events."""
        with self._lock:
            stored = self._found.get(key)
        return stored if stored and len(stored.record.kept) == events else None

    def keep(self, stored: Stored) -> None:
        """Remember a callout whose events are all on the disk."""
        with self._lock:
            self._found[stored.record.key] = stored
            self._found.move_to_end(stored.record.key)
            if len(self._found) > KEPT:
                self._found.popitem(last=False)


def put_behind(connection: Connection, key: str, event: Event, expected: int, known: Stored | None) -> Stored:
    """Write an event behind ``expected`` others; returns the callout as it is then.

    ``known``: the callout as it is remembered with so many events. Raises `Behind` when there are others
    by now, but for this very one, which counts as written; `InputProblems` when there is no such callout.
    """
    before = known if known and _counted_known(connection, key, known) else None
    if before is None:
        counted = connection.scalar(_COUNT, {"which": key, "expected": expected}) is not None
        before = load_key(connection, key)
        if before is None:
            raise InputProblems([Problem(key, "", "there is no such callout", "")])
        if not counted:
            return _written_already(before, event, expected)
    row, record = before
    added = Kept.of(event, _parent(record, event))
    now = Record((*record.kept, added))
    opening = event.opening
    connection.execute(
        _EVENT,
        {
            "callout": row,
            "number": expected,
            "parent": added.parent,
            "body": added.body,
            "person": event.by,
            "caller": opening.caller if opening else "",
        },
    )
    shown = vars(overview_of(now))
    columns = {name: value for name, value in shown.items() if name not in _FIXED}
    connection.execute(_OVERVIEW, {"which": row, **columns})
    if any(kept.event.kind in ENDS for kept in now.kept):
        changed(connection, [row])
    return Stored(row, now)


def _counted_known(connection: Connection, key: str, known: Stored) -> bool:
    """Count one event more, if the store's callout is still the one that is known."""
    row, record = known
    follows = record.tip
    wanted = {
        "which": key,
        "expected": len(record.kept),
        "follows": follows,
        "said": record.kept[follows].body,
    }
    return bool(connection.scalar(_COUNT_KNOWN, wanted) == row)


def _written_already(before: Stored, event: Event, expected: int) -> Stored:
    record = before.record
    if len(record.kept) == expected + 1 and record.kept[-1].body == Kept.of(event, 0).body:
        return before
    raise Behind(Seen(record.events, len(record.kept)))


def _parent(record: Record, event: Event) -> int:
    return 0 if event.kind in REMARKS else record.tip
