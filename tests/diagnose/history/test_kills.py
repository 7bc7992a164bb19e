"""Killed at any moment: nothing that was acknowledged is lost, nothing is doubled, the store opens."""

import sys

import pytest

from diagnose.history.record import Record
from diagnose.history.store import History
from diagnose.history.travel import Merged, merge, merge_records
from tests.diagnose.history.conftest import NOW
from tests.diagnose.history.kills import kill_merges, kill_migrations, kill_shifts
from tests.diagnose.history.records import event, opening
from tests.diagnose.history.test_merge import file_of, text_of

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="kills processes that it forks")


def many(count: int, length: int = 4) -> list[Record]:
    """Callouts that all differ."""
    return [
        Record.in_a_row([opening(f"c{n}"), *(event(m, answer=str(n)) for m in range(1, length))])
        for n in range(count)
    ]


def test_a_shift_that_is_killed_again_and_again_loses_no_answer(place):
    """Three callouts in turn, six kills; `python -m tests.bench.kills` makes two hundred."""
    assert kill_shifts(place(), times=6, seed=1, longest=0.8) > 0


def test_a_merge_that_is_killed_is_finished_by_making_it_again(place, tmp_path):
    """What it left is whole callouts of the files, and in the end the store is the same as without a kill."""
    files = [
        file_of(tmp_path, *many(150), name="long.jsonl"),
        file_of(tmp_path, *many(200, 2), name="short.jsonl"),
    ]
    with History.open(place(), lambda: NOW) as history:
        for path in files:
            merge(history, [path])
        wanted = text_of(history)
    assert kill_merges(place, files, wanted, times=3, seed=2).hit > 0


def test_a_migration_that_is_killed_is_made_whole_at_the_next_start(place, tmp_path):
    """Three times, each with a table, a copy of all events, an index and a mark."""
    name = place()
    with History.open(name, lambda: NOW) as history:
        merge_records(history, many(300), Merged())
    assert kill_migrations(name, tmp_path, times=3, seed=3).hit > 0
