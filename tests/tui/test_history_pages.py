"""The history's screen, its line forms, the month's report and the demo."""

import csv
import io
import json
from datetime import UTC, datetime, timedelta

import pytest

from diagnose.history.ledger import Ledger
from diagnose.history.month import month_report
from diagnose.history.pages import UnitRow
from diagnose.history.store import History
from diagnose.history.teacher import teacher_of
from tests.diagnose.history.callouts import complained, events_of, repair
from tests.helpers import tiny_book, write_book
from tests.tui.driver import dump, same_as_golden
from tui.__main__ import main
from tui.history_pages import row_text, sparkline
from tui.month_page import month_html
from tui.screen.history_screen import HistoryApp

BOOK = tiny_book({})
START = datetime(2024, 5, 1, 10, tzinfo=UTC)
HOSTILE = "=cmd|'/c'!A1 <script>alert(1)</script> \x1b[2J"
LOST = [complained(), ("check", "drop_seen", "no", 3), *repair(BOOK, "supply_lost", "cured")]
WORN = [complained(), *repair(BOOK, "trim_worn", "cured")]


def fill(path, units):
    with History.open(str(path), lambda: "2025-01-01T00:00:00Z") as history:
        for unit, steps, days in units:
            for day in days:
                events = events_of(BOOK, steps, unit=unit, site="North", start=START + timedelta(days=day))
                key = history.begin(events[0])
                for number, event in enumerate(events[1:], 1):
                    history.append(key, event, number)


UNITS = (
    ("V-1 east", LOST, (0, 100, 110)),
    ("V-2 west", WORN, (0, 120, 180, 210, 225, 232, 236, 238)),
    (HOSTILE, LOST, (40,)),
)


@pytest.fixture
def store(tmp_path):
    fill(tmp_path / "history.sqlite", UNITS)
    return tmp_path / "history.sqlite"


@pytest.fixture
def teacher(store):
    with History.open(str(store), lambda: "2025-01-01T00:00:00Z") as history:
        yield teacher_of(Ledger(history, BOOK), None)


async def shows(pilot, *parts: str, without: str = "") -> None:
    """Wait until the screen shows these parts; it fails after some seconds, with the screen."""
    for _ in range(400):
        await pilot.pause(0.02)
        seen = dump(pilot.app)
        if all(part in seen for part in parts) and not (without and without in seen):
            return
    raise AssertionError(seen)


@pytest.mark.parametrize("size", [(80, 24), (60, 20)])
async def test_the_table_and_a_units_file_on_the_screen(teacher, size):
    """The units, a search, a unit's file, the site's page, and back."""
    name = f"{size[0]}x{size[1]}"
    app = HistoryApp(teacher)
    async with app.run_test(size=size) as pilot:
        await shows(pilot, "> ", "V-1 east", "Search: _", "Letters search")
        same_as_golden(app, f"history_site_{name}")
        await pilot.press(*"west")
        await shows(pilot, "Search: west_", "V-2 west", without="V-1 east")
        await pilot.press("enter")
        await shows(pilot, "NEXT TIME", "Esc goes back")
        same_as_golden(app, f"history_unit_{name}")
        await pilot.press("pagedown", "up", "down", "pageup", "escape")
        await shows(pilot, "Search: west_")
        await pilot.press("escape")
        await shows(pilot, "Search: _", "V-1 east")
        await pilot.press("tab")
        await shows(pilot, "FAULTS BY QUARTER")
        await pilot.press("escape", "escape")
    assert not app.return_code


@pytest.mark.parametrize("size", [(20, 6), (40, 12), (120, 40)])
async def test_any_size_does_no_harm(teacher, size):
    """Nothing is wider than the window."""
    app = HistoryApp(teacher)
    async with app.run_test(size=size) as pilot:
        await shows(pilot, "Search: _")
        await pilot.press(*"zzz")
        await shows(pilot, "Search: zzz_")
        await pilot.press("escape", "down", "down", "up", "f2", "enter")
        await shows(pilot, "Esc goes back", without="Reading")
        assert all(len(line) <= size[0] for line in dump(app).splitlines())


async def test_without_a_callout_the_screen_says_what_would_stand_there(tmp_path):
    """And no key does harm."""
    with History.open(str(tmp_path / "new.sqlite"), lambda: "2025-01-01T00:00:00Z") as history:
        app = HistoryApp(teacher_of(Ledger(history, BOOK), None))
        async with app.run_test(size=(80, 24)) as pilot:
            await shows(pilot, "No callout has been closed yet")
            await pilot.press("enter", "tab", "down")
            await shows(pilot, "No callout has been closed yet")


@pytest.fixture
def words(store, tmp_path):
    (tmp_path / "book").mkdir()
    write_book(tmp_path / "book", {})
    return ["--db", str(store), "--book", str(tmp_path / "book")]


def test_the_line_forms_tell_the_same_as_text_as_data_and_as_a_table(words, capsys):
    """A unit and a site, each three ways; no line is wider than 80."""
    for what in (["unit", "west"], ["site"], ["site", "--site", "North"]):
        assert main(["history", *what, *words]) == 0
        out = capsys.readouterr().out
        assert max(map(len, out.splitlines())) <= 80
        assert "V-2 west" in out
        assert main(["history", *what, *words, "--json"]) == 0
        told = json.loads(capsys.readouterr().out)
        assert told["schema_version"]
        assert main(["history", *what, *words, "--csv"]) == 0
        rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
        assert len(rows) == len(told["callouts"])
        assert {row["failure_mode"] for row in rows} == {"UNK"}


def test_a_cell_that_a_spreadsheet_would_run_is_made_harmless(words, capsys):
    """It begins with an apostrophe."""
    assert main(["history", "site", *words, "--csv"]) == 0
    cells = [cell for row in csv.reader(io.StringIO(capsys.readouterr().out)) for cell in row]
    assert any(cell.startswith("'=cmd") for cell in cells)
    assert not any(cell[:1] in "=+-@" for cell in cells if cell)


def test_what_is_not_there_is_told(words, capsys):
    """Code 2 and the mend."""
    assert main(["history", "unit", "nothing", *words]) == 2
    assert "no callout of such a unit has ended" in capsys.readouterr().err
    assert main(["history", "report", "--month", "2024", "--html", "x", *words]) == 2
    assert "2026-01" in capsys.readouterr().err
    assert main(["history"]) == 2
    assert "the screen needs a terminal" in capsys.readouterr().err


def test_a_months_report_in_a_browser(words, teacher, tmp_path, chromium, capsys):
    """Nothing outside is asked for, nothing is complained of, hostile names are text."""
    path = tmp_path / "month.html"
    assert main(["history", "report", "--month", "2024-08", "--html", str(path), *words]) == 0
    assert path.read_text(encoding="utf-8") == month_html(BOOK, month_report(teacher.ledger, "2024-08"))
    seen = chromium.look(path)
    assert (seen.requests, seen.complaints) == ([], [])
    for part in (
        "All sites, 2024-08",
        "3 callouts, 3 cured",
        "V-1 east",
        "verify before claiming conformity",
    ):
        assert part in seen.text, part
    assert "=cmd|'/c'!A1 <script>alert(1)</script> [2J" in seen.text


def test_a_sparkline_has_a_sign_for_each_value():
    """Nothing is told from little, and the most is the last sign."""
    assert sparkline([]) == ""
    assert sparkline([0, 0]) == ".."
    assert sparkline([0, 0.01, 100]) == "._#"


def test_the_demo_is_made_in_one_command_and_kept_apart(keep_off_the_real_data_folder, monkeypatch, capsys):
    """Every page is printed; the real store takes nothing of it."""
    from diagnose.demo import site, units

    monkeypatch.setattr(site, "UNITS", units.UNITS[2:4])
    assert main(["demo", "--plain"]) == 0
    out, err = capsys.readouterr()
    assert "V-104 cold bench scrubber" in out
    assert "NEXT TIME, LOOK FIRST" in out
    assert "Ice or hydrate in the regulator" in out
    assert "invented" in err
    data = keep_off_the_real_data_folder / "data"
    assert [path.name for path in data.glob("*.sqlite")] == ["demo.sqlite"]
    away = data / "away.jsonl"
    assert main(["history", "export", "--callouts", str(away), "--db", str(data / "demo.sqlite")]) == 0
    capsys.readouterr()
    assert main(["history", "merge", str(away)]) == 2
    assert "demo" in capsys.readouterr().err
    assert main(["history", "list"]) == 0
    assert "V-104" not in capsys.readouterr().out


def test_a_unit_without_a_callout_in_a_year_has_no_minutes():
    """A dash, and not "under 1 min", which would be some."""
    row = UnitRow("North", "V-1", 5, 0, 0.0, 0, "Supply lost", None, False, (3, 2, 0))
    assert row_text(row, 60).split() == ["0", "-", sparkline((3, 2, 0)), "V-1"]
    assert "under 1 min" in row_text(UnitRow("North", "V-1", 5, 1, 0.5, 0, "", None, False, (1,)), 60)
