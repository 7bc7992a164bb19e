"""The yardstick of advice: repairs in order, each perhaps after a look."""

from dataclasses import replace

import numpy as np
import pytest

from diagnose.decision import Decision
from diagnose.plan import RepairPlan


def decision_of(
    shares: list[float],
    repair: list[float],
    hit: list[float],
    alarm: list[float],
    look: list[float],
    help_: float,
) -> Decision:
    """A look of its own for each culprit, answered yes or no; minutes are the same from every hold."""
    count = len(repair)
    answers = []
    for k in range(count):
        yes = np.append(np.where(np.arange(count) == k, hit[k], alarm[k]), alarm[k])
        answers += [yes, 1 - yes]
    return Decision(
        [f"fault_{k}" for k in range(count)],
        [f"look_{k}" for k in range(count)],
        np.append(shares, 1 - sum(shares)),
        np.array(answers),
        np.arange(0, 2 * count + 1, 2),
        np.tile(look, (6, 1)),
        np.zeros((6, count), dtype=np.intp),
        np.tile(repair, (6, 1)),
        np.ones(count),
        np.full(count, -1),
        0.0,
        help_,
    )


def expected(decision: Decision, used: tuple[int, ...] = (), shares: np.ndarray | None = None) -> list[float]:
    """Expected minutes of the plan for each row of shares (the decision's own when none are given)."""
    rows = decision.shares[np.newaxis, :-1] if shares is None else shares
    count = len(decision.questions)
    mask = np.isin(np.arange(count), used)
    zeros = np.zeros(len(rows), dtype=np.intp)
    return RepairPlan(decision).expected(rows, zeros, mask, zeros - 1).tolist()


def test_a_sure_look_before_a_repair_costs_the_look_and_the_repair_where_it_is_faulty():
    """C_look + P(faulty) C_repair (Heckerman, Breese & Rommelse 1995): 2 + .3 x 50, then help."""
    decision = decision_of([0.3], [50], hit=[1], alarm=[0], look=[2], help_=1000)
    assert expected(decision) == pytest.approx([2 + 0.3 * 50 + 0.7 * 1000])


def test_a_false_alarm_pays_the_repair_and_a_miss_leaves_the_fault():
    """Hit .9, false alarm .2: look 2, repair 50 in .9 x .3 + .2 x .7 of the cases; help for .73."""
    decision = decision_of([0.3], [50], hit=[0.9], alarm=[0.2], look=[2], help_=800)
    by_hand = 2 + (0.9 * 0.3 + 0.2 * 0.7) * 50 + (1 - 0.9 * 0.3) * 800
    assert expected(decision) == pytest.approx([by_hand])


def test_where_a_miss_costs_more_than_the_look_saves_no_look_is_taken():
    """The same with dearer help: outright, 50 and help for .7, is the cheaper plan."""
    decision = decision_of([0.3], [50], hit=[0.9], alarm=[0.2], look=[2], help_=1000)
    assert expected(decision) == pytest.approx([50 + 0.7 * 1000])
    assert RepairPlan(decision).first(decision.shares[:-1], 0, np.zeros(1, dtype=bool)).look == -1


def test_help_is_called_at_once_where_it_is_cheaper_than_anything():
    """No plan costs more than help."""
    decision = decision_of([0.3], [50], hit=[0], alarm=[0], look=[2], help_=40)
    assert expected(decision, shares=np.array([[0.3], [0.0]])) == pytest.approx([40, 40])


def test_a_look_that_is_used_up_is_not_taken_again():
    """With its only look gone, the cause is repaired outright."""
    decision = decision_of([0.3], [50], hit=[1], alarm=[0], look=[2], help_=1000)
    assert expected(decision, used=(0,)) == pytest.approx([50 + 0.7 * 1000])


def test_rows_are_worth_what_they_are_worth_alone():
    """Many rows of shares at once give what each gives by itself."""
    decision = decision_of(
        [0.3, 0.4, 0.1], [50, 20, 90], hit=[0.9, 0, 1], alarm=[0.1, 0, 0.05], look=[2, 1, 5], help_=300
    )
    shares = np.random.default_rng(5).dirichlet([1, 1, 1, 1], size=20)[:, :3]
    alone = [expected(decision, shares=row[np.newaxis])[0] for row in shares]
    assert expected(decision, shares=shares) == pytest.approx(alone)


def test_keeping_to_an_old_plan_is_open_to_every_row():
    """A row whose own order is no better may go on with the old one: it never costs more and can save."""
    rng = np.random.default_rng(158)
    decision = decision_of(
        rng.dirichlet([1, 1, 1, 1])[:3].tolist(),
        rng.integers(5, 90, 3).astype(float).tolist(),
        hit=rng.uniform(0.3, 1, 3).tolist(),
        alarm=rng.uniform(0, 0.4, 3).tolist(),
        look=rng.integers(1, 15, 3).astype(float).tolist(),
        help_=float(rng.integers(100, 1500)),
    )
    shares = rng.dirichlet([1, 1, 1, 1], size=50)[:, :3]
    zeros = np.zeros(50, dtype=np.intp)
    plan, none = RepairPlan(decision), np.zeros(3, dtype=bool)
    own = plan.expected(shares, zeros, none, zeros - 1)
    free = plan.expected(shares, zeros, none, zeros - 1, decision.shares[:-1])
    assert (free <= own + 1e-12).all()
    assert (free < own - 1).any()


def test_without_looks_the_first_repair_is_chosen_from_the_present_hold_and_the_rest_from_running():
    """From where it stands 5 + .7 x 20, then help for .3; each look misses half, and is not worth it."""
    decision = decision_of([0.3, 0.4], [50, 20], hit=[0.5, 0.5], alarm=[0, 0], look=[0.1, 0.1], help_=1000)
    decision.repair[2] = [5, 20]
    rows, none = decision.shares[np.newaxis, :-1], np.zeros(2, dtype=bool)
    minutes = RepairPlan(decision).expected(rows, np.array([2]), none, np.array([-1]))
    assert minutes.tolist() == pytest.approx([5 + 0.7 * 20 + 0.3 * 1000])
    assert RepairPlan(decision).first(rows[0], 2, none).culprit == 0


def test_of_two_looks_at_one_cause_the_one_that_gets_more_for_its_minutes_is_taken():
    """Both are sure; 2 minutes and not 30."""
    decision = replace(
        decision_of([0.3], [50], hit=[1], alarm=[0], look=[2], help_=1000),
        questions=["dear", "cheap"],
        likelihood=np.array([[1.0, 0.0], [0.0, 1.0]] * 2),
        first=np.array([0, 2, 4]),
        ask=np.tile([30.0, 2.0], (6, 1)),
        after=np.zeros((6, 2), dtype=np.intp),
        place=np.array([-1, -1]),
    )
    assert expected(decision) == pytest.approx([2 + 0.3 * 50 + 0.7 * 1000])
    assert expected(decision, used=(1,)) == pytest.approx([30 + 0.3 * 50 + 0.7 * 1000])


def test_a_look_with_some_false_alarms_is_taken_where_it_costs_less_all_told():
    """1 + (.6 + .1 x .4) x 50 against 4 + .6 x 50 for the one that never errs; help for .4 either way."""
    decision = replace(
        decision_of([0.6], [50], hit=[1], alarm=[0], look=[2], help_=1000),
        questions=["sure", "rough"],
        likelihood=np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 0.1], [0.0, 0.9]]),
        first=np.array([0, 2, 4]),
        ask=np.tile([4.0, 1.0], (6, 1)),
        after=np.zeros((6, 2), dtype=np.intp),
        place=np.array([-1, -1]),
    )
    assert expected(decision) == pytest.approx([1 + (0.6 + 0.1 * 0.4) * 50 + 0.4 * 1000])
