"""One step of look-ahead and rollout, on small choices that can be worked out to the end."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose import lookahead
from diagnose.advice import Adviser, Limits
from diagnose.decision import Decision, martingale
from diagnose.evidence import Evidence
from diagnose.lookahead import CALL, Action, Outlook, Point
from diagnose.reasoner import Reasoner
from tests.helpers import tiny_book

STEADY = settings(max_examples=60, deadline=None, derandomize=True)


@st.composite
def decisions(draw) -> Decision:
    """Up to four culprits and three questions of two or three answers, in two holds of which one costs."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    culprits, questions = draw(st.integers(1, 4)), draw(st.integers(0, 3))
    sizes = rng.integers(2, 4, questions)
    tables = [rng.dirichlet(np.full(size, 0.5), culprits + 1).T for size in sizes]
    ask, repair = rng.uniform(1, 20, questions), rng.uniform(5, 120, culprits)
    further = rng.integers(0, 2, questions)
    return Decision(
        [f"fault_{k}" for k in range(culprits)],
        [f"look_{k}" for k in range(questions)],
        rng.dirichlet(np.ones(culprits + 1)),
        np.concatenate(tables) if questions else np.zeros((0, culprits + 1)),
        np.concatenate([[0], np.cumsum(sizes)]).astype(np.intp),
        np.vstack([ask + 15 * further, ask]),
        np.vstack([further, np.ones(questions)]).astype(np.intp),
        np.vstack([repair, repair + 10]),
        rng.uniform(0 if draw(st.booleans()) else 1, 1, culprits) * (rng.uniform(size=culprits) > 0.2),
        rng.integers(-1, 2, questions),
        draw(st.sampled_from([0.0, 3.0])),
        float(rng.uniform(30, 600)),
    )


def start_of(decision: Decision) -> Point:
    """Running, nothing asked."""
    tries = np.full(len(decision.culprits), 2)
    return Point(decision.shares, 0, -1, np.zeros(len(decision.questions), dtype=bool), tries)


def optimum(outlook: Outlook, point: Point, repaired: frozenset[int] = frozenset()) -> float:
    """Expected minutes of the best of all policies that repair nothing twice, by trying everything."""
    d = outlook.decision
    best = d.help
    for k in range(len(d.culprits)):
        if k not in repaired and d.takes[k] > 0:
            left, after = outlook.after_repair(point, k)
            rest = left * optimum(outlook, after, repaired | {k}) if left else 0.0
            best = min(best, d.repair[point.hold, k] + rest)
    for q in np.flatnonzero(~point.used):
        after_each = outlook.after_answers(point, int(q))
        rest = sum(chance * optimum(outlook, after, repaired) for _, chance, after in after_each)
        best = min(best, outlook.minutes_to_ask(point)[q] + rest)
    return float(best)


@given(decisions())
@STEADY
def test_rollout_lies_between_the_optimum_and_the_one_step_rule(decision):
    """Never below the best of all policies, never above the rule that it follows."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lookahead, "LEAST_REACH", 0.0)
        outlook, start = Outlook(decision), start_of(decision)
        _, worth = outlook.roll_out(start)
        one_step = outlook.follow(start, outlook.choose(start).action)
    assert worth <= one_step + 1e-9
    assert worth <= decision.help + 1e-9
    if set(decision.takes) <= {0.0, 1.0} and len(decision.questions) <= 2:
        assert worth >= optimum(outlook, start) - 1e-9


@given(decisions())
@STEADY
def test_the_shares_after_the_answers_average_to_the_shares_before(decision):
    """The answers' chances sum to 1; so do the shares after each."""
    outlook, start = Outlook(decision), start_of(decision)
    for question in range(len(decision.questions)):
        after = outlook.after_answers(start, question)
        assert sum(chance for _, chance, _ in after) == pytest.approx(1)
        mean = sum(chance * point.shares for _, chance, point in after)
        np.testing.assert_allclose(mean, start.shares, atol=1e-12)
        assert all(point.used[question] for _, _, point in after)


@given(st.integers(0, 2**32 - 1))
@STEADY
def test_shares_worked_out_for_each_answer_apart_are_made_to_average(seed):
    """Whatever was worked out: each culprit's answers have chances that sum to 1."""
    rng = np.random.default_rng(seed)
    shares = rng.dirichlet(np.ones(4))
    first = np.array([0, 2, 5])
    chance = np.concatenate([rng.dirichlet(np.ones(2)), rng.dirichlet(np.ones(3))])
    joint = rng.uniform(size=(5, 3)) * (rng.uniform(size=(5, 3)) > 0.3)
    told = martingale(shares, joint, chance, first)
    np.testing.assert_allclose(np.add.reduceat(told, first[:-1], axis=0), 1, atol=1e-12)
    assert (told >= 0).all()


def two_step_decision() -> Decision:
    """Four equal faults; two looks that tell one pair from the other, and then the one from the other.

    Either look alone leaves a choice of two; both together leave none.
    """
    half = np.array([[1, 1, 0, 0, 0.5], [0, 0, 1, 1, 0.5], [1, 0, 1, 0, 0.5], [0, 1, 0, 1, 0.5]], dtype=float)
    return Decision(
        ["a", "b", "c", "d"],
        ["first", "second"],
        np.array([0.25, 0.25, 0.25, 0.25, 0.0]),
        half,
        np.array([0, 2, 4]),
        np.full((1, 2), 5.0),
        np.zeros((1, 2), dtype=np.intp),
        np.full((1, 4), 60.0),
        np.ones(4),
        np.array([-1, -1]),
        0.0,
        1000.0,
    )


def test_two_sure_looks_and_one_repair_by_hand():
    """5 + 5 + 60: rollout finds it, and says so to the minute."""
    decision = two_step_decision()
    action, worth = Outlook(decision).roll_out(start_of(decision))
    assert action.kind == "check"
    assert worth == pytest.approx(5 + 5 + 60)


def test_help_is_called_where_nothing_is_cheaper():
    """A repair of 60 minutes against help of 20."""
    decision = two_step_decision()
    cheap = Decision(**{**vars(decision), "help": 20.0})
    assert Outlook(cheap).roll_out(start_of(cheap)) == (CALL, 20.0)


def test_getting_to_another_place_costs_a_visit():
    """From where the hand is, a look at the same place is cheaper by the visit; a fact has no place."""
    decision = Decision(**{**vars(two_step_decision()), "place": np.array([3, -1]), "visit": 4.0})
    outlook = Outlook(decision)
    start = start_of(decision)
    assert outlook.minutes_to_ask(replace(start, place=3)).tolist() == [5, 5]
    assert outlook.minutes_to_ask(replace(start, place=5)).tolist() == [9, 5]
    assert outlook.minutes_to_ask(start).tolist() == [5, 5]


def test_of_two_equal_looks_the_one_at_the_same_place_goes_first():
    """The second look of a visit is cheaper than another visit."""
    decision = Decision(**{**vars(two_step_decision()), "place": np.array([3, 5]), "visit": 4.0})
    outlook = Outlook(decision)
    for place, best in ((3, 0), (5, 1)):
        point = replace(start_of(decision), place=place)
        assert outlook.choose(point).action == Action("check", best)


def test_a_culprit_is_not_put_right_more_often_than_its_tries():
    """After the last try its share cures nothing more: help is all that is left."""
    decision = Decision(**{**vars(two_step_decision()), "takes": np.full(4, 0.5)})
    outlook = Outlook(decision)
    sure = replace(start_of(decision), shares=np.array([1.0, 0, 0, 0, 0]), used=np.ones(2, dtype=bool))
    left, again = outlook.after_repair(sure, 0)
    assert (left, outlook.choose(again).action) == (0.5, Action("repair", 0))
    left, done = outlook.after_repair(again, 0)
    assert (left, outlook.choose(done).action) == (0.5, CALL)
    # 60 each time, and help for the quarter that neither try mends.
    assert outlook.follow(sure, Action("repair", 0)) == pytest.approx(60 + 0.5 * 60 + 0.25 * 1000)


def one_cheap_try_decision() -> Decision:
    """The cause of every second callout takes 10 minutes; a dear look tells which of three others it is."""
    told = np.array([[1 / 3, 1, 0, 0, 1 / 3], [1 / 3, 0, 1, 0, 1 / 3], [1 / 3, 0, 0, 1, 1 / 3]])
    return Decision(
        ["cheap", "a", "b", "c"],
        ["which"],
        np.array([1 / 2, 1 / 6, 1 / 6, 1 / 6, 0.0]),
        told,
        np.array([0, 3]),
        np.full((1, 1), 30.0),
        np.zeros((1, 1), dtype=np.intp),
        np.array([[10.0, 100.0, 100.0, 100.0]]),
        np.ones(4),
        np.array([-1]),
        0.0,
        5000.0,
    )


def test_a_cheap_try_comes_before_a_dear_look():
    """10, and in every second case 30 + 100 more; the look first: 30 + 10, and in every second case 100."""
    decision = one_cheap_try_decision()
    outlook = Outlook(decision)
    assert outlook.values(start_of(decision)).tolist() == pytest.approx([30 + 10 + 0.5 * 100])
    choice = outlook.choose(start_of(decision))
    assert choice.action == Action("repair", 0)
    assert choice.expected == pytest.approx(10 + 0.5 * (30 + 100))


def test_rollout_tries_the_two_repairs_that_get_most_for_their_minutes():
    """Beside the questions, the one-step rule's own choice and a call for help."""
    decision = Decision(**{**vars(two_step_decision()), "repair": np.array([[900.0, 60.0, 400.0, 80.0]])})
    steps = Outlook(decision).first_steps(start_of(decision))
    assert {step.number for step in steps if step.kind == "repair"} == {1, 3}
    assert {step.number for step in steps if step.kind == "check"} == {0, 1}
    assert steps[-1] == CALL


def test_a_rollout_is_followed_as_deep_as_it_is_told():
    """A sure culprit, cured every second time: each step deeper sees one more try before help."""
    decision = Decision(**{**vars(two_step_decision()), "takes": np.full(4, 0.5)})
    sure = Point(np.array([1.0, 0, 0, 0, 0]), 0, -1, np.ones(2, dtype=bool), np.full(4, 9))
    outlook, tried = Outlook(decision), Action("repair", 0)
    one_try = 60 + 0.5 * 1000
    assert outlook.follow(sure, tried, depth=0) == pytest.approx(60 + 0.5 * one_try)
    assert outlook.follow(sure, tried, depth=1) == pytest.approx(60 + 0.5 * (60 + 0.5 * one_try))


def test_an_advice_names_the_steps_that_most_likely_follow():
    """Each with the likeliest answer before it; the chance of coming so far never rises."""
    tiny = Reasoner(tiny_book(), {})
    adviser = Adviser(tiny, Evidence(("wont_open",)))
    for advice in (adviser.best(Limits()), adviser.best_ahead(Limits())):
        assert advice.then
        chances = [step.chance for step in advice.then]
        assert chances == sorted(chances, reverse=True)
        assert all(0 < chance <= 1 for chance in chances)
        named = {*tiny.book.checks, *tiny.book.facts, *tiny.book.causes, ""}
        assert {step.id for step in advice.then} <= named
        answers = dict(advice.answers)
        assert advice.then[0].answer in answers
        assert advice.then[0].chance == pytest.approx(max(answers.values()))


def test_rollout_never_promises_more_than_the_rule_it_improves():
    """On the tiny book too its expected minutes are at most those of the one-step rule played on."""
    adviser = Adviser(Reasoner(tiny_book(), {}), Evidence(("wont_open",)))
    outlook, start = adviser.outlook(Limits())
    rule = outlook.follow(start, outlook.choose(start).action)
    assert adviser.best_ahead(Limits()).expected <= rule + 1e-9
