"""From a store to a unit's next callout: read, learned, kept, and learned anew when there is more."""

import pytest
from sqlalchemy import select

from diagnose.history.ledger import Ledger, put
from diagnose.history.ledger_tables import POOL
from diagnose.history.store import History
from diagnose.history.tables import CALLOUT
from diagnose.history.teacher import Teacher, teacher_of
from diagnose.learned import Learned
from tests.diagnose.history.callouts import complained, events_of, repair
from tests.diagnose.history.made import NOW, made
from tests.helpers import tiny_book

BOOK = tiny_book({})
WARM = {"season": "warm", "fails": "closed"}


@pytest.fixture
def history(tmp_path):
    with History.open(str(tmp_path / "history.sqlite"), lambda: NOW.isoformat()) as opened:
        yield opened


def fill(history, callouts):
    """Closed callouts without their events, behind those that are there."""
    with history.writing() as connection:
        first = len(list(connection.scalars(select(CALLOUT.c.row))))
        found = [(first + k, closed) for k, closed in enumerate(callouts, 1)]
        connection.execute(CALLOUT.insert(), [{"row": r, "key": f"k{r}", "events": 1} for r, _ in found])
        put(connection, found, NOW)


def test_an_empty_store_teaches_nothing(history):
    """The book stands."""
    assert teacher_of(Ledger(history, BOOK)).learned("North", "V-1", WARM) == Learned()


def test_a_callout_that_has_just_ended_teaches_the_next_one(history):
    """From its events to the numbers that the next callout begins with."""
    events = events_of(BOOK, [complained(), *repair(BOOK, "trim_worn", "cured", 120)])
    key = history.begin(events[0])
    for number, event in enumerate(events[1:], 1):
        history.append(key, event, number)
    learned = teacher_of(Ledger(history, BOOK)).learned("North", "V-1", WARM)
    assert learned.counts == {"trim_worn": (1, 1)}
    assert learned.times["trim_worn"] > 1 > learned.times["supply_lost"]
    assert learned.minutes["trim_worn"] > BOOK.causes["trim_worn"].repair.minutes
    assert "trim_worn" in learned.takes


def test_all_sites_are_reckoned_anew_when_there_is_more(history):
    """What is kept serves until the callouts have grown by a twentieth; a unit's own count at once."""
    fill(history, [made(k, "trim_worn", unit=f"V-{k % 4}") for k in range(100)])
    ledger = Ledger(history, BOOK)
    before = Teacher(ledger).unit("North", "V-1", WARM)

    def reckoned():
        with history.reading() as connection:
            return connection.scalar(select(POOL.c.callouts))

    assert reckoned() == 100
    fill(history, [made(0.5, "supply_lost", unit="V-1")])
    after = Teacher(ledger).unit("North", "V-1", WARM)
    assert reckoned() == 100
    assert (before.callouts, after.callouts) == (25, 26)
    fill(history, [made(0.2, "supply_lost", unit="V-1")] * 5)
    Teacher(ledger).unit("North", "V-1", WARM)
    assert reckoned() == 106


def test_a_unit_is_known_by_its_site_and_name(history):
    """The same name at two sites is two units."""
    fill(history, [made(k, "trim_worn", site=site) for k, site in enumerate("NNNS")])
    teacher = Teacher(Ledger(history, BOOK))
    found = [teacher.unit(site, "V-1", WARM) for site in "NSX"]
    assert [(unit.callouts, unit.callouts_at_site) for unit in found] == [(3, 3), (1, 1), (0, 0)]
    assert {unit.callouts_everywhere for unit in found} == {4}
