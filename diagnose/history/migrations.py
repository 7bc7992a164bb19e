"""The steps that bring a store to its present form, each made once, in one transaction with its record."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from sqlalchemy import Engine, insert, inspect, select, text
from sqlalchemy.engine import Connection

from diagnose.history.engine import WRITES
from diagnose.history.migration_texts import EVENTS_AND_OVERVIEW, LEDGER, MIGRATION_TABLE, statements
from diagnose.history.tables import MIGRATION
from knowledge.problems import InputProblems, Problem

_ONE_AT_A_TIME: Final = 0x68616C66
"""The number of the lock that migrations of PostgreSQL are made under; any number that stays will do."""


@dataclass(frozen=True)
class Migration:
    """One step. What it does must never change once a store may have made it."""

    number: int
    name: str
    make: Callable[[Connection], None]


def _made_by(sql: str) -> Callable[[Connection], None]:
    def make(connection: Connection) -> None:
        for statement in statements(sql, connection.dialect.name):
            connection.exec_driver_sql(statement)

    return make


MIGRATIONS: Final = (
    Migration(1, "events and their overview", _made_by(EVENTS_AND_OVERVIEW)),
    Migration(2, "closed callouts as statistics read them", _made_by(LEDGER)),
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
    for migration in missing:
        kept = backup if done and migration is missing[0] else None
        _make(engine.execution_options(**{WRITES: True}), migration, at, kept)


def _done(engine: Engine) -> set[int]:
    with engine.connect() as connection:
        if not inspect(connection).has_table(MIGRATION.name):
            return set()
        return set(connection.scalars(select(MIGRATION.c.number)))


def _make(engine: Engine, migration: Migration, at: str, backup: Callable[[int], object] | None) -> None:
    with engine.begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _ONE_AT_A_TIME})
        connection.exec_driver_sql(MIGRATION_TABLE)
        # Another process may have made it while this one waited.
        if connection.scalar(select(MIGRATION.c.name).where(MIGRATION.c.number == migration.number)):
            return
        if backup:
            # Only now is it sure that the copy is of the store as it was before.
            backup(migration.number)
        migration.make(connection)
        connection.execute(insert(MIGRATION).values(number=migration.number, name=migration.name, at=at))
