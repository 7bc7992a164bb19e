"""`halfsplit walk`: what it takes, says and saves."""

import pytest

from diagnose.events import Event
from diagnose.spoken import OWN_LINES
from tests.helpers import write_book
from tests.tui.driver import SHEET, call_for_help, cure, new_walk
from tests.tui.typed import callouts, events_of, lines, run, store
from tui.folder import data_folder
from tui.stores import FILE
from tui.text import for_encoding


def test_a_whole_callout_goes_through_pipes():
    """To the cure, exit code 0, nothing on stderr, each event in the store, by the name at the end."""
    done = run("--plain", "--unit", str(SHEET), typed=lines(*cure()))
    assert (done.returncode, done.stderr) == (0, "")
    assert "CURED" in done.stdout
    (item,) = callouts()
    assert item.name in done.stdout.replace("\n", " ")
    assert (item.unit, item.ended) == ("Pad 7 [bold]V-101[/bold] separator", "cured")
    assert len(events_of(item)) == len(cure()) + 1


def test_starting_again_offers_the_open_callout():
    """Its number goes on with it, n starts a new one, the end of the input leaves without starting any."""
    run("--plain", typed=lines("1", "1"))
    offered = run("--plain")
    assert "1. Go on with unknown unit, 2 answers" in offered.stdout
    assert offered.returncode == 0
    assert len(callouts()) == 1
    assert "Question 3." in run("--plain", typed=lines("7", "1")).stdout
    assert "Question 1." in run("--plain", typed=lines("n")).stdout
    assert len(callouts()) == 2


def test_new_never_asks():
    """It starts at the first question although another callout is open."""
    run("--plain", typed=lines("1"))
    assert (
        run("--plain", "--new")
        .stdout.strip()
        .startswith("Unit: unknown unit. It is now: running. Question 1.")
    )


def test_resume_without_an_open_callout_says_so():
    """Closed ones do not count."""
    run("--plain", typed=lines(*call_for_help()))
    done = run("--plain", "--resume")
    assert done.returncode == 2
    assert "there is no open callout to go on with" in done.stderr


def test_a_damaged_store_is_told_of_and_left_as_it_is():
    """Exit code 2, the file named, and not a byte changed."""
    run("--plain", typed=lines("1"))
    path = data_folder(None) / FILE
    path.write_bytes(b"rubbish" * 999)
    done = run("--plain", "--resume")
    assert done.returncode == 2
    assert f"{path}: cannot be used: the file is not a history" in done.stderr
    assert path.read_bytes() == b"rubbish" * 999


def started(**opening: str) -> None:
    """A callout with two answers, as if it had been started with another opening."""
    events = new_walk(["1", "1"]).events
    first = events[0].model_copy(update={"opening": events[0].opening.model_copy(update=opening)})
    with store() as history:
        key = history.begin(first)
        for count, event in enumerate(events[1:], 1):
            history.append(key, event, count)


def test_a_callout_of_another_book_goes_on_when_it_replays_and_says_so():
    """The talk is on stderr."""
    started(book="0" * 64)
    done = run("--plain", "--resume")
    assert done.returncode == 0
    assert "was started with another book" in done.stderr
    assert "Question 3." in done.stdout


def test_a_callout_that_does_not_replay_says_why_not():
    """It names what the book does not hold, and the callout is left as it was."""
    run("--plain", typed=lines("1"))
    (item,) = callouts()
    strange = Event(at="2026-02-01T00:00:00Z", kind="complaint", id="complaint", answer="sulks")
    with store() as history:
        history.append(item.key, strange, 2)
    before = events_of(item)
    done = run("--plain", "--resume")
    assert done.returncode == 2
    assert "cannot go on with this book: the book does not hold 'sulks'" in done.stderr
    assert events_of(item) == before


def test_without_a_terminal_the_screen_is_refused():
    """It says to use --plain."""
    done = run()
    assert done.returncode == 2
    assert "--plain" in done.stderr
    assert callouts() == []


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["--unit", "no_such_unit"], "there is no unit sheet 'no_such_unit'"),
        (["--book", "no_such_book"], "holds no book"),
    ],
)
def test_a_wrong_name_is_the_persons_mistake(args, words):
    """Exit code 2 and a sentence, no traceback."""
    done = run("--plain", *args)
    assert done.returncode == 2
    assert words in done.stderr
    assert "Traceback" not in done.stderr


def test_a_data_folder_that_cannot_be_written_is_told_of(tmp_path):
    """Before the first question, not after the last."""
    (tmp_path / "file").touch()
    done = run("--plain", "--new", "--data", str(tmp_path / "file"))
    assert done.returncode == 2
    assert "cannot be used" in done.stderr


def test_the_listing_agrees_with_what_the_command_saved():
    """The answers that count, without the one taken back."""
    run("--plain", typed=lines("1", "1", "u"))
    assert callouts()[0].answers == 1


def test_names_are_kept_when_they_are_given_and_only_then():
    """Who called and who answered."""
    run("--plain", "--caller", "Ann", "--by", "Kim", typed=lines("1"))
    run("--plain", "--new", typed=lines("1"))
    named = next(item for item in callouts() if item.caller)
    assert (named.caller, [event.by for event in events_of(named)]) == ("Ann", ["Kim", "Kim"])
    (other,) = [item for item in callouts() if item != named]
    assert [event.by for event in events_of(other)] == ["", ""]


def test_a_named_unit_is_never_offered_another_units_callout():
    """Going on with the wrong vessel is worse than starting anew."""
    run("--plain", typed=lines("1"))
    asked = run("--plain", "--unit", str(SHEET))
    assert "Question 1." in asked.stdout
    assert "go on with" not in asked.stdout.lower()
    run("--plain", "--new", "--unit", str(SHEET), typed=lines("1"))
    mine = run("--plain", "--resume", "--unit", str(SHEET))
    assert "Unit: Pad 7 [bold]V-101[/bold] separator." in mine.stdout


def test_the_lines_to_speak_come_in_another_language(tmp_path):
    """Those of the book that are in it, and the program's own; answers and all else stay as they were."""
    said = {"triage": {"how_full": {"say_in": {"es": "¿Cuánto falta?"}}}}
    book = ["--book", str(write_book(tmp_path, said))]
    english = run("--plain", *book, "--new", typed=lines("2"))
    spanish = run("--plain", *book, "--new", "--lang", "es", typed=lines("2"))
    one, other = (done.stdout.splitlines() for done in (english, spanish))
    parted = [(a, b) for a, b in zip(one, other, strict=True) if a != b]
    assert parted == [
        ("How full is it?", for_encoding("¿Cuánto falta?", None)),
        ("Tell me what it does, or does not do.", for_encoding(OWN_LINES["es"]["complaint"], None)),
    ]
    assert (spanish.returncode, spanish.stderr) == (0, "")


def test_a_language_that_the_book_does_not_know_is_refused(tmp_path):
    """Code 2, before any question, and no callout is begun."""
    done = run("--plain", "--lang", "es", "--data", str(tmp_path / "kept"))
    assert (done.returncode, done.stdout) == (2, "")
    assert "--lang: the book is not spoken in 'es'" in done.stderr
    assert not (tmp_path / "kept").exists()
