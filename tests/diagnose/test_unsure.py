"""An answer that is not sure: soft evidence that says the same as a sure one, and less."""

import json
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.callout import BadEvent, State, apply, replay
from diagnose.events import CANNOT, COULD_NOT_TELL, Event
from diagnose.evidence import Evidence
from diagnose.help_step import help_step
from diagnose.opening import open_callout
from diagnose.question import understand
from diagnose.readings import judge
from diagnose.reasoner import Reasoner
from diagnose.report import rank
from diagnose.sheet import Unit
from diagnose.typed import NotAnAnswer
from diagnose.unsure import THINK_SO, doubted, told
from diagnose.walk import Walk
from knowledge.problems import InputProblems
from tests.diagnose.oracle import enumerate_book
from tests.helpers import tiny_book

BOOK = tiny_book()
SHUT = Evidence(("wont_open",), {"drop_seen": "no"})
QUESTIONS = {name: list(check.outcomes) for name, check in BOOK.checks.items() if name != "drop_seen"}
QUESTIONS |= {name: list(fact.values) for name, fact in BOOK.facts.items()}
ANSWERS = [(name, answer) for name, answers in QUESTIONS.items() for answer in answers]


def new_walk(*answers: str) -> Walk:
    """A walk on the tiny book, with the first answers given."""
    walk = Walk(BOOK, [open_callout("test", Unit("V-1"), BOOK, "")], lambda event: None, lambda: "")
    for answer in answers:
        walk.answer(answer)
    return walk


def asked(question: str, answer: str) -> Walk:
    """A walk past danger and complaint, with this question answered."""
    walk = new_walk("far", "wont_open")
    walk.ask(question)
    walk.answer(answer)
    return walk


def seen(evidence: Evidence, question: str, answer: str, sure: bool) -> Evidence:
    """The evidence with one more finding, as the state makes it."""
    state = apply(BOOK, State("", {}, {}), Event(at="", kind="check", id=question, answer=answer, sure=sure))
    more = state.evidence
    return replace(
        evidence,
        findings={**evidence.findings, **more.findings},
        soft={**evidence.soft, **more.soft},
    )


@given(st.lists(st.floats(0, 1), min_size=2, max_size=9).filter(any))
@settings(deadline=None, derandomize=True)
def test_a_doubt_keeps_the_sum_and_the_order_of_the_weights_and_rules_nothing_out(weights):
    """Whatever the gauge's grade said, no answer is left without a weight."""
    names = [str(n) for n in range(len(weights))]
    after = doubted(dict(zip(names, weights, strict=True)), names)
    assert sum(after.values()) == pytest.approx(sum(weights))
    assert min(after.values()) > 0
    by_before = sorted(zip(weights, names, strict=True))
    ranked = [after[name] for _, name in by_before]
    assert all(low <= high + 1e-12 for low, high in pairwise(ranked))


@pytest.mark.parametrize(("name", "answer"), ANSWERS)
def test_an_answer_that_is_not_sure_keeps_its_share_and_leaves_the_others_the_rest(name, answer):
    """Checks and facts, of two answers and of three."""
    weights = seen(SHUT, name, answer, sure=False).soft[name]
    others = [weight for other, weight in weights.items() if other != answer]
    assert weights[answer] == pytest.approx(THINK_SO)
    assert others == pytest.approx([(1 - THINK_SO) / len(others)] * len(others))
    assert set(weights) == set(QUESTIONS[name])


@pytest.mark.parametrize(
    ("name", "answer"), [("supply_gauge", "part"), ("output_moves", "no"), ("season", "cold")]
)
def test_what_is_not_sure_equals_enumeration(name, answer):
    """Each answer it could be, summed by hand with its weight; a check of three, one of two, a fact."""
    spread = (1 - THINK_SO) / (len(QUESTIONS[name]) - 1)
    total, sums = 0.0, dict.fromkeys(BOOK.causes, 0.0)
    for real in QUESTIONS[name]:
        hard = replace(SHUT, findings={**SHUT.findings, name: real})
        causes, weight = enumerate_book(BOOK, {}, hard)
        weight *= THINK_SO if real == answer else spread
        total += weight
        for cause in sums:
            sums[cause] += weight * causes[cause]
    beliefs = Reasoner(BOOK, {}).beliefs(seen(SHUT, name, answer, sure=False))
    assert {cause: beliefs.causes[cause] for cause in sums} == pytest.approx(
        {cause: share / total for cause, share in sums.items()}, rel=0, abs=1e-11
    )
    assert beliefs.weight == pytest.approx(total, rel=1e-9)


@pytest.mark.parametrize(("name", "answer"), ANSWERS)
def test_what_is_not_sure_moves_every_belief_the_same_way_but_less(name, answer):
    """By one share of the sure move for all causes, and that share is strictly between none and all.

    With weight a on the answer, b on each other and P(answer) = p, the share is (a-b)p / (b + (a-b)p).
    """
    reasoner = Reasoner(BOOK, {})
    before = reasoner.beliefs(SHUT)
    sure = reasoner.beliefs(seen(SHUT, name, answer, sure=True))
    unsure = reasoner.beliefs(seen(SHUT, name, answer, sure=False))
    rest = (1 - THINK_SO) / (len(QUESTIONS[name]) - 1)
    lead = (THINK_SO - rest) * sure.weight / before.weight
    share = lead / (rest + lead)
    assert 0 < share < 1
    for cause, prior in before.causes.items():
        moved = share * (sure.causes[cause] - prior)
        assert unsure.causes[cause] - prior == pytest.approx(moved, rel=0, abs=1e-11)


def test_a_reading_that_is_not_sure_is_softer_than_the_reading():
    """A number from memory: the gauge's weights, each with its doubt."""
    walk = asked("supply_gauge", "12 psi ?")
    finding = walk.state.findings["supply_gauge"]
    assert (finding.answer, finding.text, finding.sure) == ("part", "12 psi", False)
    own = judge(BOOK.checks["supply_gauge"].reading, "12 psi", {"supply_psi": 30}).weights
    assert own["part"] == 1
    assert finding.weights == pytest.approx({"none": 0.1, "part": 0.8, "full": 0.1})


def test_a_gauge_in_doubt_and_a_hand_in_doubt_count_both():
    """0.8 of the one bin's weight, and of the other's; what each leaves goes to the other."""
    assert doubted({"part": 0.7, "full": 0.3}, ["part", "full"]) == pytest.approx(
        {"part": 0.8 * 0.7 + 0.2 * 0.3, "full": 0.8 * 0.3 + 0.2 * 0.7}
    )


def test_a_callout_with_doubts_is_its_lines_replayed():
    """Through JSON and back: the same state, and only what is not sure says so."""
    walk = asked("supply_gauge", "none?")
    walk.ask("fails")
    walk.answer("closed")
    lines = [event.line() for event in walk.events]
    assert replay(BOOK, [Event.model_validate_json(line) for line in lines]) == walk.state
    assert [json.loads(line).get("sure") for line in lines] == [None, None, None, False, None]


def test_a_line_of_an_older_file_is_sure():
    """It has no such field."""
    line = '{"at":"2024-05-01T10:00:00Z","kind":"check","id":"drop_seen","answer":"no"}'
    assert Event.model_validate_json(line).sure


def test_undo_takes_an_answer_with_its_doubt_back():
    """And the sure answer before it counts again."""
    walk = asked("drop_seen", "no")
    before = walk.state
    walk.ask("drop_seen")
    walk.answer("no?")
    assert walk.state.findings["drop_seen"].sure is False
    walk.undo()
    assert walk.state == before


def test_could_not_tell_cannot_be_doubted():
    """It says nothing as it is."""
    walk = asked("drop_seen", "0?")
    assert walk.events[-1].sure
    assert walk.state.not_told == ["drop_seen"]


@pytest.mark.parametrize("answer", ["1?", "far ?", "?"])
def test_danger_is_answered_for_sure(answer):
    """A ? behind an answer to a triage question is refused, and nothing is saved."""
    walk = new_walk()
    with pytest.raises(NotAnAnswer, match=r"without the “\?”|Press one of"):
        walk.answer(answer)
    assert len(walk.events) == 1


@pytest.mark.parametrize(
    ("kind", "name", "answer"),
    [
        ("triage", "how_full", "near"),
        ("complaint", "complaint", "wont_open"),
        ("hold", "on bypass", CANNOT),
        ("repair", "supply_lost", "in_order"),
        ("check", "drop_seen", COULD_NOT_TELL),
    ],
)
def test_a_file_that_doubts_anything_but_a_finding_is_refused(kind, name, answer):
    """The message names it."""
    with pytest.raises(BadEvent, match=f"{kind} '{answer}' cannot be not sure"):
        apply(BOOK, State("", {}, {}), Event(at="", kind=kind, id=name, answer=answer, sure=False))


def test_the_page_for_whoever_is_called_says_what_is_not_sure():
    """Behind the answer, and behind no other."""
    walk = asked("supply_gauge", "12psi?")
    walk.ask("drop_seen")
    walk.answer("no")
    said = help_step(BOOK, walk.state, []).steps
    assert "Known: What does it show? Part (12psi) (not sure)" in said
    assert "Known: What does it show? No" in said


def found(*saws: str) -> dict:
    """The report for these findings."""
    return rank(BOOK, Unit(), understand(BOOK, Unit(), [], ["complaint=wont_open", *saws]))


@pytest.mark.parametrize(
    ("word", "typed"),
    [("supply_gauge=none?", "none?"), ("supply_gauge=12psi ?", "12psi?"), ("season=cold?", "cold?")],
)
def test_rank_and_a_walk_mean_the_same_by_a_question_mark(word, typed):
    """An outcome, a reading, a fact: the same beliefs."""
    name = word.partition("=")[0]
    beliefs = Reasoner(BOOK, {}).beliefs(asked(name, typed).state.evidence).causes
    ranked = {cause["id"]: cause["probability"] for cause in found(word)["causes"]}
    assert ranked == pytest.approx(beliefs, rel=0, abs=1e-12)


def test_rank_says_which_finding_is_not_sure():
    """`sure` is there only when it is false."""
    assert found("supply_gauge=12psi?", "drop_seen=no")["findings"] == [
        {"check": "complaint", "outcome": "wont_open"},
        {"check": "supply_gauge", "outcome": "part", "reading": "12psi", "sure": False},
        {"check": "drop_seen", "outcome": "no"},
    ]


@pytest.mark.parametrize("saws", [("drop_seen=no?", "drop_seen=no"), ("drop_seen=no", "drop_seen=no?")])
def test_what_somebody_else_is_sure_of_is_sure(saws):
    """The same finding twice, in either order."""
    assert found(*saws)["findings"][1:] == [{"check": "drop_seen", "outcome": "no"}]


@pytest.mark.parametrize("word", ["complaint=wont_open?", "drop_seen=maybe?", "drop_seen=?"])
def test_rank_takes_no_doubt_where_there_is_nothing_to_doubt(word):
    """A complaint, an outcome that does not exist, no outcome at all."""
    with pytest.raises(InputProblems):
        understand(BOOK, Unit(), [], [word])


@given(st.text())
@settings(derandomize=True)
def test_a_question_mark_is_taken_off_once(text):
    """Whatever stands before it comes back without blanks at its ends."""
    assert told(f"{text}?") == (text.rstrip().lstrip() if text.strip() else "", False)
