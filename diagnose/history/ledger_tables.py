"""The tables of closed callouts as statistics read them. All of it can be made anew from the events."""

from typing import Final

from sqlalchemy import Column, Float, ForeignKey, Index, Integer, String, Table, Text

from diagnose.history.tables import METADATA, ROW

PLACE: Final = Table(
    "ledger_place",
    METADATA,
    Column("row", ROW, primary_key=True),
    Column("site", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Index("ledger_place_name", "site", "unit", unique=True),
)
"""A row for each unit that a callout was closed on."""

CLOSED: Final = Table(
    "ledger_closed",
    METADATA,
    Column("callout", ROW, ForeignKey("callout.row"), primary_key=True, autoincrement=False),
    Column("place", ROW, ForeignKey("ledger_place.row"), nullable=False),
    Column("ended", Float, nullable=False),
    Column("weight", Float, nullable=False),
    Column("facts", Text, nullable=False),
    Column("cause", Text, nullable=False),
    Column("body", Text, nullable=False),
    Index("ledger_closed_place", "place", "ended"),
    Index("ledger_closed_facts", "place", "facts", "weight"),
    Index("ledger_closed_ended", "ended"),
)
"""``ended``: seconds since 1970. ``weight``: what it counts for, in parts of one of `ledger.BEGAN`.
``cause``: the one with most of it. ``body``: the whole as JSON."""

SHARE: Final = Table(
    "ledger_share",
    METADATA,
    Column("callout", ROW, ForeignKey("ledger_closed.callout"), primary_key=True, autoincrement=False),
    Column("cause", String(80), primary_key=True),
    Column("place", ROW, nullable=False),
    Column("share", Float, nullable=False),
    Column("weight", Float, nullable=False),
    Index("ledger_share_place", "place", "cause", "share", "weight"),
    sqlite_with_rowid=False,
)
"""What each cause had of a callout; ``weight`` is the share times the callout's."""

WAITING: Final = Table(
    "ledger_waiting",
    METADATA,
    Column("callout", ROW, ForeignKey("callout.row"), primary_key=True, autoincrement=False),
)
"""Callouts that have ended, or went on after their end, since they were last read."""

POOL: Final = Table(
    "ledger_pool",
    METADATA,
    Column("book", String(64), primary_key=True),
    Column("callouts", Integer, nullable=False),
    Column("body", Text, nullable=False),
)
"""What all sites together said with a book, when so many callouts had been read: it saves time."""
