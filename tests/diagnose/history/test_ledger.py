"""The ledger: every ended callout is read once, again when it changes, and its sums are the callouts' own."""

from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import delete, select

from diagnose.events import Event
from diagnose.history.closed import closed_of
from diagnose.history.ledger import Ledger
from diagnose.history.ledger_tables import CLOSED, SHARE
from diagnose.history.ledger_waiting import changed
from diagnose.history.store import History
from diagnose.history.tables import OVERVIEW
from diagnose.history.tally import counted
from tests.diagnose.history.callouts import START, complained, events_of, repair
from tests.diagnose.history.made import NOW
from tests.helpers import tiny_book

BOOK = tiny_book({})
HELP = ("help", "help", "called", 1)
LOST = [complained(), ("check", "drop_seen", "no", 3), *repair(BOOK, "supply_lost", "cured")]
WORN = [complained(), *repair(BOOK, "trim_worn", "cured")]
UNKNOWN = [complained(), HELP]


@pytest.fixture
def history(tmp_path: Path):
    with History.open(str(tmp_path / "history.sqlite"), lambda: "2025-01-01T00:00:00Z") as opened:
        yield opened


def saved(history, steps, **more):
    """A callout in the store; returns its key and its events."""
    events = events_of(BOOK, steps, **more)
    key = history.begin(events[0])
    for number, event in enumerate(events[1:], 1):
        history.append(key, event, number)
    return key, events


def remark(kind, name, answer, hour=0):
    return Event(at=f"2025-01-01T{hour:02}:00:00Z", kind=kind, id=name, answer=answer)


def test_what_is_read_is_what_was_made(history):
    """Every ended callout comes back whole, in order of its end; open ones do not."""
    later = START + timedelta(days=9)
    made = [saved(history, LOST, start=later)[1], saved(history, UNKNOWN, unit="V-2")[1]]
    saved(history, [complained()], unit="V-3")
    ledger = Ledger(history, BOOK)
    assert ledger.waiting() == 2
    assert ledger.catch_up() == 2
    assert (ledger.waiting(), ledger.count()) == (0, 2)
    assert ledger.callouts() == [closed_of(BOOK, events) for events in made[::-1]]
    assert [closed.unit for closed in ledger.callouts(newest=1)] == ["V-1"]
    assert [closed.unit for closed in ledger.callouts(unit="V-2")] == ["V-2"]
    assert ledger.callouts(site="South") == []


def test_the_stores_sums_are_the_callouts_sums(history):
    """Summed in the store or one by one: the same, of all units and of one."""
    for day, steps in enumerate((LOST, WORN, UNKNOWN, LOST, LOST)):
        unit = ("V-1", "V-2")[day % 2]
        saved(history, steps, unit=unit, start=START + timedelta(days=day * 40))
    ledger = Ledger(history, BOOK)
    ledger.catch_up()
    for unit in (None, "V-1"):
        sums, (by_facts, by_cause) = ledger.sums(NOW, unit=unit), counted(ledger.callouts(unit=unit), NOW)
        assert len(sums.by_facts) == len(by_facts)
        for ours in sums.by_facts:
            theirs = next(row for row in by_facts if (row.place, row.facts) == (ours.place, ours.facts))
            assert (ours.weight, ours.callouts) == (pytest.approx(theirs.weight), theirs.callouts)
        assert len(sums.by_cause) == len(by_cause)
        for had in sums.by_cause:
            other = next(row for row in by_cause if (row.place, row.cause) == (had.place, had.cause))
            assert (had.weight, had.share) == pytest.approx((other.weight, other.share))


def test_a_callout_that_changes_is_read_again(history):
    """Struck it is gone, restored it is back, corrected it has another cause, reopened it is gone again."""
    key, events = saved(history, LOST)
    ledger = Ledger(history, BOOK)
    ledger.catch_up()

    def causes():
        assert ledger.catch_up() == 1
        return [dict(closed.shares) for closed in ledger.callouts()]

    history.remark(key, remark("struck", "", ""))
    assert causes() == []
    history.remark(key, remark("struck", "", "restored", 1))
    assert causes() == [{"supply_lost": 1.0}]
    history.remark(key, remark("corrected", "cause", "trim_worn", 2))
    assert causes() == [{"trim_worn": 1.0}]
    history.append(key, remark("reopened", "", "", 3), len(events) + 3)
    assert causes() == []
    assert ledger.catch_up() == 0


def test_closed_as_a_cause_it_has_it_all(history):
    """Somebody says what it was while closing it: no arithmetic is asked."""
    saved(history, [complained(), ("closed", "stem_stuck", "", 5)])
    saved(history, [complained(), ("closed", "", "", 5)], unit="V-2")
    ledger = Ledger(history, BOOK)
    ledger.catch_up()
    first, second = (ledger.callouts(unit=unit)[0] for unit in ("V-1", "V-2"))
    assert first.shares == {"stem_stuck": 1.0}
    assert first.ending == second.ending == "closed"
    assert len(second.shares) > 3


def test_a_few_at_a_time_come_to_the_same(history):
    """Reading stops where it is told to and goes on from there."""
    for number in range(5):
        saved(history, LOST, unit=f"V-{number}")
    ledger, seen = Ledger(history, BOOK), []
    assert ledger.catch_up(most=2, told=seen.append) == 2
    assert (ledger.waiting(), ledger.count(), seen) == (3, 2, [2])
    assert ledger.catch_up() == 3
    assert ledger.count() == 5


def test_made_anew_it_is_the_same(history):
    """Thrown away and read again: nothing of it was anywhere else."""
    saved(history, LOST)
    saved(history, UNKNOWN, unit="V-2")
    ledger = Ledger(history, BOOK)
    ledger.catch_up()
    before = ledger.callouts()
    with history.writing() as connection:
        connection.execute(delete(SHARE))
        connection.execute(delete(CLOSED))
        changed(connection, connection.scalars(select(OVERVIEW.c.callout)).all())
    assert ledger.callouts() == []
    ledger.catch_up()
    assert ledger.callouts() == before


def test_another_books_callout_is_left_out(history):
    """A callout with a cause that this book does not hold is read, and is nothing to it."""
    saved(history, LOST)
    saved(history, [complained(), ("check", "not_in_this_book", "no", 3), HELP], unit="V-2")
    ledger = Ledger(history, BOOK)
    assert ledger.catch_up() == 2
    assert [closed.unit for closed in ledger.callouts()] == ["V-1"]
