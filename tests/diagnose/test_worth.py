"""What a step is worth: the best order of repairs, and that knowing more never costs more."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.advice import Adviser, Limits
from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner
from knowledge.book import load_book
from knowledge.words import HOLDS, UNLISTED, strength
from tests.diagnose.adviser import SHUT, STEADY, everything_asked
from tests.helpers import bare_book, book_of, cause, changed, check, tiny_book


@pytest.fixture(scope="module")
def tiny():
    return Reasoner(tiny_book(), {})


def repairable(adviser: Adviser) -> tuple[dict[str, float], dict[str, float]]:
    """(chance that putting it right cures, minutes of that) of each cause of the book, unit running."""
    share = {name: part for name, part in adviser.present_culprits().items() if not name.startswith(UNLISTED)}
    causes = adviser.book.causes
    cures = {name: part * strength(causes[name].repair.takes) for name, part in share.items()}
    return cures, {name: adviser.costs.repair(name, "running") for name in share}


def expected_of(order: tuple[str, ...], share: dict[str, float], minutes: dict[str, float], help_: float):
    """Heckerman, Breese & Rommelse 1995: sum of c_i (1 - sum of p_j before), and help for what is left."""
    left, spent = 1.0, 0.0
    for name in order:
        spent += minutes[name] * left
        left -= share[name]
    return spent + help_ * left


def cheapest(share: dict[str, float], minutes: dict[str, float], help_: float):
    """(expected minutes, order) of the best of all orders of all subsets; help alone is the empty one."""
    orders = (order for size in range(len(share) + 1) for order in permutations(share, size))
    return min((expected_of(order, share, minutes, help_), order) for order in orders)


@st.composite
def one_fault_books(draw):
    """Up to five causes of one complaint, all repaired while it runs, with no check that can be made."""
    count = draw(st.integers(1, 5))
    causes = {
        f"fault_{k}": cause(
            {"stays_shut": draw(st.floats(0.1, 0.95))},
            draw(st.floats(1, 60)),
            minutes=draw(st.integers(1, 90)),
        )
        for k in range(count)
    }
    prices = {"help": draw(st.integers(5, 400)), "proof": draw(st.integers(0, 30))}
    return book_of(changed(bare_book(), {"causes": causes, "prices": prices}))


@given(one_fault_books())
@STEADY
def test_repairing_by_probability_over_cost_is_the_best_of_all_orders(book):
    """No order of any of the repairs, with a call for help at its end, is cheaper in expectation."""
    reasoner = Reasoner(book, {})
    adviser = Adviser(reasoner, SHUT)
    advice = adviser.best(everything_asked(reasoner))
    share, minutes = repairable(adviser)
    best, order = cheapest(share, minutes, book.prices.help)
    assert advice.expected == pytest.approx(best, rel=1e-12)
    first = order[0] if order else ""
    if advice.kind == "repair":
        told = (advice.id, *(name for name in order if name != advice.id))
        assert expected_of(told, share, minutes, book.prices.help) == pytest.approx(best, rel=1e-12)
    else:
        assert advice.kind == "help"
        assert not first or best == pytest.approx(book.prices.help)


def test_the_printed_formula_of_repair_orders():
    """p .5 .3 .2 at costs 10, 2, 8 (sum c_i (1 - sum p_j)): by p/c the second, first, third: 10.6."""
    share = {"a": 0.5, "b": 0.3, "c": 0.2}
    minutes = {"a": 10.0, "b": 2.0, "c": 8.0}
    # 2 x 1 + 10 x 0.7 + 8 x 0.2, by hand.
    assert cheapest(share, minutes, 100) == (pytest.approx(10.6), ("b", "a", "c"))


def values_before_their_cost(adviser: Adviser, limits: Limits) -> dict[str, float]:
    """For each open question: minutes of the plan without it, less those once its answer is known."""
    outlook, start = adviser.outlook(limits)
    decision = outlook.decision
    own = decision.question_of()
    both = decision.likelihood * start.shares
    chance = both.sum(axis=1)
    here = np.full(len(own), start.hold)
    after = outlook.plan.expected((both / chance[:, None])[:, :-1], here, start.used, own, start.shares[:-1])
    known = np.bincount(own, chance * after)
    return {name: outlook.without(start, k) - known[k] for k, name in enumerate(decision.questions)}


@st.composite
def one_fault_looks(draw):
    """A one-fault book with one look at its first cause, of any quality."""
    book = bare_book()
    causes = {
        f"fault_{k}": cause({"stays_shut": 0.9}, draw(st.floats(0.5, 5)), minutes=draw(st.integers(1, 90)))
        for k in range(draw(st.integers(1, 4)))
    }
    rows = [{"given": "fault_0", "then": {"no": draw(st.floats(0.01, 0.99))}}]
    look = check([*rows, {"then": {"yes": draw(st.floats(0.01, 0.99))}}], slip=draw(st.floats(0.001, 0.4)))
    return book_of(changed(book, {"causes": causes, "checks": {"look": look}}))


@given(one_fault_looks())
@STEADY
def test_knowing_more_never_costs_more(book):
    """The value of a check before its own minutes is not negative."""
    values = values_before_their_cost(Adviser(Reasoner(book, {}), SHUT), Limits())
    assert min(values.values()) >= -1e-9


def test_knowing_more_never_costs_more_where_two_faults_coincide():
    """Two common causes of 30 minutes each, and a look that tells whether both are there."""
    look = check([{"given": ["left", "right"], "then": {"no": 0.9}}, {"then": {"no": 0.05}}], slip=0.001)
    twin = cause({"stays_shut": 0.95}, 60, minutes=30)
    causes = {"left": twin, "right": twin}
    book = book_of(changed(bare_book(), {"causes": causes, "checks": {"look": look}}))
    values = values_before_their_cost(Adviser(Reasoner(book, {}), SHUT), Limits())
    assert min(values.values()) >= -1e-9


@pytest.mark.parametrize("hold", HOLDS)
def test_knowing_more_never_costs_more_in_any_hold(tiny, hold):
    """Not for any check or fact of the tiny book, though repairs need holds and faults may coincide."""
    values = values_before_their_cost(Adviser(tiny, SHUT), Limits(hold))
    assert len(values) > 5
    assert min(values.values()) >= -1e-9


@pytest.mark.parametrize("complaint", load_book().complaints)
def test_knowing_more_never_costs_more_in_the_shipped_book(complaint):
    """Not for any check or fact of it, with nothing known of the unit."""
    values = values_before_their_cost(Adviser(Reasoner(load_book(), {}), Evidence((complaint,))), Limits())
    assert len(values) > 50
    assert min(values.values()) >= -1e-9


def test_a_question_that_tells_nothing_is_never_advised():
    """A look whose rows are all the same saves nothing, however cheap."""
    idle = check([{"given": "fault", "then": {"yes": 0.7}}, {"then": {"yes": 0.7}}], minutes=0)
    book = book_of(
        changed(
            bare_book(),
            {"causes": {"fault": cause({"stays_shut": 0.9})}, "checks": {"idle": idle}},
        )
    )
    advice = Adviser(Reasoner(book, {}), SHUT).best(Limits(asked={"drop_seen"}))
    assert (advice.kind, advice.id) == ("repair", "fault")


def test_a_perfect_look_is_worth_what_the_order_of_repairs_would_waste():
    """Two equal causes, 60 minutes each, and a look of one minute that parts them: the look goes first."""
    twin = cause({"stays_shut": 0.9}, 5, minutes=60)
    look = check([{"given": "left", "then": "no"}, {"then": "yes"}], slip=0.001, minutes=1)
    book = book_of(changed(bare_book(), {"causes": {"left": twin, "right": twin}, "checks": {"look": look}}))
    advice = Adviser(Reasoner(book, {}), SHUT).best(Limits(asked={"drop_seen"}))
    assert (advice.kind, advice.id) == ("check", "look")
