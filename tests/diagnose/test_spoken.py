"""The sentence to speak, in the language of the one who hears it."""

import pytest

from diagnose.events import Event
from diagnose.opening import open_callout
from diagnose.question import understand
from diagnose.report import rank
from diagnose.sheet import Unit
from diagnose.spoken import ENGLISH, OWN_LINES, known_language, languages, say, spoken
from diagnose.steps import Step
from diagnose.walk import Walk
from knowledge.book import Book, load_book
from knowledge.problems import InputProblems
from tests.diagnose.test_procedures import CAUTIONS, WAYS
from tests.helpers import tiny_book

IN_SPANISH = {
    "checks": {name: {"say_in": {"es": f"Mire {name}."}} for name in ("supply_gauge", "drop_seen")},
    "facts": {"season": {"say_in": {"es": "¿Hace frío?"}}},
    "complaints": {"wont_open": {"say_in": {"es": "No abre"}}},
    "triage": {"how_full": {"say_in": {"es": "¿Cuánto falta?", "fr": "Combien ?"}}},
}


@pytest.fixture(scope="module")
def book() -> Book:
    """The tiny book, some of it in Spanish and one line in French."""
    return tiny_book(IN_SPANISH)


def test_a_book_is_spoken_in_english_and_in_what_its_lines_are_in(book):
    """English first, though no line says so."""
    assert languages(book) == ["en", "es", "fr"]
    assert languages(tiny_book()) == [ENGLISH]


def test_a_language_that_the_book_is_not_spoken_in_is_refused(book):
    """With the nearest one that it is."""
    assert known_language(book, "es") == "es"
    with pytest.raises(InputProblems, match="the book is not spoken in 'de'"):
        known_language(book, "de")
    with pytest.raises(InputProblems, match="the book is not spoken in 'es'"):
        known_language(tiny_book(), "es")


@pytest.mark.parametrize(
    ("kind", "name", "line"),
    [
        ("check", "supply_gauge", "Mire supply_gauge."),
        ("check", "season", "¿Hace frío?"),
        ("check", "trim_seen", "Look."),
        ("triage", "how_full", "¿Cuánto falta?"),
    ],
)
def test_a_question_is_asked_in_the_language_or_in_english(book, kind, name, line):
    """A line that nobody put into Spanish is better than none."""
    assert say(book, kind, name, "Look.", "es") == line
    assert say(book, kind, name, "Look.", "en") == "Look."


@pytest.mark.parametrize("language", OWN_LINES)
@pytest.mark.parametrize("kind", OWN_LINES["es"])
def test_what_the_program_itself_says_is_said_in_every_language_it_knows(book, language, kind):
    """No kind of step is forgotten in any of them."""
    assert OWN_LINES[language][kind]
    again = kind.endswith(" again")
    plain = kind.removesuffix(" again")
    assert say(book, plain, "complaint", "Now?", language, again) == OWN_LINES[language][kind]
    assert say(book, plain, "complaint", "Now?", "fr", again) == "Now?"


def test_only_the_complaint_is_asked_in_another_way_after_a_repair(book):
    """Everything else is said as before."""
    for kind in OWN_LINES["es"]:
        if kind not in ("complaint", "complaint again"):
            assert say(book, kind, "x", "Now.", "es", again=True) == OWN_LINES["es"][kind]
    assert say(book, "check", "season", "Now.", "es", again=True) == "¿Hace frío?"


def test_only_the_line_of_a_step_changes(book):
    """Its heading, its answers and its cautions stay in the book's words."""
    step = Step("check", "season", "Which is it?", "Look.", ())
    other = spoken(book, step, "es")
    assert (other.say, other.heading, other.choices) == ("¿Hace frío?", step.heading, step.choices)
    assert spoken(book, step, "en") == step


def steps_of_a_walk(language: str) -> list[Step]:
    """Every page of one callout on the tiny book that goes to a cure by the first answers."""
    book = tiny_book({**IN_SPANISH, "holds": WAYS, "cautions": CAUTIONS})
    first = open_callout("test", Unit("V-1"), book, "2026-01-31T12:00:00Z")
    walk = Walk(book, [first], lambda event: None, lambda: "2026-01-31T12:00:01Z", language=language)
    pages = []
    while (step := walk.view().step) and len(pages) < 60:
        pages.append(step)
        walk.answer(step.choices[0].key)
    return pages


def test_a_walk_speaks_the_language_and_asks_the_same(book):
    """The same pages in the same order; each line is that of `say`."""
    english, spanish = steps_of_a_walk("en"), steps_of_a_walk("es")
    assert [(page.kind, page.id) for page in english] == [(page.kind, page.id) for page in spanish]
    for one, other in zip(english, spanish, strict=True):
        assert other.say == say(book, one.kind, one.id, one.say, "es")
        assert other.choices == one.choices
    assert {"triage", "notice", "complaint", "check"} <= {page.kind for page in english}
    assert any(one.say != other.say for one, other in zip(english, spanish, strict=True))


def test_after_a_repair_in_vain_the_complaint_is_asked_anew_in_the_language(book):
    """By its own line."""
    first = open_callout("test", Unit("V-1"), book, "2026-01-31T12:00:00Z")
    given = [("triage", "how_full", "far"), ("complaint", "complaint", "wont_open")]
    given += [("repair", "supply_lost", "done"), ("prove", "supply_lost", "not_cured")]
    events = [Event(at="2026-01-31T12:00:01Z", kind=k, id=i, answer=a) for k, i, a in given]
    walk = Walk(book, [first, *events], lambda event: None, lambda: "", language="es")
    step = walk.view().step
    assert (step.kind, step.say) == ("complaint", OWN_LINES["es"]["complaint again"])


def test_rank_gives_the_line_to_speak_in_the_language(book):
    """And everything else as it is."""
    question = understand(book, Unit(), ["fails=closed"], ["complaint=wont_open"], "running")
    english = rank(book, Unit(), question)
    spanish = rank(book, Unit(), question, language="es")
    advice = english["advice"]
    assert spanish["advice"] == {
        **advice,
        "say": say(book, advice["kind"], advice["id"], advice["say"], "es"),
    }
    assert {**spanish, "advice": None} == {**english, "advice": None}
    assert spanish["advice"]["say"].startswith("Mire ")


def test_every_line_of_the_program_is_there_for_each_language_of_the_shipped_book():
    """A book in a language in which the program is dumb would be half of it in English."""
    assert set(languages(load_book())) - {ENGLISH} <= set(OWN_LINES)
