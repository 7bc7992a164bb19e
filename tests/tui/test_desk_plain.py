"""The desk by lines."""

import io

import pytest

from diagnose.trip import Left
from diagnose.walk import Walk
from tests.tui.desk_driver import NOW, SAY_ES, desk_on
from tests.tui.driver import SHEET, told
from tui.desk import Desk
from tui.desk_lines import place_lines
from tui.desk_message import message_file, write_message
from tui.desk_plain import DeskTalk


class Pipe(io.StringIO):
    """A stream that takes every character."""

    encoding = "utf-8"


def talk(desk: Desk, folder, *lines: str) -> str:
    """What is said when these lines are typed, on one line."""
    out = Pipe()
    assert DeskTalk(desk, iter(f"{line}\n" for line in lines), out, folder).run() == 0
    return " ".join(out.getvalue().split())


def test_callouts_are_begun_and_taken_in_turn(tmp_path):
    """Each answer goes to the one that is taken."""
    with desk_on(tmp_path) as desk:
        said = talk(desk, tmp_path, f"new {SHEET} for Kim", "1", "new", "2", "take 1", "1", "list")
        assert [place.overview.caller for place in desk.places] == ["Kim", ""]
        assert told(desk.open(1).walk.events)[1:] == [
            ("triage", "danger", "steady", ""),
            ("complaint", "complaint", "floods", ""),
        ]
        assert told(desk.open(2).walk.events)[1:] == [("triage", "danger", "near", "")]
    assert "1. Kim, Pad 7 [bold]V-101[/bold] separator, for 35 min. Trip: No. It is steady." in said
    assert "Last: How near is it to trouble? Yes. It is close to the trip" in said
    assert said.endswith("Left. Everything is saved.")


def test_the_page_says_what_helps_on_the_phone(tmp_path):
    """What to say to one who hesitates, and how an answer may sound."""
    with desk_on(tmp_path) as desk:
        said = talk(desk, tmp_path, "new")
    assert "If they hesitate: Walk up to the glass." in said
    assert "They may say: 2 “It's right at the top”" in said


def test_text_gives_the_message_and_its_file(tmp_path):
    """The file holds what was said."""
    with desk_on(tmp_path) as desk:
        said = talk(desk, tmp_path, "new", "text", "q", "text")
        text = message_file(tmp_path, desk.places[0].overview.name).read_text(encoding="utf-8")
    assert "Answer with the number." in text
    assert " ".join(text.split()) in said


def test_the_language_changes_by_a_line(tmp_path):
    """And one that the book has not is told of."""
    with desk_on(tmp_path) as desk:
        said = talk(desk, tmp_path, "new", "lang es", "lang xx", "q")
    assert SAY_ES in said
    assert "the book is not spoken in 'xx'" in said
    assert "Mesa: 1 abiertas" in said


def test_a_name_of_an_answer_is_an_answer_and_no_word_of_the_desk(tmp_path):
    """`in` and `out` are answers to some questions."""
    with desk_on(tmp_path) as desk:
        talk(desk, tmp_path, "new", "near")
        assert desk.open(1).walk.state.triage == {"danger": "near"}


@pytest.mark.parametrize(
    ("line", "told_so"),
    [
        ("take 7", "There is no callout 7 on the desk."),
        ("take", "There is no callout on the desk."),
        ("new nowhere.yaml", "there is no unit sheet 'nowhere.yaml'"),
        ("in nowhere.jsonl", "cannot be read"),
        ("out 1", "There is no callout 1 on the desk."),
        ("sing", "list: all callouts on the desk"),
    ],
)
def test_a_line_that_cannot_be_done_is_answered_in_words(tmp_path, line, told_so):
    """And the desk goes on."""
    with desk_on(tmp_path) as desk:
        said = talk(desk, tmp_path, line, "list")
    assert told_so in said
    assert said.endswith("Left. Everything is saved.")


def test_a_hand_over_does_not_write_over_a_file(tmp_path):
    """What is there may be somebody else's."""
    file = tmp_path / "there.jsonl"
    file.write_text("mine")
    with desk_on(tmp_path) as desk:
        said = talk(desk, tmp_path, "new", f"out 1 {file}")
    assert "the file is there already. Name another one." in said
    assert file.read_text() == "mine"


def test_taking_a_file_in_twice_changes_nothing(tmp_path):
    """Also at the desk that it comes from."""
    file = tmp_path / "one.jsonl"
    with desk_on(tmp_path) as desk:
        said = talk(desk, tmp_path, "new for Kim", "1", f"out 1 {file}", f"in {file}", "list")
        assert len(desk.places) == 1
    assert "Nothing new is in that file." in said
    assert f"Handed over at 12:35 UTC, file {file.name}" in said


def test_a_message_takes_the_place_of_the_one_before(tmp_path):
    """One file for each callout."""
    path = message_file(tmp_path, "a-callout")
    write_message(path, ["first"])
    write_message(path, ["second", "third"])
    assert path.read_text(encoding="utf-8") == "second\n\nthird\n"
    assert [entry.name for entry in path.parent.iterdir()] == ["a-callout.txt"]


def test_minutes_to_the_trip_are_rounded_to_what_is_true_of_them(tmp_path, monkeypatch):
    """As on the callout's own page: at least goes down, at most goes up."""
    with desk_on(tmp_path) as desk:
        place = desk.begin(None, "Kim")
        desk.open(place.number)
        for bound, minutes in (("over", 41), ("about", 41), ("under", 42)):
            monkeypatch.setattr(Walk, "trip", lambda walk, bound=bound: Left(41.5, bound, 0))
            assert place_lines(desk, place, NOW).trip == f"Trip: {bound} {minutes} min"
