"""The pages of the history say what the callouts say."""

from datetime import UTC, datetime, timedelta

import pytest

from diagnose.history.closed import ClosedCallout, TriedRepair, closed_of
from diagnose.history.iso14224 import classes_of
from diagnose.history.ledger import Ledger
from diagnose.history.month import MONTHS, month_report, months_chart
from diagnose.history.pages import (
    faults_of,
    find_unit,
    first_look,
    quarters,
    site_page,
    unit_file,
)
from diagnose.history.store import History
from diagnose.history.teacher import teacher_of
from knowledge.problems import InputProblems
from tests.diagnose.history.callouts import complained, events_of, repair
from tests.helpers import tiny_book

BOOK = tiny_book({})
NOW = datetime(2025, 1, 1, tzinfo=UTC)
START = datetime(2024, 5, 1, 10, tzinfo=UTC)
LOST = [complained(), ("check", "drop_seen", "no", 3), *repair(BOOK, "supply_lost", "cured")]
WORN = [complained(), *repair(BOOK, "trim_worn", "cured")]


def closed(steps, days=0.0, **more):
    found = closed_of(BOOK, events_of(BOOK, steps, start=START + timedelta(days=days), **more))
    assert found
    return found


@pytest.fixture
def ledger(tmp_path):
    """Three units at two sites: one calm, one whose callouts come closer together, one elsewhere."""
    with History.open(str(tmp_path / "history.sqlite"), lambda: "2025-01-01T00:00:00Z") as history:
        for steps, unit, site, days in (
            *((LOST, "V-1 east", "North", day) for day in (0, 100, 110)),
            *((WORN, "V-2 west", "North", day) for day in (0, 120, 180, 210, 225, 232, 236, 238)),
            (LOST, "V-9", "South", 40),
        ):
            events = events_of(BOOK, steps, unit=unit, site=site, start=START + timedelta(days=days))
            key = history.begin(events[0])
            for number, event in enumerate(events[1:], 1):
                history.append(key, event, number)
        found = Ledger(history, BOOK)
        found.catch_up()
        yield found


def test_the_sites_table_counts_each_unit_and_names_the_one_that_gets_worse(ledger):
    """The one with most minutes first; all its callouts in the quarters that they were closed in."""
    page = site_page(BOOK, ledger.callouts("North"), NOW, "North")
    assert [row.unit for row in page.units] == ["V-2 west", "V-1 east"]
    assert [row.callouts for row in page.units] == [8, 3]
    assert [row.worse for row in page.units] == [True, False]
    assert sum(page.by_quarter) == page.callouts == 11
    assert page.units[1].repeats == 1
    assert page.minutes == pytest.approx(sum(each.minutes for each in ledger.callouts("North")))
    assert {row.unit for row in site_page(BOOK, ledger.callouts(), NOW).units} == {
        "V-1 east",
        "V-2 west",
        "V-9",
    }


def test_a_units_file_holds_its_callouts_and_what_to_look_at_next(ledger):
    """Faults with their quarters, the rates of its place, the first look at the likeliest."""
    teacher = teacher_of(ledger)
    file = unit_file(teacher, "North", "V-2 west")
    assert [fault.cause for fault in file.faults] == ["trim_worn"]
    assert file.faults[0].callouts == len(file.callouts) == 8
    assert file.trend
    assert file.trend.growth.low > 1
    rates = teacher.unit("North", "V-2 west", file.facts).rates
    named = [rate for rate in rates if rate.cause in BOOK.causes]
    assert [item.cause for item in file.next_time] == [rate.cause for rate in named[:3]]
    assert file.next_time[0].of_1000 == pytest.approx(named[0].rate)


def test_a_unit_is_found_by_a_part_of_its_name(ledger):
    """One that several names have, or none, is told of."""
    assert find_unit(ledger, "WEST") == ("North", "V-2 west")
    assert find_unit(ledger, "V-9") == ("South", "V-9")
    with pytest.raises(InputProblems, match="several units are named so"):
        find_unit(ledger, "V-")
    with pytest.raises(InputProblems, match="no callout of such a unit has ended"):
        find_unit(ledger, "X")
    with pytest.raises(InputProblems, match="no callout of such a unit has ended"):
        find_unit(ledger, "V-9", "North")


def test_faults_stand_by_how_often_they_came():
    """With their minutes and the last time."""
    callouts = [closed(LOST), closed(WORN, 3), closed(LOST, 5)]
    faults = faults_of(BOOK, callouts, NOW)
    assert [(fault.cause, fault.callouts) for fault in faults] == [("supply_lost", 2), ("trim_worn", 1)]
    assert faults[0].minutes == pytest.approx(callouts[0].minutes + callouts[2].minutes)
    assert faults[0].last == callouts[2].ended
    assert faults[0].by_quarter[quarters(NOW).index("2024 Q2")] == 2


def test_the_first_look_is_on_the_running_unit():
    """At what the cause leads to, where no look at the cause itself can be made so."""
    assert first_look(BOOK, "supply_lost") == "supply_gauge"
    assert first_look(BOOK, "vent_blocked") == "output_moves"


def test_a_months_report_knows_nothing_of_what_came_later(ledger):
    """The curve ends with the month, and the table stands as it stood then."""
    report = month_report(ledger, "2024-08", "North")
    assert [each.unit for each in report.callouts] == ["V-1 east", "V-1 east", "V-2 west"]
    assert len(report.by_month) == MONTHS
    assert report.by_month[-1] == ("2024-08", 3)
    assert dict(report.by_month)["2024-05"] == 2
    assert report.page.callouts == 5
    assert report.open_ends == 0
    assert months_chart(report).series[0].points[-1] == (0.0, 3.0)
    assert month_report(ledger, "2024-12").month == "2024-12"


@pytest.mark.parametrize("month", ["2024", "2024-13", "24-01", "2024-1", "x"])
def test_a_month_that_is_none_is_told(ledger, month):
    """With how to write it."""
    with pytest.raises(InputProblems, match="Write it as: 2026-01"):
        month_report(ledger, month)


def test_the_classes_of_a_callout_are_the_books_and_follow_what_was_done():
    """Failure mode and mechanism from the cause; activity from the repairs; help leaves them unknown."""
    found = classes_of(BOOK, closed(WORN))
    assert found["failure_mode"] == BOOK.causes["trim_worn"].failure_mode
    assert found["mechanism"] == BOOK.causes["trim_worn"].mechanism
    assert found["detection"] == "production interference"
    assert found["activity"] == "repair"
    assert classes_of(BOOK, closed([complained(), ("help", "help", "called", 1)]))["activity"] == "other"


def test_two_repairs_are_a_combination():
    """Whatever they were."""
    one = closed(WORN)
    tried = (TriedRepair("trim_worn", 1.0, None), TriedRepair("supply_lost", 1.0, True))
    both = ClosedCallout(**{**vars(one), "repairs": tried})
    assert classes_of(BOOK, both)["activity"] == "combination"
