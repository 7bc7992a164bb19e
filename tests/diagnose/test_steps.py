"""The answers of a page, and which checks a complaint leaves open."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.advice import Adviser, Limits
from diagnose.events import COULD_NOT_TELL
from diagnose.evidence import Evidence
from diagnose.opening import open_callout
from diagnose.proof_step import prove_step
from diagnose.reasoner import Reasoner
from diagnose.sheet import Unit
from diagnose.steps import KEYS, choices, complaint_step, repair_step
from diagnose.typed import understand
from diagnose.walk import Walk
from diagnose.words import SKILLS
from knowledge.book import Book, load_book
from tests.helpers import bare_book, book_of, cause, changed, check, complaint, tiny_book
from tui.lines import needs_text

STEADY = settings(max_examples=60, deadline=None, derandomize=True)


def answers(count: int, unsure: bool = False) -> dict[str, str]:
    """So many answers, and perhaps that nobody could tell, which stands first."""
    could_not = {COULD_NOT_TELL: "Could not tell"} if unsure else {}
    return could_not | {f"answer_{k}": f"Answer {k}" for k in range(count)}


@given(st.integers(1, len(KEYS)), st.booleans())
@STEADY
def test_every_answer_has_a_key_of_its_own(count, unsure):
    """One sign each, all answers in the book's order; that nobody could tell is 0, and comes last."""
    found = choices(answers(count, unsure))
    keys = [choice.key for choice in found]
    assert len(set(keys)) == len(keys) == count + unsure
    assert all(len(key) == 1 for key in keys)
    named = [choice.answer for choice in found if choice.answer != COULD_NOT_TELL]
    assert named == list(answers(count))
    assert [choice.answer for choice in found if choice.key == "0"] == ([COULD_NOT_TELL] if unsure else [])
    assert not unsure or keys[-1] == "0"


def test_the_first_nine_have_figures_and_the_next_three_letters():
    """Side by side under one finger."""
    assert [choice.key for choice in choices(answers(12))] == [*"123456789", *"jkl"]


def many_complaints(count: int) -> Book:
    """A book in which so many things can be reported."""
    names = [f"c{k}" for k in range(count)]
    return book_of(
        changed(
            bare_book(),
            {
                "conditions": {name: {"title": name} for name in names},
                "causes": {"broken": cause(dict.fromkeys(names, "often"))},
                "complaints": {
                    "wont_open": None,
                    **{f"does_{name}": complaint(name, 1, title=f"It does {name}") for name in names},
                },
            },
        )
    )


def test_the_twelfth_complaint_can_be_picked_by_its_letter():
    """In a walk, by its key, its letter typed as a line."""
    book = many_complaints(12)
    first = open_callout("test", Unit(), book, "2026-01-31T12:00:00Z")
    for key, name in (("9", "does_c8"), ("j", "does_c9"), ("l", "does_c11")):
        walk = Walk(book, [first], lambda event: None, lambda: "2026-01-31T12:00:01Z")
        step = walk.view().step
        assert step is not None
        assert understand(book, walk.state, step, key).answer == name
        walk.answer(key)
        assert walk.state.complaint == name


def test_every_complaint_of_the_shipped_book_can_be_picked():
    """No more of them than there are keys."""
    book = load_book()
    assert [choice.answer for choice in complaint_step(book, 0).choices] == list(book.complaints)


def leveled(complaint_level: str | None, second_level: str | None = None) -> Adviser:
    """Looks at a high level, at a low one, at any; one or two complaints, each at a level or at none."""
    look = [{"given": "broken", "then": "yes"}, {"then": "no"}]
    said = {"level": complaint_level} if complaint_level else {}
    other = {"level": second_level} if second_level else {}
    book = book_of(
        changed(
            bare_book(),
            {
                "causes": {"broken": cause({"stays_shut": "often"})},
                "complaints": {
                    "wont_open": complaint("stays_shut", **said),
                    "other": complaint("stays_shut", **other),
                },
                "checks": {
                    "when_high": check(look, level="high"),
                    "when_low": check(look, level="low"),
                    "always": check(look),
                },
            },
        )
    )
    names = ("wont_open", "other") if second_level else ("wont_open",)
    return Adviser(Reasoner(book, {}), Evidence(names))


@pytest.mark.parametrize(
    ("levels", "closed"),
    [
        ((None,), {"when_high", "when_low"}),
        (("high",), {"when_low"}),
        (("low",), {"when_high"}),
        (("high", "low"), set()),
        (("high", "high"), {"when_low"}),
    ],
)
def test_a_check_that_needs_the_level_elsewhere_is_not_advised(levels, closed):
    """A complaint that says nothing of the level closes those that need it; two at both ends open all."""
    every = {"when_high", "when_low", "always", "drop_seen"}
    assert set(leveled(*levels).what_ifs(Limits())) == every - closed


@pytest.mark.parametrize(("skill", "told"), [("hand", False), ("mechanic", True), ("specialist", True)])
def test_a_repair_says_who_must_do_it_unless_any_hand_can(skill, told):
    """In the line of what it needs."""
    book = tiny_book({"causes": {"stem_stuck": {"repair": {"skill": skill}}}})
    needs = needs_text(repair_step(book, "stem_stuck", ""), "running")
    assert (SKILLS[skill] in needs) == told


def test_a_proof_names_what_to_look_at():
    """Steps like "Tap the gauge" do not say which gauge; the question does."""
    book = load_book()
    proof = book.checks[book.causes["supply_shut"].repair.prove]
    told = prove_step(book, "supply_shut").steps[len(proof.steps)]
    assert "supply gauge" in proof.ask
    assert told.endswith(f"{proof.ask} {proof.right}")
