"""What helps on the phone: from the book where it says so, built from the question where not."""

import re

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


SHIPPED = load_book()
SPOKEN_CAUTIONS = {
    "en": {
        "watch_glass": "glass",
        "blow_by": "glass|shows|can open",
        "gas_vents": "upwind|face",
        "sour_gas": "upwind|air|monitor|face",
        "stored_pressure": "slow|to the side|clear|zero|crack|poke|load",
        "stem_moves": "stem|hand|finger|can move|can open",
        "zero_proof": "zero",
        "hot_liquid": "hot|glove|hand|air|touch",
        "spring_load": "spring's load",
        "no_flame": "flame",
        "trip_stays": "shutdown|reset",
    },
    "es": {
        "watch_glass": "vidrio",
        "blow_by": "vidrio|se vea|abrir la descarga",
        "gas_vents": "viene el viento|cara",
        "sour_gas": "viento|aire|detector|cara",
        "stored_pressure": "espacio|de lado|enfrente|cero|tantito|pique|carga",
        "stem_moves": "vástago|mano|dedo|mover|abrir",
        "zero_proof": "cero",
        "hot_liquid": "caliente|quem|guante|mano|aire|tocar",
        "spring_load": "sin carga",
        "no_flame": "flama",
        "trip_stays": "paro|restablezca",
    },
}
"""How a caution is known in a line of twenty words; the caution itself is read out before it."""
ASKS_FOR_WHAT_IS_SEEN = {
    "en": r"(what|where|which|how|who|when|and|on)\b|.* or |.*: .*(what|where|how)",
    "es": r"(a |de |en |hasta |para )?(qué|dónde|cuál|cómo|cuánt[oa]s?|quién|cuándo|y)\b|.* o |.*: ",
}
"""How a question begins that cannot be answered by yes (or that names two things to choose from)."""
SHARED_WORDS = {"could_not_tell"}


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_shipped_book_has_help_for_each_of_its_questions(language):
    """Each answer of each of them has its words, none twice on one page."""
    assert language in languages(SHIPPED)
    assert set(SHIPPED.phone) == {*SHIPPED.triage, *SHIPPED.facts, *SHIPPED.checks}
    for name in SHIPPED.phone:
        step = triage_question(SHIPPED, name) if name in SHIPPED.triage else check_step(SHIPPED, name, "", {})
        lines = phone_lines(SHIPPED, step, language)
        own = SHIPPED.phone[name][language]
        assert own.hesitates, name
        assert set(lines.sounds) >= {choice.answer for choice in step.choices}, name
        assert set(own.sounds_like) | SHARED_WORDS >= {choice.answer for choice in step.choices}, name
        assert len({said.lower() for said in lines.sounds.values()}) == len(lines.sounds), name


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_is_said_to_one_who_hesitates_keeps_a_caution_of_its_check(language):
    """A shorter way of asking is no way round it."""
    known = SPOKEN_CAUTIONS[language]
    for name, check in SHIPPED.checks.items():
        said = SHIPPED.phone[name][language].hesitates.lower()
        assert set(check.cautions) <= set(known), name
        assert not check.cautions or any(re.search(known[caution], said) for caution in check.cautions), name


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_is_said_to_one_who_hesitates_cannot_be_answered_by_yes(language):
    """A tired caller says yes to please. Whether anybody is hurt is asked straight out."""
    for name, by_language in SHIPPED.phone.items():
        for question in re.findall(r"[^.?!¿]*\?", by_language[language].hesitates):
            asked = question.strip().lower()
            assert name in SHIPPED.triage or re.match(ASKS_FOR_WHAT_IS_SEEN[language], asked), (name, asked)


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_is_said_to_one_who_hesitates_is_short(language):
    """At most 140 characters: two lines at 80 columns."""
    assert max(len(by_language[language].hesitates) for by_language in SHIPPED.phone.values()) <= 140
