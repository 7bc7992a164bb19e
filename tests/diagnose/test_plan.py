"""The yardstick of advice: repairs in order, each perhaps after a look."""

import numpy as np
import pytest

from diagnose.plan import Looks, RepairPlan


def plan_of(
    repair: list[float], hit: list[float], alarm: list[float], look: list[float], help_: float
) -> RepairPlan:
    """One look for each cause, and no second one; minutes are the same from every hold."""

    def both(values: list[float]) -> np.ndarray:
        return np.array([values, [0.0] * len(values)])

    minutes = np.array(repair)
    looks = Looks(both(list(range(len(repair)))), both(hit), both(alarm), both(look), both(look))
    return RepairPlan(np.ones(len(repair)), {"running": minutes}, minutes, looks, help_)


def test_a_sure_look_before_a_repair_costs_the_look_and_the_repair_where_it_is_faulty():
    """C_look + P(faulty) C_repair (Heckerman, Breese & Rommelse 1995): 2 + .3 x 50, then help."""
    plan = plan_of([50], hit=[1], alarm=[0], look=[2], help_=1000)
    assert plan.expected(np.array([[0.3]]), "running") == pytest.approx([2 + 0.3 * 50 + 0.7 * 1000])


def test_a_false_alarm_pays_the_repair_and_a_miss_leaves_the_fault():
    """Hit .9, false alarm .2: look 2, repair 50 in .9 x .3 + .2 x .7 of the cases; help for .73."""
    plan = plan_of([50], hit=[0.9], alarm=[0.2], look=[2], help_=1000)
    expected = 2 + (0.9 * 0.3 + 0.2 * 0.7) * 50 + (1 - 0.9 * 0.3) * 1000
    assert plan.expected(np.array([[0.3]]), "running") == pytest.approx([expected])


def test_help_is_called_at_once_where_it_is_cheaper_than_anything():
    """No plan costs more than help."""
    plan = plan_of([50], hit=[0], alarm=[0], look=[2], help_=40)
    assert plan.expected(np.array([[0.3], [0.0]]), "running") == pytest.approx([40, 40])


def test_a_look_that_is_used_up_is_not_taken_again():
    """With its only look gone, the cause is repaired outright."""
    plan = plan_of([50], hit=[1], alarm=[0], look=[2], help_=1000)
    assert plan.expected(np.array([[0.3]]), "running", used=0) == pytest.approx([50 + 0.7 * 1000])


def test_rows_are_worth_what_they_are_worth_alone():
    """Many rows of shares at once give what each gives by itself."""
    plan = plan_of([50, 20, 90], hit=[0.9, 0, 1], alarm=[0.1, 0, 0.05], look=[2, 1, 5], help_=300)
    shares = np.random.default_rng(5).dirichlet([1, 1, 1, 1], size=20)[:, :3]
    alone = [float(plan.expected(row[np.newaxis], "running")[0]) for row in shares]
    assert plan.expected(shares, "running") == pytest.approx(alone)
