"""No question that a screen or a command asks reads a whole table: a million callouts stay quick."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from sqlalchemy import event as hooks

from diagnose.history.ledger import Ledger
from diagnose.history.saver import Saver
from diagnose.history.store import History, Wanted
from diagnose.history.travel import Merged, merge_records
from tests.diagnose.history.conftest import NOW
from tests.diagnose.history.records import event, opening, record_of, saved
from tests.tui.driver import small_book

BIG = ("callout", "event", "overview", "ledger_closed", "ledger_share")


@pytest.fixture
def history(tmp_path):
    """A file with some callouts in it."""
    with History.open(str(tmp_path / "s.sqlite"), lambda: NOW) as made:
        for number in range(20):
            saved(made, opening(f"c{number}", f"V-{number % 4}"), event(1), event(2, "help"))
        yield made


def plans(history: History, work: Callable[[], object]) -> list[str]:
    """How the store goes about each statement of some work, a line for each table."""
    asked = []

    def listen(connection, cursor, statement, parameters, context, many):
        if not statement.startswith(("EXPLAIN", "BEGIN")):
            asked.append((statement, parameters[0] if many else parameters))

    hooks.listen(history.engine, "before_cursor_execute", listen)
    try:
        work()
    finally:
        hooks.remove(history.engine, "before_cursor_execute", listen)
    assert asked
    found = []
    with history.reading() as connection:
        for statement, parameters in asked:
            rows = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters)
            found += [f"{row[-1]} -- {statement}" for row in rows]
    return found


def scans(history: History, work: Callable[[], object]) -> list[str]:
    """The parts of it that read a big table from end to end, by an index or not."""
    return [plan for plan in plans(history, work) if plan.startswith(tuple(f"SCAN {name}" for name in BIG))]


def test_a_question_that_reads_a_whole_table_is_seen(history):
    """So that the tests below can fail."""
    with history.reading() as connection:
        count = lambda: history.count(connection)  # noqa: E731
        assert "SCAN callout" in scans(history, count)[0]


def test_a_callout_is_found_and_written_to_by_its_indexes(history):
    """Opened, found by name and by the beginning of its key, answered, remarked on, read, looked up again."""

    def work() -> None:
        key = history.begin(opening("new"))
        Saver(history, key).save(event(1))
        Saver(history, key).news()
        history.append(key, event(2), 2)
        history.append(key, event(3, "help"), 3)
        history.remark(key, event(4, "note"))
        assert history.find("new") == history.overview(key) == history.find(key[:8])
        merge_records(history, [record_of("new", [("check", "no", 1, 0)])], Merged())

    assert scans(history, work) == []


@pytest.mark.parametrize(
    "wanted", [Wanted(unit="V-1"), Wanted(site="North"), Wanted(only_open=True), Wanted(since="2026-01-01")]
)
def test_lists_are_read_by_their_indexes(history, wanted):
    """Of a unit, of a site, of what is open, of a time."""
    assert scans(history, lambda: history.callouts(wanted, 5)) == []
    assert scans(history, lambda: history.open_callouts("V-1")) == []
    assert scans(history, history.open_callouts) == []


def test_a_units_file_and_its_sums_are_read_by_their_indexes(history):
    """What the statistics keep of one unit."""
    ledger = Ledger(history, small_book())

    def work() -> None:
        ledger.callouts("North", "V-1")
        ledger.sums(datetime(2026, 2, 1, tzinfo=UTC), "North", "V-1")

    assert scans(history, work) == []
