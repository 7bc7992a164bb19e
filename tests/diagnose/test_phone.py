"""What helps on the phone: from the book where it says so, built from the question where not."""

import pytest

from diagnose.events import COULD_NOT_TELL
from diagnose.phone import phone_lines
from diagnose.phone_text import phone_words
from diagnose.spoken import languages
from diagnose.steps import check_step, complaint_step, repair_step, triage_question
from knowledge.book import Book, load_book
from tests.helpers import tiny_book

HELP = {
    "phone": {
        "supply_gauge": {
            "en": {"hesitates": "Tap it first.", "sounds_like": {"none": "It's on the pin"}},
            "es": {"sounds_like": {"none": "Está hasta abajo"}},
        }
    }
}
LEAST = 40
"""Questions of the shipped book that have help of their own: those that are advised most."""


@pytest.fixture(scope="module")
def book() -> Book:
    """The tiny book with help for one check."""
    return tiny_book(HELP)


def test_the_books_own_help_comes_first(book):
    """In the language that is spoken."""
    step = check_step(book, "supply_gauge", "", {})
    lines = phone_lines(book, step, "en")
    assert (lines.hesitates, lines.sounds["none"]) == ("Tap it first.", "It's on the pin")
    assert phone_lines(book, step, "es").sounds["none"] == "Está hasta abajo"


def test_without_help_the_first_steps_are_said_or_what_right_looks_like(book):
    """Of the question itself."""
    steps = tiny_book({"checks": {"stem_moves": {"steps": ["Stand clear.", "Lift.", "Look."]}}})
    step = check_step(steps, "stem_moves", "", {})
    assert phone_lines(steps, step, "en").hesitates == "Stand clear. Lift."
    assert (
        phone_lines(book, check_step(book, "stem_moves", "", {}), "en").hesitates
        == "A right one: It is right."
    )


def test_in_a_language_that_the_book_has_not_the_program_says_its_own_line(book):
    """By the kind of step."""
    step = check_step(book, "supply_gauge", "", {})
    assert phone_lines(book, step, "es").hesitates == phone_words("es").hesitates["check"]
    repair = repair_step(book, "supply_lost", "")
    assert phone_lines(book, repair, "es").hesitates == phone_words("es").hesitates["repair"]


def test_what_cannot_be_told_sounds_like_something_too(book):
    """For every check; a complaint sounds as the book has callers say it."""
    step = check_step(book, "trim_seen", "", {})
    assert phone_lines(book, step, "en").sounds[COULD_NOT_TELL] == phone_words("en").cannot_tell
    assert phone_lines(book, complaint_step(book, 0), "en").sounds["wont_open"] == "It does it wrong"


def test_the_program_has_a_line_for_every_kind_of_step_in_both_languages():
    """None is silent."""
    english, spanish = phone_words("en"), phone_words("es")
    assert english.hesitates.keys() == spanish.hesitates.keys()
    assert english != spanish


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_shipped_book_has_help_for_its_most_asked_questions(language):
    """Danger first; each answer of each of them has its words."""
    shipped = load_book()
    assert language in languages(shipped)
    assert set(shipped.triage) <= set(shipped.phone)
    assert len(shipped.phone) >= LEAST
    for name in shipped.phone:
        step = triage_question(shipped, name) if name in shipped.triage else check_step(shipped, name, "", {})
        lines = phone_lines(shipped, step, language)
        assert lines.hesitates
        assert set(lines.sounds) >= {choice.answer for choice in step.choices}, name
