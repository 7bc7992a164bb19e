"""The steps that bring a store to its present form, each made once, in one transaction with its record."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Engine, insert, inspect, select, text
from sqlalchemy.engine import Connection

from diagnose.history.engine import WRITES
from diagnose.history.ledger_tables import LEDGER
from diagnose.history.ledger_waiting import all_waiting
from diagnose.history.tables import ABOUT, CALLOUT, EVENT, METADATA, MIGRATION, OVERVIEW
from knowledge.problems import InputProblems, Problem

_ONE_AT_A_TIME: Final = 0x68616C66
"""The number of the lock that migrations of PostgreSQL are made under; any number that stays will do."""


@dataclass(frozen=True)
class Migration:
    """One step. What it does must never change once a store may have made it."""

    number: int
    name: str
    make: Callable[[Connection], None]


def _first_tables(connection: Connection) -> None:
    METADATA.create_all(connection, [ABOUT, CALLOUT, EVENT, OVERVIEW])


def _ledger(connection: Connection) -> None:
    METADATA.create_all(connection, LEDGER)
    all_waiting(connection)


MIGRATIONS: Final = (
    Migration(1, "events and their overview", _first_tables),
    Migration(2, "closed callouts as statistics read them", _ledger),
)


def migrate(
    engine: Engine,
    at: str,
    place: str,
    backup: Callable[[int], object],
    migrations: Sequence[Migration] = MIGRATIONS,
) -> None:
    """Make the migrations that the store has not made. ``backup`` is called with the first one's number
    before it, unless the store is new.

    Raises `InputProblems` for a store that a newer program has migrated.
    """
    done = _done(engine)
    unknown = done - {migration.number for migration in migrations}
    if unknown:
        what = f"was made by a newer halfsplit (migration {max(unknown)})"
        raise InputProblems([Problem(place, "", what, "Use that one.")])
    missing = [migration for migration in migrations if migration.number not in done]
    if missing and done:
        backup(missing[0].number)
    for migration in missing:
        _make(engine.execution_options(**{WRITES: True}), migration, at)


def _done(engine: Engine) -> set[int]:
    with engine.connect() as connection:
        if not inspect(connection).has_table(MIGRATION.name):
            return set()
        return set(connection.scalars(select(MIGRATION.c.number)))


def _make(engine: Engine, migration: Migration, at: str) -> None:
    with engine.begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _ONE_AT_A_TIME})
        MIGRATION.create(connection, checkfirst=True)
        # Another process may have made it while this one waited.
        if connection.scalar(select(MIGRATION.c.name).where(MIGRATION.c.number == migration.number)):
            return
        migration.make(connection)
        connection.execute(insert(MIGRATION).values(number=migration.number, name=migration.name, at=at))
