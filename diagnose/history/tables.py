"""The tables of the store. `event` holds what was said and is only added to; the rest follows from it."""

from typing import Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
)

METADATA: Final = MetaData()

ROW: Final = BigInteger().with_variant(Integer, "sqlite")
"""A row's number: SQLite counts up by itself only in what it calls INTEGER."""

ABOUT: Final = Table(
    "about",
    METADATA,
    Column("name", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)
"""What the store says of itself: whether it is a demo's."""

MIGRATION: Final = Table(
    "migration",
    METADATA,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("name", Text, nullable=False),
    Column("at", String(40), nullable=False),
)
"""The migrations that were made."""

CALLOUT: Final = Table(
    "callout",
    METADATA,
    Column("row", ROW, primary_key=True),
    Column("key", String(32), nullable=False, unique=True),
    Column("events", Integer, nullable=False),
)
"""A row for each callout. ``events``: how many it has, which is also the number of the next one."""

EVENT: Final = Table(
    "event",
    METADATA,
    Column("callout", ROW, ForeignKey("callout.row"), primary_key=True, autoincrement=False),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("parent", Integer, nullable=False),
    Column("body", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("caller", Text, nullable=False),
    sqlite_with_rowid=False,
)
"""``number``: in the order in which this store got to know them. ``body``: JSON without names of people."""

OVERVIEW: Final = Table(
    "overview",
    METADATA,
    Column("callout", ROW, ForeignKey("callout.row"), primary_key=True, autoincrement=False),
    Column("key", String(32), nullable=False),
    Column("name", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Column("site", Text, nullable=False),
    Column("caller", Text, nullable=False),
    Column("opened", String(40), nullable=False),
    Column("last", String(40), nullable=False),
    Column("complaint", Text, nullable=False),
    Column("ended", String(12), nullable=False),
    Column("cause", Text, nullable=False),
    Column("answers", Integer, nullable=False),
    Column("branches", Integer, nullable=False),
    Column("struck", Boolean, nullable=False),
    Index("overview_ended", "ended", "last"),
    Index("overview_unit", "unit", "opened"),
    Index("overview_site", "site", "opened"),
    Index("overview_opened", "opened"),
    Index("overview_name", "name"),
)
"""What lists show of a callout; see `diagnose.history.overview.Overview`."""
