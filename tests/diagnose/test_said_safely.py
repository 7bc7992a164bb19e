"""No text tells anybody to defeat a trip, and a page on which something is done defers to the site."""

import re
from itertools import chain, pairwise

import pytest

from diagnose.message import messages_of
from diagnose.own_words import SPANISH
from diagnose.phone_text import phone_words
from diagnose.procedures import fitted
from diagnose.steps import check_step, hold_step, not_now, repair_step
from diagnose.words import DEFER
from knowledge.book import SHIPPED, Book, load_book
from knowledge.translation import in_language, load_translation
from knowledge.words import HOLDS, hold_rank

BOOK = load_book()
BOOKS = {"en": BOOK, "es": in_language(BOOK, load_translation(SHIPPED, "es"))}
DEFEATS = {
    "en": r"\b(wedg|jumper|defeat|overrid|disabl|inhibit|bypass(es|ed|ing)? (the|a|any) (trip|shutdown))",
    "es": r"^(?=.*\bparos?\b).*\b(puente|trab[ae]\b|anul|bloque|deshabilit|desactiv|inhib|burl)",
}
"""Words for making a trip harmless."""
FORBIDS = {"en": r"\b(never|not|no)\b", "es": r"\b(nunca|no|ni)\b"}
DEEPER = HOLDS[HOLDS.index("supply off") :]


def texts_in(value: object) -> list[str]:
    """All texts in a model, whatever it is made of."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return list(chain.from_iterable(texts_in(part) for part in value.values()))
    if isinstance(value, list | tuple):
        return list(chain.from_iterable(texts_in(part) for part in value))
    return texts_in(value.model_dump()) if hasattr(value, "model_dump") else []


def every_text(book: Book) -> list[str]:
    """All that a person can be told out of a book and by the phone."""
    kinds = (book.causes, book.conditions, book.checks, book.facts, book.complaints, book.triage)
    more = (book.cautions, book.holds, book.procedures, book.cards, book.phone)
    own = list(SPANISH.values()) if book.language == "es" else list(SPANISH)
    return [*own, *chain.from_iterable(texts_in(kind) for kind in (*kinds, *more))]


def defeats(language: str, text: str) -> bool:
    """Whether a text speaks of making something harmless without forbidding it."""
    sentences = re.split(r"(?<=[.?!;])\s", text.lower())
    return any(re.search(DEFEATS[language], s) and not re.search(FORBIDS[language], s) for s in sentences)


@pytest.mark.parametrize("language", BOOKS)
def test_no_text_tells_anybody_to_defeat_a_trip(language):
    """Entries, cards, lines for the phone, steps, and what the program itself says."""
    texts = every_text(BOOKS[language])
    assert len(texts) > 3000
    assert [text for text in texts if defeats(language, text)] == []


def test_the_words_are_seen_where_they_stand():
    """So the test above can fail."""
    assert defeats("en", "Jumper the trip and go on.")
    assert defeats("en", "Look. Then bypass the trip.")
    assert not defeats("en", "Never block, wedge or jumper a trip.")
    assert defeats("es", "Puentee el paro.")
    assert not defeats("es", "Nunca anule un paro.")


@pytest.mark.parametrize("language", BOOKS)
def test_what_is_done_to_a_unit_defers_to_the_site_on_its_page_and_in_its_message(language):
    """The way into each hold, each way back, each repair; in the language of the page."""
    book = BOOKS[language]
    pages = [repair_step(book, name, "") for name in book.causes]
    for below, hold in pairwise(HOLDS):
        pages += [hold_step(book, below, hold, read, "") for read in ((), book.holds[hold].cautions)]
        pages.append(hold_step(book, hold, below, (), ""))
    words = DEFER if language == "en" else SPANISH[DEFER]
    for page in pages:
        assert page.defer == words
        assert words in " ".join(" ".join(messages_of(book, page, language)).split())
    assert phone_words(language).caution


@pytest.mark.parametrize("language", BOOKS)
def test_no_procedure_says_depressured_before_zero_is_proved(language):
    """Each procedure that goes so deep tells all steps of the way there, the proof among them."""
    book = BOOKS[language]
    proof = [
        step for step in book.holds["depressured"].steps if re.search("prove zero|compruebe", step.lower())
    ]
    assert proof
    deep = 0
    for name, procedure in book.procedures.items():
        if all(hold_rank(step.hold or HOLDS[0]) < hold_rank("depressured") for step in procedure.steps):
            continue
        deep += 1
        ways = [line.text for line in fitted(book, name).lines if line.kind == "way"]
        assert set(proof) <= set(ways), name
    assert deep


def test_a_check_whose_hold_is_not_reached_does_not_tell_how_it_is_made():
    """Its answer can be changed all the same."""
    deep = [name for name, check in BOOK.checks.items() if check.hold in DEEPER and check.steps]
    assert deep
    for name in deep:
        page = check_step(BOOK, name, "You asked to change this answer.", ())
        told = not_now(BOOK, page, "running")
        assert (told.steps, told.tools) == ((), ())
        assert f"it needs the unit to be {page.hold}" in told.why
        assert (told.choices, told.cautions) == (page.choices, page.cautions)
        assert not_now(BOOK, page, page.hold) == page
