"""Beliefs and what-ifs of whole books: laws, and equality with enumeration."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.compile import LEAK
from diagnose.evidence import Evidence
from diagnose.network import evidence as seen
from diagnose.reasoner import Reasoner
from tests.diagnose.oracle import enumerate_book
from tests.diagnose.random_books import books_with_findings
from tests.helpers import bare_book, book_of, cause, changed, tiny_book

STEADY = settings(max_examples=30, deadline=None, derandomize=True)
SHUT = Evidence(("wont_open",), {"supply_gauge": "none", "output_moves": "no", "season": "warm"})


@pytest.fixture(scope="module")
def tiny():
    return Reasoner(tiny_book(), {})


def with_finding(evidence: Evidence, name: str, answer: str) -> Evidence:
    return replace(evidence, findings={**evidence.findings, name: answer})


def assert_same(one: dict[str, float], other: dict[str, float], within: float = 1e-12) -> None:
    assert list(one) == list(other)
    np.testing.assert_allclose(list(one.values()), list(other.values()), rtol=0, atol=within)


@given(books_with_findings())
@STEADY
def test_beliefs_of_a_book_equal_enumeration(case):
    """Two faults at once, unknown facts weighted by their shares, repairs and all: summed by hand."""
    book, known, evidence = case
    beliefs = Reasoner(book, known).beliefs(evidence)
    expected, weight = enumerate_book(book, known, evidence)
    assert_same(beliefs.causes, {name: expected[name] for name in beliefs.causes}, 1e-11)
    assert beliefs.weight == pytest.approx(weight, rel=1e-10)


@given(books_with_findings())
@STEADY
def test_a_what_if_equals_asking(case):
    """What each answer would say is what it says once it is given; and its chance is its share."""
    book, known, evidence = case
    reasoner = Reasoner(book, known)
    before = reasoner.beliefs(evidence)
    open_facts = [name for name in book.facts if name not in known]
    questions = [name for name in [*book.checks, *open_facts] if name not in evidence.findings]
    what_ifs = reasoner.what_ifs(evidence, questions)
    assert list(what_ifs) == questions
    for name, what_if in what_ifs.items():
        assert what_if.chance.sum() == pytest.approx(1, abs=1e-12)
        for k, answer in enumerate(what_if.outcomes):
            after = reasoner.beliefs(with_finding(evidence, name, answer))
            assert what_if.chance[k] == pytest.approx(after.weight / before.weight, abs=1e-10)
            np.testing.assert_allclose(what_if.causes[k], list(after.causes.values()), rtol=0, atol=1e-10)


@given(books_with_findings())
@STEADY
def test_what_ifs_average_to_what_is_believed_now(case):
    """No question moves a belief on average."""
    book, known, evidence = case
    reasoner = Reasoner(book, known)
    now = np.array(list(reasoner.beliefs(evidence).causes.values()))
    questions = [name for name in book.checks if name not in evidence.findings]
    for what_if in reasoner.what_ifs(evidence, questions).values():
        np.testing.assert_allclose(what_if.chance @ what_if.causes, now, rtol=0, atol=1e-11)


@given(books_with_findings())
@STEADY
def test_a_known_fact_is_a_fact_seen_for_certain(case):
    """Folding a fact away gives what leaving it open and observing it gives (facts on their own)."""
    book, known, evidence = case
    folded = Reasoner(book, known).beliefs(evidence)
    left_open = Reasoner(book, {})
    observed = [seen(name, tuple(book.facts[name].values), value) for name, value in known.items()]
    done = left_open.calibrate(evidence, observed)
    assert_same(folded.causes, {name: float(done.joint([name])[1, 0]) for name in folded.causes}, 1e-11)


def test_a_known_fact_tells_about_the_fact_that_it_depends_on():
    """Fails open is met more in the warm; knowing it makes cold less likely, folded as observed."""
    book = tiny_book()
    folded = Reasoner(book, {"fails": "open"}).calibrate(Evidence()).joint(["season"])[:, 0]
    observed = [seen("fails", ("closed", "open"), "open")]
    expected = Reasoner(book, {}).calibrate(Evidence(), observed).joint(["season"])[:, 0]
    # Bayes by hand: warm .7 x .4, cold .3 x .1.
    assert expected == pytest.approx([0.28 / 0.31, 0.03 / 0.31])
    assert folded == pytest.approx(expected)


def test_an_unknown_fact_is_the_average_over_its_values():
    """P(cause) with nothing seen is the shares' average of P(cause) under each value."""
    book = tiny_book()
    warm, cold = (Reasoner(book, {"season": s}).beliefs(Evidence()).causes for s in ("warm", "cold"))
    unknown = Reasoner(book, {}).beliefs(Evidence()).causes
    assert_same(unknown, {name: 0.7 * warm[name] + 0.3 * cold[name] for name in unknown})


@given(st.permutations(list(SHUT.findings)))
@settings(max_examples=6, deadline=None, derandomize=True)
def test_the_order_of_findings_does_not_matter(tiny, order):
    """The same findings in another order give the same beliefs."""
    other = replace(SHUT, findings={name: SHUT.findings[name] for name in order})
    assert_same(tiny.beliefs(other).causes, tiny.beliefs(SHUT).causes)


def test_observing_nothing_changes_nothing(tiny):
    """Without findings P(findings) is 1 and a cause with a base rate alone has it."""
    beliefs = tiny.beliefs(Evidence())
    assert beliefs.weight == pytest.approx(1, abs=1e-12)
    assert beliefs.causes["supply_lost"] == pytest.approx(0.020, abs=1e-12)
    assert beliefs.causes["unlisted_wont_shut"] == pytest.approx(0.003, abs=1e-12)


def test_asking_leaves_the_reasoner_as_it_was(tiny):
    """The same beliefs, bit for bit, before and after other questions."""
    before = tiny.beliefs(SHUT)
    tiny.what_ifs(SHUT, ["vent_breathes", "fails"])
    tiny.beliefs(Evidence(remains={"stem_stuck": 0.05}))
    assert tiny.beliefs(SHUT) == before


def test_a_finding_on_a_fact_the_sheet_gives_says_nothing_more():
    """The sheet already says it: weight and beliefs stay."""
    reasoner = Reasoner(tiny_book(), {"season": "warm"})
    without = replace(SHUT, findings={n: a for n, a in SHUT.findings.items() if n != "season"})
    assert reasoner.beliefs(SHUT) == reasoner.beliefs(without)


def test_two_faults_at_once_are_found_together(tiny):
    """Both seen with the eye: both are likely, though either alone explains the complaint."""
    both = Evidence(("wont_open",), {"vent_breathes": "no", "stem_moves": "no", "season": "warm"})
    beliefs = tiny.beliefs(both).causes
    expected, _ = enumerate_book(tiny.book, {}, both)
    assert_same(beliefs, {name: expected[name] for name in beliefs})
    assert beliefs["vent_blocked"] > 0.5
    assert beliefs["supply_lost"] < 0.1


def test_one_cause_explains_the_other_away(tiny):
    """Once the supply is seen to be missing, a stuck stem is less likely than before."""
    shut = tiny.beliefs(Evidence(("wont_open",))).causes
    no_supply = tiny.beliefs(Evidence(("wont_open",), {"supply_gauge": "none"})).causes
    assert no_supply["stem_stuck"] < shut["stem_stuck"] / 3


def test_a_part_found_in_order_is_nearly_ruled_out(tiny):
    """Its odds fall to LOOK_SLIP / (1 - LOOK_SLIP), a nineteenth, of what they were."""
    before = tiny.beliefs(SHUT).causes["vent_blocked"]
    after = tiny.beliefs(replace(SHUT, in_order=frozenset({"vent_blocked"}))).causes["vent_blocked"]
    assert after / (1 - after) == pytest.approx(before / (1 - before) / 19, rel=1e-9)


def test_a_repaired_cause_keeps_the_share_that_the_repair_left(tiny):
    """Without findings its probability is the base rate times what remains."""
    left = tiny.beliefs(Evidence(remains={"supply_lost": 0.05})).causes
    before = tiny.beliefs(Evidence()).causes
    assert left["supply_lost"] == pytest.approx(0.05 * before["supply_lost"], rel=1e-9)
    assert left["stem_stuck"] == pytest.approx(before["stem_stuck"], rel=1e-9)


def test_a_contradiction_weighs_nothing_and_is_no_number(tiny):
    """A cause both there and not there for certain: weight 0, beliefs NaN, no exception."""
    clash = [seen("stem_stuck", ("no", "yes"), answer) for answer in ("no", "yes")]
    done = tiny.calibrate(SHUT, clash)
    assert done.weight[0] == 0
    assert math.isnan(done.joint(["vent_blocked"])[1, 0])


def test_no_findings_of_a_book_are_impossible(tiny):
    """Every combination of answers to all six checks has a probability above 0 and real beliefs."""
    checks = list(tiny.book.checks)
    for pick in range(3):
        answers = {name: tiny.answers(name)[pick % len(tiny.answers(name))] for name in checks}
        beliefs = tiny.beliefs(Evidence(("wont_open", "wont_shut"), answers))
        assert beliefs.weight > 0
        assert all(0 <= chance <= 1 for chance in beliefs.causes.values())


def test_more_causes_than_one_batch_holds_are_all_asked():
    """150 causes need three batched passes; the what-ifs still equal asking."""
    causes = {f"fault_{k}": cause({"stays_shut": 0.1 + 0.005 * k}, 1 + k % 7) for k in range(150)}
    reasoner = Reasoner(book_of(changed(bare_book(), {"causes": causes})), {})
    evidence = Evidence(("wont_open",))
    (what_if,) = reasoner.what_ifs(evidence, ["drop_seen"]).values()
    assert what_if.causes.shape == (2, 151)
    for k, answer in enumerate(what_if.outcomes):
        after = reasoner.beliefs(with_finding(evidence, "drop_seen", answer)).causes
        np.testing.assert_allclose(what_if.causes[k], list(after.values()), rtol=0, atol=1e-10)


@pytest.mark.parametrize("count", [2, 5, 9])
def test_many_causes_of_one_complaint_sum_by_noisy_or(count):
    """Heckerman 1989 (Quickscore): the closed form for one finding over independent causes is a law."""
    causes = {f"fault_{k}": cause({"stays_shut": 0.3 + 0.05 * k}, 20 + 10 * k) for k in range(count)}
    book = book_of(changed(bare_book(), {"causes": causes, "complaints": {"wont_open": {"unlisted": 5}}}))
    beliefs = Reasoner(book, {}).beliefs(Evidence(("wont_open",)))
    spared = (1 - LEAK) * (1 - 0.005 * 0.995)
    for k in range(count):
        spared *= 1 - (0.02 + 0.01 * k) * (0.3 + 0.05 * k)
    # reported: usually (0.8); false report: 0.01
    assert beliefs.weight == pytest.approx(0.01 * spared + 0.8 * (1 - spared), rel=1e-12)
