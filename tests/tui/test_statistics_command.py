"""`halfsplit history rates`, `trend` and `stock`, and `rank --history`, on a store with a habit."""

import csv
import io
import json
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import select

from diagnose.history.ledger import put
from diagnose.history.tables import CALLOUT
from tests.diagnose.history.made import made
from tests.tui.driver import SMALL_BOOK
from tests.tui.typed import store
from tui.__main__ import main

BOOK = ["--book", str(SMALL_BOOK)]
AGO = (datetime(2026, 2, 1, tzinfo=UTC) - datetime(2025, 1, 1, tzinfo=UTC)) / timedelta(days=1)
"""Days from the day that `made` counts from to this store's now."""


@pytest.fixture(autouse=True)
def no_real_clock(monkeypatch):
    """The commands read the same clock as the store was filled by."""
    for module in ("stores", "learning"):
        monkeypatch.setattr(f"tui.{module}.utc_now", lambda: "2026-02-01T00:00:00Z")


@pytest.fixture
def causes(small_causes):
    """A store with thirty callouts of one unit, two in three of the first cause, and ten of another site."""
    first, second = small_causes
    found = [
        made(20 * k - AGO, (first, first, second)[k % 3], facts={"valve_fails": "closed"})
        for k in range(1, 31)
    ]
    found += [made(40 * k - AGO, second, unit="V-9", site="South") for k in range(1, 11)]
    with store() as history, history.writing() as connection:
        rows = [{"row": k, "key": f"k{k}", "events": 1} for k in range(1, len(found) + 1)]
        connection.execute(CALLOUT.insert(), rows)
        put(connection, list(enumerate(found, 1)), datetime(2026, 2, 1, tzinfo=UTC))
        assert len(list(connection.scalars(select(CALLOUT.c.row)))) == 40
    return first, second


@pytest.fixture
def small_causes():
    """Two causes of the small book."""
    from knowledge.book import load_book

    return list(load_book(SMALL_BOOK).causes)[:2]


def shown(capsys, *words):
    assert main(["history", *words, *BOOK]) == 0
    return capsys.readouterr().out


def test_rates_say_what_they_rest_on(causes, capsys):
    """For reading, as JSON with every cause, and as a table."""
    first, second = causes
    out = shown(capsys, "rates", "--unit", "V-1")
    assert "V-1, North: 30 callouts here, 30 at the site, 40 in all." in out
    assert "20 here, 20 in all" in out
    assert "10 here, 20 in all" in out
    found = json.loads(shown(capsys, "rates", "--unit", "V-1", "--json"))
    rate = next(rate for rate in found["rates"] if rate["cause"] == first)
    assert rate["low"] < rate["rate"] < rate["high"]
    assert rate["rate"] > rate["book"]
    assert rate["rests_on"] == "20 here, 20 in all"
    assert set(found["spreads"]) == {"book", "sites", "units", "habits"}
    table = list(csv.DictReader(io.StringIO(shown(capsys, "rates", "--unit", "V-1", "--csv"))))
    assert {row["cause"] for row in table} == {rate["cause"] for rate in found["rates"]}
    assert second in {row["cause"] for row in table}


def test_a_new_unit_of_a_site_can_be_asked_for(causes, capsys):
    """No unit is named: the site's habit without its own callouts."""
    out = shown(capsys, "rates", "--site", "South")
    assert "A new unit, South: 0 callouts here, 10 at the site, 40 in all." in out


def test_a_unit_that_is_not_there_is_told_with_the_nearest(causes, capsys):
    """And a site."""
    assert main(["history", "rates", "--unit", "V-11", *BOOK]) == 2
    assert "V-1" in capsys.readouterr().err
    assert main(["history", "stock", "--site", "Nrth", *BOOK]) == 2
    assert "North" in capsys.readouterr().err
    assert main(["history", "stock", *BOOK]) == 2
    assert "North, South" in capsys.readouterr().err


def test_trends_of_all_of_a_site_and_of_a_unit(causes, capsys):
    """Every unit has its line; machines get every number, none as NaN or infinity."""
    out = shown(capsys, "trend")
    assert "40 callouts that have ended." in out
    assert "V-1: 30 callouts, one every" in out
    found = json.loads(shown(capsys, "trend", "--site", "South", "--json"), parse_constant=pytest.fail)
    assert [unit["unit"] for unit in found["units"]] == ["V-9"]
    table = list(csv.DictReader(io.StringIO(shown(capsys, "trend", "--unit", "V-1", "--csv"))))
    assert {row["unit"] for row in table} == {"V-1"}
    assert float(table[0]["trend.mtbf.value"]) == pytest.approx(20, rel=0.1)


def test_stock_for_a_site(causes, capsys):
    """Parts with how many to hold; what cannot be a chance is refused."""
    found = json.loads(shown(capsys, "stock", "--site", "North", "--json"))
    assert found["site"] == "North"
    assert all(part["hold"] >= 0 and part["expected"] > 0 for part in found["parts"])
    assert shown(capsys, "stock", "--site", "North")
    assert main(["history", "stock", "--site", "North", "--enough", "120", *BOOK]) == 2
    assert "120 is no chance from 50 to 99.9" in capsys.readouterr().err


@pytest.mark.parametrize("what", ["rates", "trend"])
def test_an_empty_store_says_that_there_is_nothing(what, capsys):
    """And is no error."""
    assert "No callout has ended yet" in shown(capsys, what)


def test_rank_starts_from_the_history_when_asked(causes, capsys):
    """The counts stand under the causes; without `--history` nothing of it is there."""
    words = ["rank", "--unit", "willow-flat-v210", "--saw", "complaint=floods", *BOOK]
    assert main([*words, "--history", "default", "--json"]) == 0
    taught = json.loads(capsys.readouterr().out)
    assert taught["history"] == {"callouts_here": 0, "callouts_everywhere": 40}
    assert any(cause["rests_on"] == "0 here, 20 in all" for cause in taught["causes"])
    assert main([*words, "--json"]) == 0
    plain = json.loads(capsys.readouterr().out)
    assert "history" not in plain
    before, after = ({c["id"]: c["probability"] for c in found["causes"]} for found in (plain, taught))
    assert before != after
    assert main([*words, "--history", "default"]) == 0
    assert "0 here, 20 in all" in capsys.readouterr().out


def test_many_callouts_can_begin_with_what_earlier_ones_taught(causes, capsys, tmp_path):
    """Each line of a batch, as the command says it of one callout."""
    calls = tmp_path / "calls.jsonl"
    calls.write_text('{"saw": {"complaint": "floods"}}\n' * 2, encoding="utf-8")
    assert main(["rank", "--batch", str(calls), "--history", "default", *BOOK]) == 0
    first, second = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    assert first["history"] == {"callouts_here": 0, "callouts_everywhere": 40}
    assert {**first, "line": 2} == second
    assert main(["rank", "--saw", "complaint=floods", "--history", "default", "--json", *BOOK]) == 0
    assert {"line": 1, "id": None, **json.loads(capsys.readouterr().out)} == first
