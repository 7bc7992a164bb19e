"""The store: every callout of a site, its events on the disk before anybody is told that they are saved."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import gettempdir
from typing import Any, Final, Self

from sqlalchemy import Select, func, insert, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import URL, Connection

from diagnose.events import Event
from diagnose.history import rows
from diagnose.history.appending import Recent, put_behind
from diagnose.history.engine import ONE_MOMENT, WRITES, engine_of, is_file, shown, url_of
from diagnose.history.migrations import MIGRATIONS, Migration, migrate
from diagnose.history.overview import OPEN, Overview
from diagnose.history.projection import Changed, project
from diagnose.history.record import Behind, Record, Seen
from diagnose.history.tables import ABOUT, CALLOUT, EVENT, OVERVIEW
from diagnose.history.trouble import cannot_open, told
from knowledge.problems import InputProblems, Problem

_COLUMNS = [column for column in OVERVIEW.c if column.name != "callout"]
_BY_KEY: Final = select(*_COLUMNS).join(CALLOUT, CALLOUT.c.row == OVERVIEW.c.callout)
_HEXADECIMAL: Final = frozenset("0123456789abcdef")


@dataclass(frozen=True)
class Wanted:
    """Which callouts a list is to show; an empty field asks for nothing."""

    unit: str = ""
    site: str = ""
    only_open: bool = False
    since: str = ""
    """Opened at this time or later, ISO 8601 in UTC."""
    until: str = ""
    """Opened before this time."""
    struck: bool = False
    """Whether those that were struck are shown too."""


KIND: Final = "kind"
REAL: Final = "real"
DEMO: Final = "demo"


class History:
    """A store, open. Safe to use from several threads."""

    def __init__(self, url: URL, clock: Callable[[], str]) -> None:
        """Use `open`."""
        self.url = url
        self.engine = engine_of(url)
        self.writer = self.engine.execution_options(**{WRITES: True})
        self.reader = self.engine if is_file(url) else self.engine.execution_options(**ONE_MOMENT)
        self.clock = clock
        self.demo = False
        self._recent = Recent()

    @classmethod
    def open(
        cls,
        named: str,
        clock: Callable[[], str],
        demo: bool = False,
        backups: Path | None = None,
        migrations: Sequence[Migration] = MIGRATIONS,
    ) -> Self:
        """The store at a URL or in a file, made or migrated where need be.

        ``backups``: where a database is kept before a migration; the copy of a file lies beside it.
        ``demo``: it is to hold a demo's callouts, which are never mixed with real ones.
        Raises `InputProblems` when it cannot be used, or when it is for a demo and holds real callouts.
        """
        from diagnose.history.backup import before_migration

        url = url_of(named)
        try:
            history = cls(url, clock)
            with told():
                migrate(
                    history.engine,
                    clock(),
                    history.name,
                    lambda number: before_migration(history, backups or Path(gettempdir()), number),
                    migrations,
                )
                history._is_of_kind(demo)
        except OSError as error:
            raise cannot_open(shown(url), error) from error
        return history

    def _is_of_kind(self, demo: bool) -> None:
        """Mark a new store as what it is to be; a demo goes into no other one than a demo's."""
        with self.reading() as connection:
            marked = connection.scalar(select(ABOUT.c.value).where(ABOUT.c.name == KIND))
        if marked is None:
            with self.writing() as connection:
                dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
                mark = dialect.insert(ABOUT).values(name=KIND, value=DEMO if demo else REAL)
                connection.execute(mark.on_conflict_do_nothing(index_elements=[ABOUT.c.name]))
                marked = connection.scalar(select(ABOUT.c.value).where(ABOUT.c.name == KIND))
        self.demo = marked == DEMO
        if demo and not self.demo:
            what = "is for real callouts, and no demo is put among them"
            raise InputProblems([Problem(self.name, "", what, "Name another store with --data or --db.")])

    @property
    def name(self) -> str:
        """The store for a message, without a password."""
        return shown(self.url)

    def close(self) -> None:
        """Let go of it; it can be used no more."""
        self.engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that sees one moment of the store. Raises `NotSaved`."""
        with told(), self.reader.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction: all of it is on the disk at its end, or nothing. Raises `NotSaved`."""
        with told(), self.writer.begin() as connection:
            yield connection

    def begin(self, opening: Event) -> str:
        """Save the opening of a new callout; returns its key. Opening the same one twice changes nothing."""
        record = Record.in_a_row([opening])
        with self.writing() as connection:
            if rows.load_key(connection, record.key) is None:
                row = connection.scalar(
                    insert(CALLOUT).values(key=record.key, events=1).returning(CALLOUT.c.row)
                )
                assert row is not None
                rows.insert_many(connection, EVENT, rows.event_rows(row, record))
                project(connection, [Changed(row, record, None)])
        return record.key

    def record(self, key: str) -> Record:
        """All that is kept of a callout. Raises `InputProblems` when there is none of that key."""
        with self.reading() as connection:
            stored = rows.load_key(connection, key)
        if stored is None:
            raise InputProblems([Problem(key, "", "there is no such callout", "halfsplit history list.")])
        return stored.record

    def events(self, key: str) -> tuple[Event, ...]:
        """The callout's line of answers, corrections made."""
        return self.record(key).events

    def seen(self, key: str) -> Seen:
        """The callout as it is now."""
        record = self.record(key)
        return Seen(record.events, len(record.kept))

    def changes_since(self, key: str, count: int) -> Seen | None:
        """The callout as it is now; None when nothing was added to the events that somebody has seen."""
        with self.reading() as connection:
            now = connection.scalar(select(CALLOUT.c.events).where(CALLOUT.c.key == key))
        return None if now == count else self.seen(key)

    def append(self, key: str, event: Event, expected: int) -> int:
        """Save an event behind those that its writer has seen; returns how many there are now.

        Raises `Behind` when somebody else has added events since, `NotSaved` when it cannot be saved; nothing
        is saved then. An event that is there already (the store's answer was lost) counts as saved.
        """
        with self.writing() as connection:
            now = put_behind(connection, key, event, expected, self._recent.get(key, expected))
        self._recent.keep(now)
        return len(now.record.kept)

    def remark(self, key: str, event: Event) -> None:
        """Save a remark on a callout, whatever was added to it meanwhile."""
        while True:
            try:
                self.append(key, event, self.seen(key).count)
            except Behind:
                continue
            return

    def overview(self, key: str) -> Overview:
        """What lists show of one callout. Raises `InputProblems` when there is none."""
        found = self._overviews(_BY_KEY.where(CALLOUT.c.key == key))
        if not found:
            raise InputProblems([Problem(key, "", "there is no such callout", "halfsplit history list.")])
        return found[0]

    def open_callouts(self, unit: str = "", most: int = 200) -> list[Overview]:
        """The callouts that somebody can go on with, the one written to last first."""
        query = select(*_COLUMNS).where(OVERVIEW.c.ended.in_(OPEN), OVERVIEW.c.struck.is_(False))
        if unit:
            query = query.where(OVERVIEW.c.unit == unit)
        return self._overviews(query.order_by(OVERVIEW.c.last.desc(), OVERVIEW.c.key).limit(most))

    def callouts(self, wanted: Wanted = Wanted(), most: int | None = None) -> list[Overview]:
        """The callouts that are wanted, the one opened last first."""
        table = OVERVIEW.c
        query = select(*_COLUMNS).order_by(table.opened.desc(), table.key).limit(most)
        for value, part in (
            (wanted.unit, table.unit == wanted.unit),
            (wanted.site, table.site == wanted.site),
            (wanted.only_open, table.ended.in_(OPEN)),
            (wanted.since, table.opened >= wanted.since),
            (wanted.until, table.opened < wanted.until),
            (not wanted.struck, table.struck.is_(False)),
        ):
            if value:
                query = query.where(part)
        return self._overviews(query)

    def find(self, named: str) -> Overview:
        """The callout of that name or key, or whose key begins so. `InputProblems` for none or several."""
        found = self._overviews(select(*_COLUMNS).where(OVERVIEW.c.name == named).limit(2))
        if not found and len(named) >= 4 and _HEXADECIMAL.issuperset(named):
            # "g" comes after all that can follow, in every order that a database may sort by.
            begins = (CALLOUT.c.key >= named) & (CALLOUT.c.key < named + "g")
            found = self._overviews(_BY_KEY.where(begins).limit(2))
        if len(found) == 1:
            return found[0]
        what = "several callouts are named so" if found else "there is no such callout"
        mend = "Name it by its key." if found else "halfsplit history list shows them."
        raise InputProblems([Problem(named, "", what, mend)])

    def count(self, connection: Connection) -> int:
        """How many callouts there are."""
        return connection.scalar(select(func.count()).select_from(CALLOUT)) or 0

    def _overviews(self, query: Select[Any]) -> list[Overview]:
        with self.reading() as connection:
            return [Overview(*row) for row in connection.execute(query)]
