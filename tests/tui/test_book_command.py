"""`book` from the command line: its lists, entries, checks and schema."""

import json
import re

import pytest

from knowledge import vocabulary
from knowledge.schema import BookFile
from tests.helpers import check, write_book
from tests.tui.two_causes import written
from tui.__main__ import main


@pytest.fixture
def few_words(tmp_path_factory, monkeypatch):
    """A plain list that holds every word that the invented books speak."""
    path = tmp_path_factory.mktemp("words") / "words.txt"
    path.write_text("broken does is it look at wrong", encoding="utf-8")
    monkeypatch.setattr(vocabulary, "PLAIN_WORDS", path)
    vocabulary.plain_words.cache_clear()
    yield
    vocabulary.plain_words.cache_clear()


@pytest.mark.parametrize("kind", ["causes", "conditions", "checks", "facts", "complaints"])
def test_book_list_names_every_entry(kind, capsys):
    """One line each, or as JSON."""
    assert main(["book", "list", kind]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert main(["book", "list", kind, "--json"]) == 0
    entries = json.loads(capsys.readouterr().out)[kind]
    assert [line.split("\t") for line in lines] == [[entry["id"], entry["title"]] for entry in entries]


@pytest.mark.parametrize("name", ["vent_blocked", "output_stuck", "supply_gauge", "fails", "wont_open"])
def test_book_show_shows_an_entry_with_its_place(name, tmp_path, capsys):
    """Of whatever kind it is."""
    assert main(["book", "show", name, "--json", "--book", str(write_book(tmp_path))]) == 0
    entry = json.loads(capsys.readouterr().out)
    assert entry["id"] == name
    assert ".yaml:" in entry["place"]


def test_book_show_offers_the_nearest_name(tmp_path, capsys):
    """A slip of the finger is mended in one look."""
    assert main(["book", "show", "vent_bloked", "--book", str(write_book(tmp_path))]) == 2
    assert "Did you mean vent_blocked?" in capsys.readouterr().err


def test_book_check_of_the_shipped_book_finds_no_problem(capsys):
    """Hints it may have; every pair that is not told apart says why."""
    assert main(["book", "check", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["problems"] == []
    assert found["band"] != "refused"
    assert all(pair["because"] for pair in found["pairs"])


def test_book_check_of_a_sound_book_says_how_large_it_is(tmp_path, capsys, few_words):
    """Counts and table cells; no hint, no pair, code 0."""
    weaker = {"disc_bent": {"leads_to": {"stays_shut": "often"}}}
    assert main(["book", "check", written(tmp_path, causes=weaker)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    lines = out.splitlines()
    assert lines[0] == "2 causes, 1 conditions, 2 checks, 0 facts, 1 complaints, 0 cards"
    assert re.fullmatch(r"\d+ table cells at most, with nothing known of the unit: green", lines[1])
    assert lines[2:] == []


def test_a_book_with_hints_alone_passes(tmp_path, capsys, few_words):
    """Code 0: a word above the plain list, and a check that shows the same of everything."""
    same = check([{"given": "seat_cut", "then": {"yes": 0.7}}, {"then": {"yes": 0.7}}])
    spoken = {"look": {"say": "Look at the actuator."}, "same": same}
    folder = written(tmp_path, checks=spoken)
    assert main(["book", "check", folder]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    hints = [line for line in out.splitlines() if line.startswith("hint: book.yaml:")]
    assert any("plain list: actuator, the" in line for line in hints)
    assert any("same: it tells no two causes apart in any standard set-up" in line for line in hints)


def test_a_book_with_a_problem_gives_code_1(tmp_path, capsys, few_words):
    """Two causes that only a look inside parts: the problem is on stderr, the pair is listed."""
    folder = written(tmp_path, checks={"look": {"hold": "open"}})
    assert main(["book", "check", folder]) == 1
    out, err = capsys.readouterr()
    assert re.search(
        r"^book.yaml:\d+: seat_cut: no check made without opening anything tells it from disc_bent", err
    )
    assert "\n 0.00  A fault / A fault\n       seat_cut, disc_bent; any; NOT EXPLAINED\n" in out


@pytest.mark.parametrize(
    ("told", "because"),
    [
        ({"told_when_open": "Both sit inside."}, "Both sit inside."),
        ({"same_repair_as": "disc_bent"}, "the same repair"),
    ],
)
def test_a_pair_that_the_book_explains_is_listed_and_is_no_problem(
    told, because, tmp_path, capsys, few_words
):
    """Code 0, with the reason beside it."""
    folder = written(tmp_path, causes={"seat_cut": told}, checks={"look": {"hold": "open"}})
    assert main(["book", "check", folder]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    assert f"seat_cut, disc_bent; any; {because}\n" in out


@pytest.mark.parametrize("hold", ["running", "open"])
def test_book_check_as_json_has_everything(hold, tmp_path, capsys):
    """Problems and hints with their place, counts, cells of each complaint, the band, and the pairs."""
    assert main(["book", "check", written(tmp_path, checks={"look": {"hold": hold}}), "--json"]) == (
        hold == "open"
    )
    found = json.loads(capsys.readouterr().out)
    assert set(found) == {"schema_version", "problems", "hints", "counts", "cells", "band", "pairs"}
    assert found["counts"] == {
        "causes": 2,
        "conditions": 1,
        "checks": 2,
        "facts": 0,
        "complaints": 1,
        "cards": 0,
    }
    assert list(found["cells"]) == ["wont_open"]
    assert found["cells"]["wont_open"] > 0
    assert found["band"] == "green"
    if hold == "running":
        assert (found["problems"], found["pairs"]) == ([], [])
        return
    (problem,), (pair,) = found["problems"], found["pairs"]
    assert set(problem) == {"place", "field", "what", "mend"}
    assert problem["field"] == pair["one"] == "seat_cut"
    assert set(pair) == {"setup", "one", "other", "bits", "check", "because"}


def test_a_book_that_is_wrong_in_its_graph_is_not_weighed(tmp_path, capsys):
    """Code 1, and the band is that of a book that cannot be reasoned over."""
    folder = written(tmp_path, conditions={"orphan": {"title": "Orphan"}})
    assert main(["book", "check", folder, "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert "no cause brings this condition about" in [problem["what"] for problem in found["problems"]]
    assert (found["cells"], found["band"], found["pairs"]) == ({}, "refused", [])


def test_book_check_names_file_and_line_of_every_mistake(tmp_path, capsys):
    """And gives code 2."""
    (tmp_path / "a.yaml").write_text("section: valve\ncauses:\n  x: {title: X}\ntitel: no\n")
    assert main(["book", "check", str(tmp_path)]) == 2
    err = capsys.readouterr().err
    assert "a.yaml:3: causes.x.base: is missing" in err
    assert "a.yaml:4: titel: is not a known field" in err


def test_book_schema_is_the_schema_of_a_books_file(capsys):
    """What an editor completes from."""
    assert main(["book", "schema"]) == 0
    assert json.loads(capsys.readouterr().out) == BookFile.model_json_schema()
