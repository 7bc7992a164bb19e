"""What is spoken on the phone is short, and in words that a field hand knows."""

import pytest

from knowledge import vocabulary
from knowledge.vocabulary import MOST_WORDS, plain_words, spoken_lines, word_hints
from tests.helpers import TINY, tiny_book

KNOWN = "a and at broken do does is it look nothing of on see the thing valve wait what you"


@pytest.fixture
def word_list(tmp_path, monkeypatch):
    """Puts another plain list in the place of the shipped one."""

    def put(text: str) -> None:
        path = tmp_path / "few_words.txt"
        path.write_text(text, encoding="utf-8")
        monkeypatch.setattr(vocabulary, "PLAIN_WORDS", path)
        plain_words.cache_clear()

    yield put
    plain_words.cache_clear()


def hints_on(say: str) -> list[str]:
    """What is said of one check's spoken line."""
    book = tiny_book({"checks": {"trim_seen": {"say": say}}})
    return [hint.what for hint in word_hints(book) if hint.field == "trim_seen"]


def test_a_line_of_known_words_has_no_hint(word_list):
    """Capitals, stops and numbers do not count."""
    word_list(KNOWN)
    assert hints_on("Look at the valve. What do you see, 3 of it?") == []


@pytest.mark.parametrize(
    ("say", "hard"),
    [
        ("Look at the actuator.", "actuator"),
        ("See the Fulcrum and the actuator, the fulcrum.", "actuator, fulcrum"),
        ("Is it the valve's?", "valve's"),
    ],
)
def test_a_word_above_the_plain_list_is_named_once(word_list, say, hard):
    """Small, in the order of the alphabet."""
    word_list(KNOWN)
    assert hints_on(say) == [f"not on the field hand's plain list: {hard}"]


def test_a_hint_says_where_and_names_the_list_that_the_word_could_go_on(word_list):
    """A place in the book's file, and the file of the list."""
    word_list(KNOWN)
    book = tiny_book({"checks": {"trim_seen": {"say": "Look at the actuator."}}})
    (hint,) = (hint for hint in word_hints(book) if hint.field == "trim_seen")
    assert hint.place == book.places["trim_seen"]
    assert "few_words.txt" in hint.mend


def test_a_line_may_have_so_many_words_and_no_more(word_list):
    """The first word too many is told, with the number."""
    word_list(KNOWN)
    assert hints_on(" ".join(["see"] * MOST_WORDS)) == []
    (what,) = hints_on(" ".join(["see"] * (MOST_WORDS + 1)))
    assert what == f"its spoken line has {MOST_WORDS + 1} words, {MOST_WORDS} are the most"


def test_a_long_line_of_hard_words_has_both_hints(word_list):
    """How long it is, and which words are hard."""
    word_list(KNOWN)
    assert len(hints_on(" ".join(["fulcrum"] * (MOST_WORDS + 1)))) == 2


def test_the_list_is_read_once(word_list):
    """Words stand in it apart by blanks or on lines of their own."""
    word_list("see\nthe  valve\n\n")
    assert plain_words() == {"see", "the", "valve"}
    vocabulary.PLAIN_WORDS.write_text("other", encoding="utf-8")
    assert plain_words() == {"see", "the", "valve"}


def test_everything_that_is_spoken_is_looked_at():
    """Questions about danger, complaints, facts, checks, and what a cause is in plain words."""
    lines = dict(spoken_lines(tiny_book()))
    kinds = ("triage", "complaints", "facts", "checks")
    expected = {name: entry["say"] for kind in kinds for name, entry in TINY[kind].items()}
    assert lines == expected | {name: entry["plain"] for name, entry in TINY["causes"].items()}
