"""Copies, bringing them back, rebuilding, and what is kept before a migration."""

from pathlib import Path

import pytest

from diagnose.history.backup import back_up, restore
from diagnose.history.rebuild import rebuild
from diagnose.history.store import History, Wanted
from diagnose.history.tables import OVERVIEW
from knowledge.problems import InputProblems
from tests.diagnose.history.conftest import NOW
from tests.diagnose.history.records import event, opening, saved
from tests.diagnose.history.test_merge import text_of


def opened(name: str) -> History:
    """The store of that name."""
    return History.open(name, lambda: NOW)


def filled(history: History) -> str:
    """Some callouts, and all that is in them."""
    saved(history, opening("a", caller="Ann"), event(1, by="Kim"), event(2, "help"))
    history.remark(saved(history, opening("b"), event(3)), event(4, "struck"))
    return text_of(history)


def test_a_copy_brought_back_into_a_new_store_is_the_store(place, tmp_path):
    """Names of people too; a second time changes nothing; the copy is left as it was."""
    copy = tmp_path / "copy"
    with opened(place()) as history:
        before = filled(history)
        back_up(history, copy)
    raw = copy.read_bytes()
    name = place()
    assert restore(name, opened, copy).new == 2
    assert restore(name, opened, copy).known == 2
    with opened(name) as history:
        assert text_of(history) == before
    assert copy.read_bytes() == raw
    assert [path.name for path in tmp_path.glob("copy*")] == ["copy"]


def test_what_was_answered_after_the_copy_stays(place, tmp_path):
    """Bringing back adds and takes nothing away."""
    name, copy = place(), tmp_path / "copy"
    with opened(name) as history:
        filled(history)
        back_up(history, copy)
        saved(history, opening("later"), event(1))
        whole = text_of(history)
        assert restore(name, opened, copy).new == 0
        assert text_of(history) == whole


def test_a_damaged_file_is_set_aside_and_the_copy_takes_its_place(tmp_path):
    """It is not thrown away."""
    path, copy = tmp_path / "s.sqlite", tmp_path / "copy"
    with opened(str(path)) as history:
        before = filled(history)
        back_up(history, copy)
    path.write_bytes(b"rubbish" * 1000)
    assert restore(str(path), opened, copy).new == 2
    assert (tmp_path / "s.sqlite.damaged").read_bytes() == b"rubbish" * 1000
    with opened(str(path)) as history:
        assert text_of(history) == before


@pytest.mark.parametrize("raw", [b"SQLite format 3\0" + b"x" * 5000, b"SQLite format 3\0"])
def test_a_file_that_is_no_copy_is_refused_and_the_store_stays(place, tmp_path, raw):
    """By name, in words."""
    name = place()
    with opened(name) as history:
        before = filled(history)
    (tmp_path / "bad").write_bytes(raw)
    with pytest.raises(InputProblems, match="bad: is no copy of a history"):
        restore(name, opened, tmp_path / "bad")
    with opened(name) as history:
        assert text_of(history) == before


def test_what_follows_from_the_events_is_the_same_when_it_is_made_anew(history):
    """Also after somebody has spoilt all of it."""
    filled(history)
    before = history.callouts(Wanted(struck=True))
    assert len(before) == 2
    with history.writing() as connection:
        connection.execute(OVERVIEW.update().values(unit="spoilt", ended="spoilt", struck=False))
    assert history.callouts(Wanted(struck=True)) != before
    assert rebuild(history) == 2
    assert history.callouts(Wanted(struck=True)) == before
    with history.writing() as connection:
        connection.execute(OVERVIEW.delete())
    rebuild(history)
    assert history.callouts(Wanted(struck=True)) == before


def test_a_demo_and_real_callouts_are_never_mixed(place, tmp_path):
    """Neither by file nor by copy nor by opening the one as the other."""
    demo, real = place(), place()
    with History.open(demo, lambda: NOW, demo=True) as history:
        saved(history, opening("pretended"))
        back_up(history, tmp_path / "copy")
        Path(tmp_path / "demo.jsonl").write_text(text_of(history), encoding="utf-8")
    from diagnose.history.travel import merge

    with opened(real) as history:
        (problem,) = merge(history, [tmp_path / "demo.jsonl"]).problems
        assert "demo.jsonl:1: is of a demo" in str(problem)
    copied = restore_or_problem(real, tmp_path / "copy")
    assert "is of a demo" in copied
    with opened(real) as history:
        assert history.callouts() == []
    with pytest.raises(InputProblems, match="is for real callouts"):
        History.open(real, lambda: NOW, demo=True)
    with opened(demo) as history:
        assert history.demo


def restore_or_problem(name: str, copy: Path) -> str:
    """What bringing a copy back says that is wrong."""
    try:
        return "\n".join(map(str, restore(name, opened, copy).problems))
    except InputProblems as error:
        return str(error)
