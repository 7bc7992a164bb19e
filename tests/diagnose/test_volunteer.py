"""What is said without being asked: found by its words, and taken whatever is being asked."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.callout import BadEvent, replay
from diagnose.opening import open_callout
from diagnose.sheet import Unit
from diagnose.volunteer import MOST, Findings, counted, words_of
from diagnose.walk import Walk
from knowledge.book import Book, load_book
from knowledge.schema import Check
from knowledge.words import hold_rank, strength
from tests.helpers import tiny_book


@pytest.fixture(scope="module")
def shipped() -> Book:
    """The book that comes with the program."""
    return load_book()


FOUND: dict[str, Findings] = {}


def findings(book: Book) -> Findings:
    """The findings of a book, put in order once."""
    return FOUND.setdefault(book.digest, Findings(book))


def picked(book: Book, text: str) -> list[tuple[str, str]]:
    """What the words may mean."""
    return [(offer.question, offer.answer) for offer in findings(book).search(text)]


def everything_said(book: Book, question: str, answer: str) -> list[str]:
    """All words by which an answer may be found, written out from the book."""
    asked = book.question(question)
    if not isinstance(asked, Check):
        return list(words_of(f"{asked.title} {asked.ask} {asked.values[answer]}"))
    texts = [asked.ask, asked.outcomes[answer]]
    for row in asked.shows:
        if strength(row.then.get(answer, 0.0)) >= 0.5:
            texts += [
                book.causes[n].title + " " + book.causes[n].plain for n in row.given if n in book.causes
            ]
            texts += [book.conditions[n].title for n in row.given if n in book.conditions]
    return [word for text in texts for word in words_of(text)]


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("frost", ("frost_feel", "frost")),
        ("steady blow", ("vent_listen", "steady")),
        ("blow vent pilot", ("vent_listen", "steady")),
        ("hiss", ("valve_listen_shut", "passes")),
        ("soap bubbles", ("soap_output", "bubbles")),
        ("freezing", ("weather", "freezing")),
    ],
)
def test_what_a_caller_says_finds_what_it_means_first(shipped, text, first):
    """On the shipped book, in a word or two."""
    assert picked(shipped, text)[0] == first


def test_a_fault_that_is_named_finds_the_answers_that_point_at_it(shipped):
    """Wax is in no answer of the pulled displacer, but its fault's title has it."""
    found = picked(shipped, "paraffin")
    assert ("displacer_pull", "coated") in found
    assert ("displacer_pull", "sound") not in found


@pytest.mark.parametrize("text", ["FROST", "fröst", "  frost ", "frost!", "fro", "frost on a"])
def test_case_accents_marks_beginnings_and_short_words_do_not_matter(shipped, text):
    """The same first finding."""
    assert picked(shipped, text)[0] == ("frost_feel", "frost")


@pytest.mark.parametrize("text", ["", " ", "fr", "it is so", "/", "xyzzy", "rost"])
def test_no_word_long_enough_or_none_that_anything_has_finds_nothing(shipped, text):
    """A word counts from three letters, and it must be there from its beginning."""
    assert picked(shipped, text) == []


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("frost xyzzy", ("frost_feel", "frost")),
        ("the guy says frost all over the regulator", ("frost_feel", "frost")),
        ("vent blowing hard", ("vent_listen", "steady")),
        ("the pilot vent keeps blowing", ("vent_listen", "steady")),
        ("pilot is hissing", ("vent_listen", "steady")),
        ("vent hissing", ("vent_listen", "steady")),
    ],
)
def test_words_that_no_answer_has_and_other_endings_are_forgiven(shipped, text, first):
    """Where no answer has all that was said, the one that is meant is among the first two."""
    assert first in picked(shipped, text)[:2]


SYLLABLES = ["vent", "blow", "sup", "gauge", "the", "no", "stem", "fro", "val", "level", "noth", "oil", "x"]


@given(st.lists(st.sampled_from(SYLLABLES), max_size=3).map(" ".join))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_answers_with_every_word_are_all_offered_and_no_other_beside_them(text):
    """Judged against the book written out; more than a digit can pick are cut off at the end."""
    book = load_book()
    all_of = {
        (question, answer)
        for question in [*book.checks, *book.facts]
        for answer in (
            book.checks[question].outcomes if question in book.checks else book.facts[question].values
        )
        if counted(text)
        and all(
            any(word.startswith(typed) for word in everything_said(book, question, answer))
            for typed in counted(text)
        )
    }
    found = picked(book, text)
    if not all_of:
        return
    assert len(found) == len(set(found)) == min(MOST, len(all_of))
    assert set(found) <= all_of


def test_words_of_the_answer_come_before_words_of_the_question(shipped):
    """Blows is in some answers and in some questions."""
    places = [
        "blows" in words_of(shipped.checks[question].outcomes[answer])
        for question, answer in picked(shipped, "blows")
    ]
    assert places == sorted(places, reverse=True)
    assert not all(places)


def test_a_label_is_the_question_and_the_answer(shipped):
    """So that nobody takes a finding of another question."""
    label = findings(shipped).search("steady blow")[0].label
    assert label == "What does the pilot's vent do while the lever is worked? A steady blow or hiss"


def new_walk(book: Book, *answers: str, **facts: str) -> Walk:
    """A walk with its first answers given."""
    walk = Walk(book, [open_callout("test", Unit("V-1", facts), book, "")], lambda event: None, lambda: "")
    for answer in answers:
        walk.answer(answer)
    return walk


def test_what_the_sheet_gives_is_not_offered(shipped):
    """It would change nothing."""
    assert picked(shipped, "freezing")[0] == ("weather", "freezing")
    offers = new_walk(shipped, weather="freezing").offers("freezing")
    assert "weather" not in {offer.question for offer in offers}


@pytest.mark.parametrize("before", [(), ("far",)])
def test_danger_and_the_complaint_are_asked_on(before):
    """The finding is kept, and the open question stands."""
    walk = new_walk(tiny_book(), *before)
    step = walk.view().step
    walk.volunteer("drop_seen", "no")
    assert walk.view().step == step
    assert walk.state.findings["drop_seen"].answer == "no"


def test_a_finding_counts_the_same_whether_asked_or_not():
    """Given before the complaint or asked for after it: the same evidence and beliefs."""
    before, after = new_walk(tiny_book()), new_walk(tiny_book(), "far", "wont_open")
    before.volunteer("supply_gauge", "none")
    before.answer("far")
    before.answer("wont_open")
    after.ask("supply_gauge")
    after.answer("none")
    assert before.state == after.state
    assert [(one.id, one.probability) for one in before.view().leaders] == [
        (one.id, one.probability) for one in after.view().leaders
    ]
    assert before.view().step == after.view().step


def test_what_needs_another_hold_can_be_told_and_is_not_asked_again():
    """The trim is seen with the vessel open; whoever tells of it has seen it so. The unit stays running."""
    book = tiny_book()
    walk = new_walk(book, "far", "wont_shut")
    assert hold_rank(book.checks["trim_seen"].hold) > hold_rank(walk.state.hold)
    walk.volunteer("trim_seen", "worn")
    assert walk.state.evidence.findings == {"trim_seen": "worn"}
    assert walk.state.hold == "running"
    assert walk.view().leaders[0].id == "trim_worn"
    assert "trim_seen" in walk.answered()
    assert walk.view().step.id != "trim_seen"


def test_a_told_finding_is_an_event_like_any_answer_and_u_takes_it_back():
    """Replayed it is the same; undone there is nothing left of it; and it may be not sure."""
    walk = new_walk(tiny_book(), "far", "wont_open")
    before, step = walk.state, walk.view().step
    walk.volunteer("stem_moves", "no", sure=False)
    event = walk.events[-1]
    assert (event.kind, event.id, event.answer, event.sure) == ("check", "stem_moves", "no", False)
    assert replay(walk.book, walk.events) == walk.state
    assert walk.undo()
    assert (walk.state, walk.view().step) == (before, step)


@pytest.mark.parametrize(("question", "answer"), [("stem_moves", "maybe"), ("nothing", "no")])
def test_what_the_book_does_not_hold_is_not_taken(question, answer):
    """And nothing is saved."""
    walk = new_walk(tiny_book(), "far", "wont_open")
    with pytest.raises(BadEvent, match="the book does not hold"):
        walk.volunteer(question, answer)
    assert len(walk.events) == 3
