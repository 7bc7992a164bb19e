"""What the migrations do, as SQL that stays as it is whatever the tables of today look like.

A text in braces stands for what the two kinds of store call differently.
"""

from collections.abc import Mapping
from typing import Final

WORDS: Final[Mapping[str, Mapping[str, str]]] = {
    "sqlite": {"counts_up": "INTEGER", "row": "INTEGER", "by_key": " WITHOUT ROWID"},
    "postgresql": {"counts_up": "BIGSERIAL", "row": "BIGINT", "by_key": ""},
}
"""A row's number that counts up by itself; a row's number; that rows are kept in their keys."""

MIGRATION_TABLE: Final = """
CREATE TABLE IF NOT EXISTS migration (
    number INTEGER NOT NULL, name TEXT NOT NULL, at VARCHAR(40) NOT NULL, PRIMARY KEY (number)
)
"""

EVENTS_AND_OVERVIEW: Final = """
CREATE TABLE about (
    name VARCHAR(40) NOT NULL, value TEXT NOT NULL, PRIMARY KEY (name)
);
CREATE TABLE callout (
    "row" {counts_up} NOT NULL, "key" VARCHAR(32) NOT NULL, events INTEGER NOT NULL,
    PRIMARY KEY ("row"), UNIQUE ("key")
);
CREATE TABLE event (
    callout {row} NOT NULL, number INTEGER NOT NULL, parent INTEGER NOT NULL,
    body TEXT NOT NULL, person TEXT NOT NULL, caller TEXT NOT NULL,
    PRIMARY KEY (callout, number), FOREIGN KEY (callout) REFERENCES callout ("row")
){by_key};
CREATE TABLE overview (
    callout {row} NOT NULL, "key" VARCHAR(32) NOT NULL, name TEXT NOT NULL, unit TEXT NOT NULL,
    site TEXT NOT NULL, caller TEXT NOT NULL, opened VARCHAR(40) NOT NULL, last VARCHAR(40) NOT NULL,
    complaint TEXT NOT NULL, ended VARCHAR(12) NOT NULL, cause TEXT NOT NULL, answers INTEGER NOT NULL,
    branches INTEGER NOT NULL, struck BOOLEAN NOT NULL,
    PRIMARY KEY (callout), FOREIGN KEY (callout) REFERENCES callout ("row")
);
CREATE INDEX overview_ended ON overview (ended, last);
CREATE INDEX overview_unit ON overview (unit, opened);
CREATE INDEX overview_site ON overview (site, opened);
CREATE INDEX overview_opened ON overview (opened);
CREATE INDEX overview_name ON overview (name)
"""

LEDGER: Final = """
CREATE TABLE ledger_place (
    "row" {counts_up} NOT NULL, site TEXT NOT NULL, unit TEXT NOT NULL, PRIMARY KEY ("row")
);
CREATE UNIQUE INDEX ledger_place_name ON ledger_place (site, unit);
CREATE TABLE ledger_closed (
    callout {row} NOT NULL, place {row} NOT NULL, ended FLOAT NOT NULL, weight FLOAT NOT NULL,
    facts TEXT NOT NULL, cause TEXT NOT NULL, body TEXT NOT NULL, PRIMARY KEY (callout),
    FOREIGN KEY (callout) REFERENCES callout ("row"), FOREIGN KEY (place) REFERENCES ledger_place ("row")
);
CREATE INDEX ledger_closed_place ON ledger_closed (place, ended);
CREATE INDEX ledger_closed_facts ON ledger_closed (place, facts, weight);
CREATE INDEX ledger_closed_ended ON ledger_closed (ended);
CREATE TABLE ledger_share (
    callout {row} NOT NULL, cause VARCHAR(80) NOT NULL, place {row} NOT NULL, share FLOAT NOT NULL,
    weight FLOAT NOT NULL, PRIMARY KEY (callout, cause),
    FOREIGN KEY (callout) REFERENCES ledger_closed (callout)
){by_key};
CREATE INDEX ledger_share_place ON ledger_share (place, cause, share, weight);
CREATE TABLE ledger_waiting (
    callout {row} NOT NULL, PRIMARY KEY (callout), FOREIGN KEY (callout) REFERENCES callout ("row")
);
CREATE TABLE ledger_pool (
    book VARCHAR(64) NOT NULL, callouts INTEGER NOT NULL, body TEXT NOT NULL, PRIMARY KEY (book)
);
INSERT INTO ledger_waiting (callout) SELECT callout FROM overview WHERE ended != ''
"""


def statements(text: str, store: str) -> list[str]:
    """The statements of a text for a kind of store, in order.

    >>> statements("CREATE TABLE a (b {row}); DROP TABLE a", "postgresql")
    ['CREATE TABLE a (b BIGINT)', 'DROP TABLE a']
    """
    return [statement.strip() for statement in text.format(**WORDS[store]).split(";")]
