"""What must hold of simulated callouts, or their figures mean nothing (`tests.bench`)."""

from collections import Counter

import numpy as np
import pytest

from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner
from diagnose.trial.policies import BEST, HALFSPLIT, POLICIES, Desk
from diagnose.trial.working import Bill, Job, worked_by
from knowledge.book import Book
from tests.bench.vessel import Vessel, callout
from tests.helpers import tiny_book

CALLOUTS = 8
DRAWN = 1500
SIGMAS = 4.5
"""Standard errors that a frequency may be off by: by chance, once in 100,000."""


@pytest.fixture(scope="module")
def book() -> Book:
    """The tiny book, in which nobody reports what is not so."""
    never = {"false_report": 1e-6}
    return tiny_book({"complaints": {"wont_open": never, "wont_shut": never}})


@pytest.fixture(scope="module")
def worked(book: Book) -> list[dict[str, tuple[Bill, Vessel]]]:
    """Some callouts by every policy: its bill, and the vessel as it left it."""
    desk, results = Desk(book, {}), []
    for number in range(CALLOUTS):
        results.append({name: work(desk, name, number) for name in POLICIES})
    return results


def work(desk: Desk, policy: str, number: int) -> tuple[Bill, Vessel]:
    """One callout by one policy."""
    vessel, complaint = callout(desk.book, "law", number)
    return worked_by(Job(desk, vessel, complaint), POLICIES[policy]), vessel


def near(count: int, of: int, chance: float) -> bool:
    """Whether a count is as a chance says, give or take `SIGMAS`."""
    return abs(count / of - chance) <= SIGMAS * np.sqrt(chance * (1 - chance) / of) + 1 / of


def test_a_vessel_shows_the_same_in_whatever_order_it_is_looked_at(book):
    questions = [*book.checks, *book.facts]
    for number in range(20):
        one, complaint = callout(book, "order", number)
        other = Vessel(book, one.seed)
        seen = {name: one.shows(name, 0) for name in questions}
        assert {name: other.shows(name, 0) for name in reversed(questions)} == seen
        assert (one.faults, one.facts) == (other.faults, other.facts)
        assert complaint in other.complaints()


def test_faults_and_answers_come_as_the_reasoner_believes(book):
    reasoner = Reasoner(book, {})
    drawn = [callout(book, "model", number) for number in range(DRAWN)]
    for complaint in book.complaints:
        vessels = [vessel for vessel, called in drawn if called == complaint]
        evidence = Evidence((complaint,))
        for cause, chance in reasoner.beliefs(evidence).causes.items():
            assert near(sum(cause in vessel.faults for vessel in vessels), len(vessels), chance), cause
        for name, what_if in reasoner.what_ifs(evidence, [*book.checks, *book.facts]).items():
            shown = Counter(vessel.shows(name, 0)[0] for vessel in vessels)
            for outcome, chance in zip(what_if.outcomes, what_if.chance, strict=True):
                assert near(shown[outcome], len(vessels), chance), (name, outcome)


def test_a_cured_vessel_shows_no_complaint_and_help_is_called_for_none(worked):
    for bills in worked:
        for name, (bill, vessel) in bills.items():
            assert (bill.ended == "cured") == (not vessel.complaints()), name


def test_minutes_add_up(book, worked):
    for bills in worked:
        for bill, _ in bills.values():
            assert bill.minutes == pytest.approx(sum(step[3] for step in bill.log))
            checks = [step for step in bill.log if step[0] == "check"]
            assert bill.checks == len(checks)
            assert all(step[3] >= book.question(step[1]).minutes for step in checks)


def test_the_clairvoyant_pays_for_the_repairs_and_nothing_else(book, worked):
    costs = Desk(book, {}).costs
    for bills in worked:
        bill, _ = bills[BEST]
        repairs = [name for kind, name, _, _ in bill.log if kind == "repair"]
        help_ = book.prices.help if bill.ended == "help" else 0
        assert bill.minutes == pytest.approx(sum(costs.repair(c, "running") for c in repairs) + help_)
        assert (bill.wrong, bill.checks) == (0, 0)


def test_nobody_is_quicker_than_the_clairvoyant(worked):
    for bills in worked:
        least = bills[BEST][0].minutes
        assert all(bill.minutes >= least - 1e-9 for bill, _ in bills.values())


def test_a_callout_does_not_depend_on_those_before_it(book, worked):
    for number in reversed(range(CALLOUTS)):
        bill, _ = work(Desk(book, {}), HALFSPLIT, number)
        assert bill == worked[number][HALFSPLIT][0]


def test_the_cures_of_a_vessel_are_least(book):
    for number in range(60):
        vessel, _ = callout(book, "cures", number)
        for repairs in vessel.repairs_to_cure():
            left = vessel.faults - set(repairs)
            assert not vessel.complaints(left)
            assert all(vessel.complaints(left | {cause}) for cause in repairs)
