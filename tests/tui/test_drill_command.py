"""`halfsplit drill` from the command line, in lines."""

import io
import json
from functools import cache

import pytest

from diagnose.trial.policies import Desk
from knowledge.book import load_book
from tui.__main__ import main
from tui.commands.drill import seed_of

ARGS = ["drill", "--seed", "1", "--fault", "supply_shut", "--set-up", "snap_direct_water"]


@cache
def desk(facts: tuple[tuple[str, str], ...]) -> Desk:
    return Desk(load_book(), dict(facts))


@pytest.fixture(autouse=True)
def one_desk(monkeypatch):
    """What was worked out on one drill is at hand for the next, which makes it quicker and nothing else."""
    monkeypatch.setattr("diagnose.trial.drill.desk_for", lambda _, unit, __: desk(tuple(unit.facts.items())))


@pytest.fixture
def typing(monkeypatch):
    """Puts lines on the input."""

    def put(*lines: str) -> None:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))

    return put


NAME_IT = ["fault supply valve shut", "1", "1"]


def test_a_drill_is_played_through_in_lines(capsys, typing):
    """A check by words, the fault by words, the cure, and both walks side by side."""
    typing("pressure before regulator", "1", "1", *NAME_IT)
    assert main([*ARGS, "--level", "hard"]) == 0
    out = capsys.readouterr().out
    assert "Drill, hard, seed 1." in out
    assert "halfsplit drill --seed 1 --level hard --fault supply_shut --set-up snap_direct_water" in " ".join(
        out.split()
    )
    assert "The call: " in out
    assert "CURED after " in out
    assert "What was wrong: Supply valve shut." in out
    assert "You: 1 check, 0 wrong repairs. The tool: " in out
    assert "You, minutes and steps                  The tool, minutes and steps" in out
    assert all(len(line) <= 78 for line in out.splitlines() if "Your choice" not in line)


def test_an_offered_check_is_made_by_its_number_and_adds_its_minutes(capsys, typing):
    """The page tells what it needs and costs first; `2` leaves it alone."""
    typing("1", "2", "1", "1", "seen", "q")
    assert main(ARGS) == 0
    out = capsys.readouterr().out
    assert out.count("The unit is running. 0 min so far.") >= 3
    assert "Costs " in out
    assert "so far" in out.rpartition("0 min so far.")[2]
    assert out.endswith("Left. A drill is not kept.\n")


def test_the_list_goes_by_section(capsys, typing):
    """Section, then check."""
    typing("list", "4", "1", "q")
    assert main(ARGS) == 0
    out = capsys.readouterr().out
    assert "4. supply (" in out
    assert "1. Make this check" in out


def test_what_is_typed_wrong_is_told_and_nothing_is_lost(capsys, typing):
    """Then it goes on as before."""
    typing("5 psi", "zzzz", "xy", "fault zzzz", "list", "99", "", "?", "44", *NAME_IT)
    assert main([*ARGS, "--level", "hard"]) == 0
    out = capsys.readouterr().out
    assert "No check that can be made now has all of: zzzz." in out
    assert "No fault in the book has all of: zzzz." in out
    assert "Words of three letters or more count." in " ".join(out.split())
    assert "There is no '99' in the list. Nothing is changed." in out
    assert "There is no answer 44 here." in out
    assert "fault plugged: name the fault" in out
    assert "CURED after " in out


def test_giving_up_tells_what_was_wrong(capsys, typing):
    """And shows the tool's walk all the same."""
    typing("give up")
    assert main(ARGS) == 0
    out = capsys.readouterr().out
    assert "GIVEN UP after 0 min." in out
    assert "What was wrong: Supply valve shut." in out
    assert "in all" in out


def test_the_end_of_the_input_and_ctrl_c_leave_cleanly(capsys, monkeypatch):
    """Code 0, as the walk does."""

    class Broken(io.StringIO):
        def __next__(self):
            raise KeyboardInterrupt

    for stream in (io.StringIO(""), Broken()):
        monkeypatch.setattr("sys.stdin", stream)
        assert main(ARGS) == 0
        assert capsys.readouterr().out.endswith("Left. A drill is not kept.\n")


def test_watching_shows_each_step_with_its_reason_and_the_minutes_so_far(capsys):
    """To the cure."""
    assert main([*ARGS, "--watch"]) == 0
    out = capsys.readouterr().out
    assert "Why: " in out
    assert "min so far." in out
    assert "CURED after " in out
    assert "What was wrong: Supply valve shut." in out


def test_json_holds_the_outcome_and_the_talk_goes_elsewhere(capsys, typing):
    """Own and tool's steps add up to their minutes; a drill that was left has no tool's side."""
    typing(*NAME_IT)
    assert main([*ARGS, "--json"]) == 0
    out, err = capsys.readouterr()
    found = json.loads(out)
    assert "CURED after " in err
    assert (found["schema_version"], found["seed"], found["set_up"]) == (1, 1, "snap_direct_water")
    assert [row["id"] for row in found["faults"]] == ["supply_shut"]
    for side in (found["own"], found["tool"]):
        assert sum(step["minutes"] for step in side["steps"]) == pytest.approx(side["minutes"])
    assert found["minutes_more"] == pytest.approx(found["own"]["minutes"] - found["tool"]["minutes"])
    typing("q")
    assert main([*ARGS, "--json"]) == 0
    left = json.loads(capsys.readouterr().out)
    assert (left["own"]["ended"], left["tool"], left["minutes_more"]) == (None, None, None)


def test_json_of_a_watched_drill_holds_the_steps_with_reasons(capsys):
    """Nothing else is printed."""
    assert main([*ARGS, "--watch", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["tool"]["ended"] == "cured"
    assert any(step["why"] for step in found["tool"]["steps"])
    assert "own" not in found


def test_mistakes_are_told_with_code_2(capsys):
    """Before anything is played."""
    assert main(["drill", "--seed", "1", "--fault", "vent_bloked", "--set-up", "snap"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Did you mean vent_blocked?" in err
    assert "--set-up" in err


def test_without_a_seed_one_is_taken_from_the_clock_and_told(capsys, typing, monkeypatch):
    """So that the vessel can be had again."""
    monkeypatch.setattr("tui.clock.utc_now", lambda: "2026-01-31T00:00:07Z")
    typing("q")
    assert main(["drill", "--fault", "supply_shut", "--level", "hard"]) == 0
    assert "seed 7." in capsys.readouterr().out
    assert seed_of("2026-01-31T23:59:59Z") == 235959
