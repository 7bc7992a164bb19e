"""`halfsplit history`: lists, travel, copies and corrections by command."""

import json
import sys

import pytest

from diagnose.history.store import History
from tests.diagnose.history.records import event, opening, saved
from tests.tui.driver import SMALL_BOOK
from tests.tui.typed import store
from tui.__main__ import main


@pytest.fixture
def key() -> str:
    """A callout in this test's store."""
    with store() as history:
        said = event(2, "complaint", "floods", id="complaint")
        return saved(
            history, opening("first", "=V-1", caller="Ann"), event(1, "triage", "steady", id="danger"), said
        )


def history_of(*words: str) -> int:
    """Run a command below `history`."""
    return main(["history", *words])


def test_a_list_names_each_callout_and_machines_get_no_names_of_people(key, capsys):
    """For reading, as JSON, and as a table that a spreadsheet does not run."""
    assert history_of("list") == 0
    assert f"{key[:8]}  2026-01-31 12:00  =V-1 at North: Ann called, floods, open" in capsys.readouterr().out
    assert history_of("list", "--json") == 0
    out = capsys.readouterr().out
    assert json.loads(out)["callouts"][0]["unit"] == "=V-1"
    assert "Ann" not in out
    assert history_of("list", "--csv") == 0
    out = capsys.readouterr().out
    assert ",'=V-1," in out
    assert "Ann" not in out


def test_a_list_without_any_says_so(capsys):
    """And is no error."""
    assert history_of("list", "--open") == 0
    assert capsys.readouterr().out == "There is no such callout.\n"


def test_a_correction_is_shown_beside_what_was_said(key, capsys):
    """With its reason and its hand."""
    book = ["--book", str(SMALL_BOOK)]
    why = ["--why", "misheard", "--by", "Kim"]
    assert history_of("correct", key, "--answer", "2", "wont_shut", *why, *book) == 2
    assert "the book does not hold 'wont_shut'" in capsys.readouterr().err
    with store() as history:
        other = sorted(set(complaints()) - {"floods"})[0]
        assert len(history.record(key).remarks) == 0
    assert history_of("correct", key, "--answer", "2", other, *why, *book) == 0
    capsys.readouterr()
    assert history_of("show", "first") == 0
    out = capsys.readouterr().out
    assert f"complaint {other.replace('_', ' ')}, corrected, it was: floods" in out
    assert "(misheard), by Kim" in out
    assert history_of("show", key[:6], "--json") == 0
    shown = json.loads(capsys.readouterr().out)
    assert (shown["events"][2]["answer"], shown["as_written"][2]["answer"]) == (other, "floods")
    assert "Kim" not in json.dumps(shown)


def complaints() -> list[str]:
    """Those of the small book."""
    from tests.tui.driver import small_book

    return list(small_book().complaints)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["correct", "KEY", "--answer", "9", "x"], "there is no answer 9"),
        (["correct", "KEY", "--cause", "gremlins"], "the book holds no cause 'gremlins'"),
        (["correct", "KEY", "--lost", "a lot"], "'a lot' is no number of minutes"),
        (["close", "KEY", "--cause", "gremlins"], "the book holds no cause 'gremlins'"),
        (["reopen", "KEY"], "has not ended"),
        (["note", "nobody", "text"], "there is no such callout"),
    ],
)
def test_a_change_that_cannot_be_is_told_of_and_changes_nothing(key, capsys, words, said):
    """Exit code 2."""
    book = [] if words[0] == "note" else ["--book", str(SMALL_BOOK)]
    assert history_of(*[key if word == "KEY" else word for word in words], *book) == 2
    assert said in capsys.readouterr().err
    with store() as history:
        assert len(history.record(key).kept) == 3


def test_a_callout_is_closed_opened_again_struck_and_brought_back(key, capsys):
    """Each shows in the list at once."""
    book = ["--book", str(SMALL_BOOK)]
    for words, said in (
        (["close", key, "--cause", "pilot_plugged", *book], "closed, pilot plugged"),
        (["reopen", key, *book], "floods, open"),
        (["strike", key, "--why", "made twice"], "STRUCK"),
        (["strike", key, "--restore"], "floods, open"),
        (["note", key, "rang back"], "floods, open"),
    ):
        assert history_of(*words) == 0
        assert said in capsys.readouterr().out
    with store() as history:
        assert len(history.record(key).kept) == 3 + 5


def test_callouts_go_to_another_laptop_and_back(key, capsys, tmp_path):
    """Export, merge, copy, bring back, rebuild; progress and talk are on stderr."""
    file, copy, away = (str(tmp_path / name) for name in ("out.jsonl", "copy", "away.sqlite"))
    assert history_of("export", "--callouts", file, "--only", key) == 0
    assert capsys.readouterr().out == ""
    assert history_of("merge", file, file, "--db", away) == 0
    assert capsys.readouterr().out == "1 new callouts, 0 with more in them, 1 known already.\n"
    assert history_of("backup", copy) == 0
    assert history_of("restore", copy, "--db", away) == 0
    assert history_of("rebuild", "--db", away) == 0
    assert "1 callouts read." in capsys.readouterr().out
    with History.open(away, lambda: "2026-02-01T00:00:00Z") as history:
        assert history.callouts()[0].caller == "Ann"


def test_a_bad_line_is_named_and_gives_code_2(key, capsys, tmp_path):
    """The others are taken."""
    path = tmp_path / "in.jsonl"
    assert history_of("export", "--callouts", str(path)) == 0
    path.write_text("rubbish\n" + path.read_text())
    assert history_of("merge", str(path), "--db", str(tmp_path / "away.sqlite")) == 2
    caught = capsys.readouterr()
    assert f"{path}:1: is not a callout" in caught.err
    assert caught.out == "1 new callouts, 0 with more in them, 0 known already, 1 lines left out.\n"


def test_the_settings_file_names_the_store_and_its_mistakes_are_told(key, capsys, tmp_path, monkeypatch):
    """The option goes over it."""
    settings = tmp_path / "settings.toml"
    monkeypatch.setenv("HALFSPLIT_CONFIG", str(settings))
    settings.write_text(f"db = '{tmp_path / 'named.sqlite'}'\n")
    assert history_of("list") == 0
    assert "no such callout" in capsys.readouterr().out
    assert (tmp_path / "named.sqlite").exists()
    for text, words in (
        ("dbb = 'x'\n", "dbb: is no setting"),
        ("db = 1\n", "db: is not a text"),
        ("=", "TOML"),
    ):
        settings.write_text(text)
        assert history_of("list") == 2
        assert words in capsys.readouterr().err


def test_rank_and_help_load_no_database():
    """Only what opens the store pays for it."""
    import subprocess

    from tests.tui.driver import ROOT

    code = (
        "import sys; from tui.__main__ import main; "
        "main(['rank', '--saw', 'complaint=wont_open']); "
        "sys.exit('sqlalchemy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True)
    assert done.returncode == 0
