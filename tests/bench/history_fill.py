"""Invented callouts for `tests.bench.history`, and a store filled with them quicker than by merging."""

import random
import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from sqlalchemy import insert, text
from sqlalchemy.engine import Connection

from diagnose.events import Event, Opening
from diagnose.history.closed import ClosedCallout, MadeCheck, TriedRepair
from diagnose.history.ledger import put
from diagnose.history.record import Record, body_of, key_of
from diagnose.history.rows import insert_many
from diagnose.history.store import History
from diagnose.history.tables import CALLOUT, EVENT, OVERVIEW
from diagnose.history.travel import lots
from diagnose.history.wire import line_of

START: Final = datetime(2021, 1, 1, tzinfo=UTC)
MINUTES: Final = 5 * 365 * 24 * 60
"""Over which the callouts are spread."""
SITES: Final = 50
UNITS: Final = 5000
NOW: Final = "2026-02-01T00:00:00Z"
LOT: Final = 5000
"""Callouts that are put in at a time."""
LEFT_OPEN: Final = 5000
"""One callout of so many has not ended."""
STEPS: Final = (
    ("triage", "danger", "no_danger"),
    ("triage", "trip", "hours"),
    ("complaint", "complaint", "wont_open"),
    ("check", "level_glass", "high"),
    ("check", "supply_gauge", "full"),
    ("check", "output_gauge", "none"),
    ("check", "lift_arm", "nothing"),
    ("check", "vent_breathes", "no"),
    ("caution", "supply off", "read_it"),
    ("hold", "supply off", "done"),
    ("repair", "", "done"),
    ("hold", "running", "done"),
    ("prove", "", "cured"),
)
"""Of a callout with some six checks; the repair's cause is drawn."""
CAUSES: Final = ("pilot_gummed", "vent_blocked", "supply_shut", "filter_plugged", "displacer_leaks")
STEP: Final = timedelta(minutes=3)


class Invented:
    """One callout, the same for the same number."""

    def __init__(self, number: int, whole: int) -> None:
        """``whole``: how many there are, which are opened one after the other."""
        draw = random.Random(number)
        self.number = number
        self.row = number + 1
        unit = draw.randrange(UNITS)
        self.unit, self.site = f"V-{unit}", f"Site {unit % SITES}"
        self.cause = draw.choice(CAUSES)
        self.opened = START + timedelta(minutes=MINUTES * number // max(whole, number + 1))
        self.ended = bool(number % LEFT_OPEN)
        self.steps = STEPS if self.ended else STEPS[:5]
        self.opening = Opening(
            callout=f"{self.opened:%Y%m%dT%H%M%SZ}-V-{unit}-{number:06x}",
            unit=self.unit,
            site=self.site,
            facts={"action": "snap", "acting": "direct", "valve_fails": "closed", "season": "cold"},
            quantities={"supply_psi": 20.0 + unit % 10},
            book="0" * 64,
        )

    def at(self, step: int) -> str:
        """When a step was made; 0 is the opening."""
        return f"{(self.opened + step * STEP).replace(tzinfo=None).isoformat()}Z"

    def record(self) -> Record:
        """All of it."""
        events = [Event(at=self.at(0), kind="opened", opening=self.opening)]
        for step, (kind, name, answer) in enumerate(self.steps, 1):
            events.append(Event(at=self.at(step), kind=kind, id=name or self.cause, answer=answer))
        return Record.in_a_row(events)

    def first(self) -> str:
        """What its opening says."""
        return body_of(Event(at=self.at(0), kind="opened", opening=self.opening))

    def events(self, first: str) -> Iterator[tuple[Any, ...]]:
        """Its rows, as `record` would give them, without the objects."""
        yield self.row, 0, -1, first, "", ""
        for step, (kind, name, answer) in enumerate(self.steps, 1):
            said = (
                f'{{"at":"{self.at(step)}","kind":"{kind}","id":"{name or self.cause}","answer":"{answer}"}}'
            )
            yield self.row, step, step - 1, said, "", ""

    def overview(self, key: str) -> tuple[Any, ...]:
        """Its row in the lists."""
        how = ("cured", self.cause) if self.ended else ("", "")
        names = self.opening.callout, self.unit, self.site, "", self.at(0), self.at(len(self.steps))
        return self.row, key, *names, "wont_open", *how, len(self.steps), 0, False

    def closed(self) -> ClosedCallout:
        """As statistics read it."""
        minutes = STEP.total_seconds() / 60
        return ClosedCallout(
            self.opening.callout,
            self.unit,
            self.site,
            self.opened,
            self.opened + len(self.steps) * STEP,
            "wont_open",
            "cured",
            {self.cause: 1.0},
            minutes * len(self.steps),
            (TriedRepair(self.cause, minutes, True),),
            tuple(MadeCheck(name, answer, minutes) for kind, name, answer in self.steps if kind == "check"),
            facts=self.opening.facts,
        )


def write(path: Path, numbers: range, whole: int) -> None:
    """A file of callouts."""
    with path.open("w", encoding="utf-8") as out:
        out.writelines(line_of(Invented(number, whole).record()) + "\n" for number in numbers)


def fill(history: History, callouts: int, whole: int) -> None:
    """Put callouts straight into the tables of a new store; a line of progress on stderr."""
    done = 0
    for numbers in lots(range(callouts), LOT):
        lot = [Invented(number, whole) for number in numbers]
        firsts = [one.first() for one in lot]
        keys = [key_of(first) for first in firsts]
        events = [list(one.events(first)) for one, first in zip(lot, firsts, strict=True)]
        with history.writing() as connection:
            rows = zip(lot, keys, events, strict=True)
            connection.execute(
                insert(CALLOUT), [{"row": one.row, "key": key, "events": len(own)} for one, key, own in rows]
            )
            insert_many(connection, EVENT, (row for own in events for row in own))
            insert_many(connection, OVERVIEW, map(Invented.overview, lot, keys))
            put(
                connection, [(one.row, one.closed()) for one in lot if one.ended], datetime.fromisoformat(NOW)
            )
        done += len(lot)
        print(f"\r{done:,} of {callouts:,}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    with history.writing() as connection:
        _count_on(connection, callouts)


def _count_on(connection: Connection, callouts: int) -> None:
    """Rows that a database is to number by itself come after those that were put in with a number."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT setval('callout_row_seq', :last)"), {"last": callouts})
