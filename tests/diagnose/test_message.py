"""A step as a message: short, whole, and with every caution in it."""

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.callout import State
from diagnose.events import CANNOT
from diagnose.help_step import help_step
from diagnose.message import LIMIT, messages_of, numbered, packed
from diagnose.phone_text import phone_words
from diagnose.proof_step import prove_step
from diagnose.spoken import languages, spoken
from diagnose.steps import (
    Step,
    check_step,
    complaint_step,
    hold_step,
    repair_step,
    triage_question,
    triage_step,
)
from knowledge.book import SHIPPED, Book, load_book
from knowledge.translation import in_language, load_translation
from knowledge.words import HOLDS

BOOK = load_book()


def every_step(book: Book) -> list[Step]:
    """Every page that a callout on this book can come to."""
    steps = [check_step(book, name, "", {}) for name in (*book.checks, *book.facts)]
    steps += [complaint_step(book, epoch) for epoch in (0, 1)]
    for name, question in book.triage.items():
        steps.append(triage_question(book, name))
        for answer in question.outcomes:
            answers = {other: next(iter(asked.outcomes)) for other, asked in book.triage.items()}
            told = frozenset(book.triage) - {name}
            notice = triage_step(book, State("V-1", {}, {}, triage={**answers, name: answer}, told=told))
            steps += [notice] if notice else []
    for below, target in pairwise(HOLDS):
        names = book.holds[target].cautions
        steps += [hold_step(book, below, target, names[:read], "") for read in range(len(names) + 1)]
        steps.append(hold_step(book, target, below, (), ""))
    for cause in book.causes:
        steps += [repair_step(book, cause, ""), prove_step(book, cause)]
    return [*steps, help_step(book, State("V-1", {}, {}), [("A fault", 0.4)])]


BOOKS = {"en": BOOK, "es": in_language(BOOK, load_translation(SHIPPED, "es"))}
STEPS = every_step(BOOK)


def words_of(messages: tuple[str, ...]) -> list[str]:
    """The words of all parts in order, without the parts' numbers."""
    whole = [re.sub(r"^\d+/\d+ ", "", part) for part in messages] if len(messages) > 1 else list(messages)
    return " ".join(whole).split()


def holds_in_order(words: list[str], text: str) -> bool:
    """Whether the words of the text stand there one after the other."""
    wanted = text.split()
    return any(words[at : at + len(wanted)] == wanted for at in range(len(words) - len(wanted) + 1))


def test_the_pages_are_all_there():
    """Holds both ways with each caution on a page of its own, two pages for each cause, all questions."""
    kinds = {step.kind for step in STEPS}
    assert kinds == {"triage", "notice", "complaint", "check", "caution", "hold", "repair", "prove", "help"}
    assert {step.id for step in STEPS if step.kind == "check"} == {*BOOK.checks, *BOOK.facts}
    read = {step.choices[0].answer for step in STEPS if step.kind == "caution"}
    assert read == {name for hold in BOOK.holds.values() for name in hold.cautions}


def test_the_book_is_there_in_every_language_that_is_spoken():
    """So the pages below are those that a person gets."""
    assert set(BOOKS) == set(languages(BOOK))
    assert {step.cautions for step in every_step(BOOKS["es"])}.isdisjoint(
        {step.cautions for step in STEPS if step.cautions}
    )


@pytest.mark.parametrize("language", BOOKS)
def test_every_page_of_the_shipped_book_goes_into_messages_of_under_300_characters(language):
    """Each caution, line to say, step and answer with its number stands in them word for word."""
    book = BOOKS[language]
    for page in every_step(book):
        step = spoken(book, page, language)
        messages = messages_of(book, step, language)
        assert messages
        assert all(len(part) < LIMIT for part in messages), step.id
        words = words_of(messages)
        for caution in step.cautions:
            assert holds_in_order(words, f"{phone_words(language).caution}: {caution}"), (step.id, caution)
        done = step.steps if step.kind != "check" else ()
        for text in (step.say, *done, *(f"{choice.key} {choice.label}" for choice in step.choices)):
            assert holds_in_order(words, text), (step.id, text)


def test_a_check_is_one_message_unless_its_cautions_ask_for_more():
    """A hand answers most questions from one message."""
    for step in STEPS:
        if step.kind == "check" and not step.cautions:
            assert len(messages_of(BOOK, step, "en")) == 1, step.id


def test_cautions_come_before_what_is_to_be_done():
    """Also where they fill a message of their own."""
    for step in STEPS:
        if step.cautions:
            text = " ".join(words_of(messages_of(BOOK, step, "en")))
            assert text.index(step.cautions[-1]) < text.rindex(step.say[:20])


def test_the_word_that_it_cannot_be_done_has_a_number_too():
    """A refusal is an answer."""
    for step in STEPS:
        if step.kind == "caution":
            assert CANNOT in [choice.answer for choice in step.choices]
            assert any(line.startswith("2 ") for line in "\n".join(messages_of(BOOK, step, "en")).split("\n"))


LINES = st.lists(
    st.text(st.characters(codec="ascii", categories=["L", "Nd"]), min_size=1, max_size=30), max_size=30
)


@given(st.lists(st.lists(LINES.map(" ".join), max_size=6), max_size=4), st.integers(40, 300))
def test_parts_keep_every_word_in_order_and_none_is_too_long(groups, most):
    """Whatever the lines are."""
    texts = packed(groups, most)
    assert all(0 < len(text) <= most for text in texts)
    assert " ".join(texts).split() == " ".join(line for group in groups for line in group).split()


@given(st.lists(st.text(min_size=1, max_size=20), min_size=2, max_size=99))
def test_the_number_of_a_part_takes_no_more_room_than_is_kept_for_it(texts):
    """Six characters."""
    assert all(len(part) <= len(text) + 6 for part, text in zip(numbered(texts), texts, strict=True))
