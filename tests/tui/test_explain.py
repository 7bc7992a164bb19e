"""How an explanation is printed: bars with a sign, lines that fit, nothing worked out anew."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.question import Question, understand
from diagnose.report import rank
from diagnose.sheet import Unit
from knowledge.book import Book, load_book
from tests.helpers import tiny_book
from tui.__main__ import main
from tui.explain_lines import BAR, TOLD, WIDTH, bar, explain_lines, takes_blocks

SAWS = ["complaint=wont_open", "level_glass=high", "output_gauge=none", "supply_gauge=right"]


@pytest.fixture(scope="module")
def explain() -> dict:
    """The explanation of a callout on the book that comes with the program."""
    book: Book = load_book()
    return rank(book, Unit(), understand(book, Unit(), ["valve_fails=closed"], SAWS))["explain"]


@given(st.floats(-300, 300), st.floats(0.1, 300), st.integers(2, 20), st.booleans())
def test_a_bar_has_its_width_and_leans_to_its_sign(value, largest, side, ascii_only):
    """For it to the right, against it to the left, longer for more, never past the end."""
    drawn = bar(value, largest, 2 * side + 1, ascii_only)
    assert len(drawn) == 2 * side + 1
    left, right = drawn[:side].strip(), drawn[side + 1 :].strip()
    assert (len(left) > 0) == (value < 0)
    assert (len(right) > 0) == (value > 0)
    assert len(bar(value / 2, largest, 2 * side + 1, ascii_only).replace(" ", "")) <= len(left + right) + 1
    if abs(value) >= largest:
        assert len(left + right) == side


@pytest.mark.parametrize("value", [None, 0.0])
def test_a_bar_without_a_weight_is_only_its_middle(value):
    """Nothing was said for or against, or nothing is known."""
    assert bar(value, 10, 5, ascii_only=True) == "  |  "
    assert bar(value, 0, 5) == "  │  "


def test_every_line_fits_and_every_finding_stands_once_for_each_cause(explain):
    """78 characters; the leaders in their order; each row with its number in decibans."""
    lines = explain_lines(explain)
    assert max(len(line) for line in lines) <= WIDTH
    text = "\n".join(lines)
    leaders = explain["causes"][:TOLD]
    places = [text.index(f"\n{cause['title']}, ") for cause in leaders]
    assert places == sorted(places)
    for cause in leaders:
        for step in (*cause["weights"], {"decibans": cause["prior_decibans"]}):
            assert f"{step['decibans']:+6.1f} " in text
    assert text.count("As set: ") == len(leaders)
    assert text.count("What would change this:") == 1


def test_the_ascii_lines_are_all_ascii_but_for_the_books_words(explain):
    """The bars are drawn with # and |."""
    lines = [line for line in explain_lines(explain, ascii_only=True) if line[-BAR:].strip(" #") == "|"]
    assert len(lines) == TOLD * (len(SAWS) + 2)
    assert all(line.isascii() for line in lines)


@pytest.mark.parametrize(
    ("encoding", "takes"),
    [("utf-8", True), ("cp437", True), ("latin-1", False), ("ascii", False), (None, False)],
)
def test_bars_are_drawn_in_what_the_stream_can_write(encoding, takes):
    """Block characters where there are any."""
    assert takes_blocks(encoding) is takes
    if takes:
        io.TextIOWrapper(io.BytesIO(), encoding=encoding).write(bar(3, 3))


def test_without_a_complaint_there_is_a_prior_and_nothing_else():
    """No way, no turn, no verdict on the book."""
    book = tiny_book()
    lines = explain_lines(rank(book, Unit(), understand(book, Unit(), [], []))["explain"])
    assert sum("Before anything was seen" in line for line in lines) == TOLD
    assert not any("->" in line or "What would change" in line for line in lines)


def test_what_has_no_number_is_shown_without_one():
    """Findings that the book calls impossible."""
    book = tiny_book()
    question = Question({}, ("wont_open",), {"drop_seen": "no"}, soft={"drop_seen": {"no": 0.0}})
    lines = explain_lines(rank(book, Unit(), question)["explain"], ascii_only=True)
    now = [line for line in lines if "Now, all together" in line]
    assert now
    assert all(line.endswith(f"     - {'|':^{BAR}}") for line in now)
    assert any("no chance known" in line for line in lines)


def test_a_callout_beyond_the_book_says_so():
    """Each listed cause is ruled out, and still it will not open."""
    book = tiny_book({"complaints": {"wont_open": {"unlisted": 400}}})
    found = rank(book, Unit(), understand(book, Unit(), [], ["complaint=wont_open", "output_moves=yes"]))
    assert "The book does not explain this: " in "\n".join(explain_lines(found["explain"]))


def test_rank_explains_when_it_is_asked_to(capsys):
    """After the advice; without the flag it does not."""
    asked = ["rank", "--set", "valve_fails=closed", "--saw", "complaint=wont_open"]
    assert main(asked) == 0
    plain = capsys.readouterr().out
    assert main([*asked, "--explain"]) == 0
    more = capsys.readouterr().out
    assert more.startswith(plain)
    assert "Before anything was seen" in more[len(plain) :]
    assert "Before anything was seen" not in plain
