"""Stores of every earlier form open, keep all that was in them, and have the tables of today."""

import os
import re
import sqlite3
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import Engine, create_mock_engine, func, inspect, select

from diagnose.history import ledger_tables
from diagnose.history.backup import restore
from diagnose.history.engine import engine_of, is_file, url_of
from diagnose.history.migrations import MIGRATIONS, Migration, migrate
from diagnose.history.store import History, Wanted
from diagnose.history.tables import EVENT, METADATA
from tests.diagnose.history.conftest import NOW
from tests.diagnose.history.kills import assert_sound
from tests.diagnose.history.records import event, opening, saved
from tests.diagnose.history.test_backup import filled, opened
from tests.diagnose.history.test_merge import text_of

VERSION_1 = Path(__file__).parents[2] / "data" / "store_version_1.sql"
"""A store as migration 1 left it: written by that version, never made anew."""


def version_1(name: str) -> None:
    """Make the store of version 1 under that name."""
    url, script = url_of(name), VERSION_1.read_text(encoding="utf-8")
    if is_file(url):
        with closing(sqlite3.connect(name)) as connection:
            connection.executescript(script)
        return
    engine = engine_of(url)
    migrate(engine, NOW, name, lambda number: None, MIGRATIONS[:1])
    with engine.begin() as connection:
        connection.exec_driver_sql("DELETE FROM migration")
        for line in script.splitlines():
            if line.startswith("INSERT"):
                connection.exec_driver_sql(line)
        connection.exec_driver_sql("SELECT setval('callout_row_seq', 4)")
    engine.dispose()


def rows_of(name: str, table: str) -> list[tuple]:
    """A table of the store, read without halfsplit's help."""
    engine = engine_of(url_of(name))
    with engine.connect() as connection:
        found = [tuple(row) for row in connection.exec_driver_sql(f"SELECT * FROM {table}")]
    engine.dispose()
    return sorted(found)


def form_of(engine: Engine) -> dict[str, object]:
    """All tables of a store: columns, keys, indexes."""
    look = inspect(engine)
    found: dict[str, object] = {}
    for table in sorted(look.get_table_names()):
        columns = [
            (c["name"], str(c["type"]), c["nullable"], bool(c.get("autoincrement") is True))
            for c in look.get_columns(table)
        ]
        indexes = sorted((i["name"], i["column_names"], bool(i["unique"])) for i in look.get_indexes(table))
        keys = sorted((k["constrained_columns"], k["referred_table"]) for k in look.get_foreign_keys(table))
        unique = sorted(u["column_names"] for u in look.get_unique_constraints(table))
        primary = look.get_pk_constraint(table)["constrained_columns"]
        found[table] = (columns, primary, keys, unique, indexes)
    return found


def test_the_frozen_migrations_give_the_tables_of_today(place):
    """A table that is changed needs a migration more, which this is the reminder of."""
    made, wanted = place(), place()
    History.open(made, lambda: NOW).close()
    engines = [engine_of(url_of(name)) for name in (made, wanted)]
    METADATA.create_all(engines[1])
    forms = [form_of(engine) for engine in engines]
    for engine in engines:
        engine.dispose()
    assert "ledger_share" in forms[0]
    assert forms[0] == forms[1]


def test_the_frozen_tables_of_a_file_are_kept_by_their_keys_like_those_of_today(tmp_path):
    """Which no inspection tells: the statements are compared."""
    name = str(tmp_path / "s.sqlite")
    History.open(name, lambda: NOW).close()
    with closing(sqlite3.connect(name)) as connection:
        made = dict(connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table'"))
    wanted: dict[str, str] = {}

    def keep(statement, *_, **__):
        sql = str(statement.compile(dialect=mock.dialect))
        wanted[sql.split()[2]] = sql

    mock = create_mock_engine("sqlite://", keep)
    METADATA.create_all(mock, checkfirst=False)
    by_key = re.compile(r"WITHOUT ROWID")
    tables = {table for table in METADATA.tables if "CREATE TABLE" in wanted.get(table, "")}
    assert tables == set(METADATA.tables)
    found = {table for table in tables if by_key.search(made[table])}
    assert found == {table for table in tables if by_key.search(wanted[table])} == {"event", "ledger_share"}


def test_a_store_of_version_1_is_brought_to_today_and_nothing_of_it_changes(place, tmp_path):
    """Its events and overviews stay to the letter, what has ended waits for the statistics, it goes on."""
    name = place()
    version_1(name)
    events, shown = rows_of(name, "event"), rows_of(name, "overview")
    assert (len(events), len(shown)) == (16, 4)
    with History.open(name, lambda: NOW, backups=tmp_path / "kept") as history:
        assert_sound(history)
        assert rows_of(name, "event") == events
        assert rows_of(name, "overview") == shown
        assert [row[0] for row in rows_of(name, "ledger_waiting")] == [1, 3]
        assert [row[0] for row in rows_of(name, "migration")] == [m.number for m in MIGRATIONS]
        cured = history.find("c1")
        assert (cured.ended, cured.caller, history.events(cured.key)[2].by) == ("cured", "Ann", "Lee")
        assert len(history.record(history.find("c2").key).branches()) == 1
        assert history.find("c4").struck
        key = saved(history, opening("c5"), event(1))
        history.append(key, event(2, "help"), 2)
        history.append(cured.key, event(9, "reopened"), 5)
        assert_sound(history)
        with history.reading() as connection:
            assert connection.scalar(select(func.count()).select_from(EVENT)) == 20
            waiting = set(connection.scalars(select(ledger_tables.WAITING.c.callout)))
        assert waiting == {1, 3, 5}


def test_the_copy_before_the_migration_is_the_store_of_version_1(place, tmp_path):
    """It is kept beside it, and brought back it gives the same store."""
    name = place()
    version_1(name)
    with History.open(name, lambda: NOW, backups=tmp_path / "kept") as history:
        whole, shown = text_of(history), history.callouts(Wanted(struck=True))
    (copy,) = tmp_path.rglob("*before-2*")
    if name.endswith(".sqlite"):
        with closing(sqlite3.connect(copy)) as connection:
            assert connection.execute("SELECT number FROM migration").fetchall() == [(1,)]
    other = place()
    assert restore(other, opened, copy).new == 4
    with opened(other) as history:
        assert text_of(history) == whole
        # Which of two copies of an event came first is a store's own affair; all that is shown is the same.
        assert history.callouts(Wanted(struck=True)) == shown


@pytest.mark.skipif(sys.platform == "win32", reason="forks")
def test_programs_that_start_at_once_migrate_once_and_the_copy_is_of_before(place, tmp_path):
    """Four of them on a store of version 1: none fails, and no copy is of a store half or wholly migrated."""
    name = place()
    version_1(name)
    before = rows_of(name, "event")
    begins, go = os.pipe()
    children = []
    for _ in range(4):
        child = os.fork()
        if not child:
            os.close(go)
            os.read(begins, 1)
            try:
                History.open(name, lambda: NOW, backups=tmp_path / "kept").close()
                os._exit(0)
            except BaseException as error:
                sys.stderr.write(f"{error!r}\n")
                os._exit(1)
        children.append(child)
    os.close(begins)
    os.close(go)
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0, 0, 0]
    assert rows_of(name, "event") == before
    assert len(rows_of(name, "migration")) == len(MIGRATIONS)
    (copy,) = tmp_path.rglob("*before-2*")
    assert not list(tmp_path.rglob("*.part"))
    if name.endswith(".sqlite"):
        with closing(sqlite3.connect(copy)) as connection:
            assert connection.execute("SELECT number FROM migration").fetchall() == [(1,)]


def later(make: Callable[..., None]) -> tuple[Migration, ...]:
    """The migrations of a halfsplit to come."""
    return (*MIGRATIONS, Migration(99, "of next year", make))


def test_a_migration_is_made_once_and_the_store_is_copied_before(place, tmp_path):
    """The copy holds all that was there; a new store has nothing to copy."""
    name = place()
    made: list[int] = []
    with History.open(name, lambda: NOW, backups=tmp_path / "kept") as history:
        before = filled(history)
    assert not list(tmp_path.rglob("*before*"))
    for _ in range(2):
        migrations = later(lambda connection: made.append(1))
        History.open(name, lambda: NOW, backups=tmp_path / "kept", migrations=migrations).close()
    assert made == [1]
    (copy,) = tmp_path.rglob("*before-99*")
    other = place()
    restore(other, opened, copy)
    with opened(other) as history:
        assert text_of(history) == before


def test_a_migration_that_fails_leaves_nothing_of_itself(place):
    """Neither its work nor its record; the store opens as it was, and the migration can be made later."""
    name = place()
    with opened(name) as history:
        before = filled(history)

    def half(connection):
        connection.exec_driver_sql("CREATE TABLE half (a INTEGER)")
        connection.exec_driver_sql("UPDATE overview SET unit = 'half'")
        raise RuntimeError("the power went")

    with pytest.raises(RuntimeError):
        History.open(name, lambda: NOW, migrations=later(half))
    with opened(name) as history:
        assert text_of(history) == before
        assert {item.unit for item in history.callouts()} == {"V-1"}
    whole = later(lambda connection: connection.exec_driver_sql("CREATE TABLE half (a INTEGER)"))
    History.open(name, lambda: NOW, migrations=whole).close()
