"""The closed callouts of a store, kept as statistics read them.

A callout that ends, or changes after its end, is put down as waiting in the same transaction as the event
(see `ledger_waiting`). It is read, which takes a book and for doubtful endings its arithmetic, when somebody
next asks for a rate.
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from sqlalchemy import delete, func, insert, select
from sqlalchemy.engine import Connection

from diagnose.callout import BadEvent
from diagnose.history import rows
from diagnose.history.closed import ClosedCallout, MadeCheck, Posterior, TriedRepair, closed_record
from diagnose.history.ledger_tables import CLOSED, PLACE, SHARE, WAITING
from diagnose.history.record import Record
from diagnose.history.store import History
from diagnose.history.tables import CALLOUT
from diagnose.history.tally import HALF_LIFE, UnitCause, UnitFacts
from diagnose.trees import Shapes
from knowledge.book import Book

BEGAN: Final = datetime(2020, 1, 1, tzinfo=UTC)
"""Callouts that ended then weigh 1 in the store; today's weight is theirs times a number that all share."""
CHUNK: Final = 500
"""Callouts that are read in one transaction."""
_YEAR: Final = timedelta(days=365.25)


@dataclass(frozen=True)
class Sums:
    """Callouts summed by unit and facts, and by unit and cause: what `diagnose.history.tally.tally` takes."""

    by_facts: Sequence[UnitFacts]
    by_cause: Sequence[UnitCause]


class Ledger:
    """The closed callouts of one store, read with one book."""

    def __init__(self, history: History, book: Book, shapes: Shapes | None = None) -> None:
        """``shapes``: where compiled shapes are kept."""
        self.history, self.book = history, book
        self._posterior = Posterior(book, shapes)

    def waiting(self) -> int:
        """How many callouts have ended and are not read yet."""
        with self.history.reading() as connection:
            return int(connection.scalar(select(func.count()).select_from(WAITING)) or 0)

    def catch_up(self, most: int | None = None, told: Callable[[int], None] = lambda done: None) -> int:
        """Read the callouts that wait, ``most`` of them at most; returns how many were read.

        ``told`` is called with how many were read so far. Callouts that this book cannot follow are left out.
        """
        done = 0
        while most is None or done < most:
            size = CHUNK if most is None else min(CHUNK, most - done)
            with self.history.reading() as connection:
                some = list(connection.scalars(select(WAITING.c.callout).limit(size)))
                records = rows.load(connection, some)
            if not some:
                break
            found = [(row, closed) for row, record in records.items() if (closed := self._read(record))]
            with self.history.writing() as connection:
                same = _unchanged(connection, records)
                for table in (SHARE, CLOSED, WAITING):
                    connection.execute(delete(table).where(table.c.callout.in_(same)))
                read = [(row, closed) for row, closed in found if row in same]
                put(connection, read, datetime.fromisoformat(self.history.clock()))
            done += len(some)
            told(done)
        return done

    def _read(self, record: Record) -> ClosedCallout | None:
        try:
            return closed_record(self.book, record, self._posterior)
        except BadEvent:
            return None

    def count(self) -> int:
        """How many callouts were read."""
        with self.history.reading() as connection:
            return int(connection.scalar(select(func.count()).select_from(CLOSED)) or 0)

    def places(self) -> list[tuple[str, str]]:
        """(Site, unit) of every unit that a callout was read of."""
        with self.history.reading() as connection:
            return [(row.site, row.unit) for row in connection.execute(select(PLACE))]

    def callouts(
        self, site: str | None = None, unit: str | None = None, newest: int | None = None
    ) -> list[ClosedCallout]:
        """The callouts that were read, in the order of their ends; ``newest``: so many of the last ones."""
        query = select(PLACE.c.site, PLACE.c.unit, CLOSED.c.body).join(CLOSED, CLOSED.c.place == PLACE.c.row)
        query = query.order_by(CLOSED.c.ended.desc()).limit(newest)
        if site is not None:
            query = query.where(PLACE.c.site == site)
        if unit is not None:
            query = query.where(PLACE.c.unit == unit)
        with self.history.reading() as connection:
            return [_loaded(*row) for row in connection.execute(query)][::-1]

    def sums(self, now: datetime, site: str | None = None, unit: str | None = None) -> Sums:
        """The callouts that were read, summed in the store, of all units or of those of one name."""
        scale = 2.0 ** (-((now - BEGAN) / _YEAR) / HALF_LIFE)
        names = select(PLACE)
        if site is not None:
            names = names.where(PLACE.c.site == site)
        if unit is not None:
            names = names.where(PLACE.c.unit == unit)
        with self.history.reading() as connection:
            place = {row.row: (row.site, row.unit) for row in connection.execute(names)}
            few = list(place) if site is not None or unit is not None else None
            facts = select(CLOSED.c.place, CLOSED.c.facts, func.sum(CLOSED.c.weight), func.count())
            causes = select(SHARE.c.place, SHARE.c.cause, func.sum(SHARE.c.weight), func.sum(SHARE.c.share))
            if few is not None:
                facts = facts.where(CLOSED.c.place.in_(few))
                causes = causes.where(SHARE.c.place.in_(few))
            return Sums(
                [
                    UnitFacts(place[row], json.loads(known), weight * scale, many)
                    for row, known, weight, many in connection.execute(
                        facts.group_by(CLOSED.c.place, CLOSED.c.facts)
                    )
                ],
                [
                    UnitCause(place[row], cause, weight * scale, share)
                    for row, cause, weight, share in connection.execute(
                        causes.group_by(SHARE.c.place, SHARE.c.cause)
                    )
                ],
            )


def _unchanged(connection: Connection, records: Mapping[int, Record]) -> set[int]:
    """The callouts that got no event since they were read, held until the end of the transaction.

    The others stay waiting: what was read of them is old.
    """
    query = select(CALLOUT.c.row, CALLOUT.c.events).where(CALLOUT.c.row.in_(records))
    found = connection.execute(query.order_by(CALLOUT.c.row).with_for_update())
    return {row for row, events in found if events == len(records[row].kept)}


def put(connection: Connection, found: Sequence[tuple[int, ClosedCallout]], now: datetime) -> None:
    """Write closed callouts, each with the row of its callout; none of them may be there yet.

    One that ended after ``now``, by a clock that was wrong, weighs no more than one of now.
    """
    if not found:
        return
    places = _places(connection, [(closed.site, closed.unit) for _, closed in found])
    listed = [
        (row, places[closed.site, closed.unit], _weight(min(closed.ended, now)), closed)
        for row, closed in found
    ]
    connection.execute(insert(CLOSED), [_closed_row(*entry) for entry in listed])
    connection.execute(insert(SHARE), [share for entry in listed for share in _share_rows(*entry)])


def _places(connection: Connection, names: Sequence[tuple[str, str]]) -> Mapping[tuple[str, str], int]:
    """The rows of these units, made where there is none."""
    units = sorted({unit for _, unit in names})
    known = select(PLACE).where(PLACE.c.unit.in_(units))
    found = {(row.site, row.unit): int(row.row) for row in connection.execute(known)}
    missing = [name for name in dict.fromkeys(names) if name not in found]
    if missing:
        connection.execute(insert(PLACE), [{"site": site, "unit": unit} for site, unit in missing])
        found = {(row.site, row.unit): int(row.row) for row in connection.execute(known)}
    return found


def _weight(ended: datetime) -> float:
    return float(2.0 ** (((ended - BEGAN) / _YEAR) / HALF_LIFE))


def _closed_row(row: int, place: int, weight: float, closed: ClosedCallout) -> dict[str, Any]:
    return {
        "callout": row,
        "place": place,
        "ended": closed.ended.timestamp(),
        "weight": weight,
        "facts": json.dumps(dict(sorted(closed.facts.items())), separators=(",", ":")),
        "cause": closed.leading,
        "body": json.dumps(_body(closed), separators=(",", ":")),
    }


def _share_rows(row: int, place: int, weight: float, closed: ClosedCallout) -> Iterator[dict[str, Any]]:
    for cause, share in closed.shares.items():
        yield {"callout": row, "cause": cause, "place": place, "share": share, "weight": share * weight}


def _body(closed: ClosedCallout) -> dict[str, Any]:
    return {
        "callout": closed.callout,
        "opened": closed.opened.isoformat(),
        "ended": closed.ended.isoformat(),
        "complaint": closed.complaint,
        "ending": closed.ending,
        "shares": dict(closed.shares),
        "minutes": closed.minutes,
        "repairs": [(tried.cause, tried.minutes, tried.held) for tried in closed.repairs],
        "checks": [(made.check, made.answer, made.minutes) for made in closed.checks],
        "lost": closed.lost_minutes,
        "facts": dict(closed.facts),
    }


def _loaded(site: str, unit: str, text: str) -> ClosedCallout:
    body = json.loads(text)
    return ClosedCallout(
        body["callout"],
        unit,
        site,
        datetime.fromisoformat(body["opened"]),
        datetime.fromisoformat(body["ended"]),
        body["complaint"],
        body["ending"],
        body["shares"],
        body["minutes"],
        tuple(TriedRepair(*tried) for tried in body["repairs"]),
        tuple(MadeCheck(*made) for made in body["checks"]),
        body["lost"],
        body["facts"],
    )
