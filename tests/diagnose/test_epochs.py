"""What a repair that did not cure it makes of earlier findings, against sums written out by hand."""

from dataclasses import replace
from unittest.mock import patch

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose import epochs
from diagnose.advice import Adviser
from diagnose.evidence import Earlier, Evidence
from diagnose.reasoner import Reasoner
from knowledge.book import Book
from tests.diagnose.oracle import enumerate_book
from tests.diagnose.random_books import books_with_findings
from tests.helpers import tiny_book

STEADY = settings(max_examples=30, deadline=None, derandomize=True)
NOTHING = Evidence()


def both(*parts: Evidence) -> Evidence:
    """Everything that several pieces of evidence say together."""
    return Evidence(
        tuple(name for part in parts for name in part.complaints),
        {name: answer for part in parts for name, answer in part.findings.items()},
        frozenset().union(*(part.in_order for part in parts)),
    )


def named(evidence: Evidence) -> frozenset[str]:
    """The names of all that was found."""
    return frozenset([*evidence.complaints, *evidence.findings])


@st.composite
def books_after_a_repair(draw):
    """(a random book, known facts, evidence after a repair in vain): findings drawn into three heaps."""
    book, known, evidence = draw(books_with_findings())
    heaps = [NOTHING, NOTHING, NOTHING]
    for name in evidence.complaints:
        k = draw(st.sampled_from((0, 2)))
        heaps[k] = both(heaps[k], Evidence((name,)))
    for name, answer in evidence.findings.items():
        k = draw(st.integers(0, 2))
        heaps[k] = both(heaps[k], Evidence((), {name: answer}))
    doubted, beside, now = heaps
    cause, takes = draw(st.sampled_from(list(book.causes))), draw(st.floats(0.05, 0.95))
    step = Earlier(cause, takes, doubted, beside, named(doubted))
    return book, known, replace(both(beside, now), remains={cause: 1 - takes}, earlier=(step,))


def by_hand(book: Book, known: dict[str, str], evidence: Evidence) -> tuple[dict[str, float], float]:
    """(P(cause), P(all)) of the two ways, from enumerations of the whole table alone."""
    (step,) = evidence.earlier
    c, takes = step.cause, step.takes
    later = replace(evidence, earlier=(), remains={})
    seen, beside = both(step.doubted, later), step.beside

    def there(some: Evidence, **remains: float) -> tuple[dict[str, float], float]:
        return enumerate_book(book, known, replace(some, remains=remains))

    prior = there(NOTHING)[0][c]
    with_c, weight = there(seen)
    on = weight * with_c[c]
    # With c surely off the table sums to P(seen | c off): its share of the whole is what c off had.
    without, given_off = there(seen, **{c: 0.0})
    off = given_off * (1 - prior)
    assert on + off == pytest.approx(weight, rel=1e-9)
    before, of_before = there(both(step.doubted, beside))
    apart, of_apart = there(beside)
    of_doubted = before[c] * of_before / (apart[c] * of_apart) if before[c] * of_before else 0.0
    after, given_gone = there(later, **{c: 0.0})
    gone = takes * prior * of_doubted * given_gone
    total = off + (1 - takes) * on + gone
    sums = {
        name: off * without[name]
        + (1 - takes) * (weight * with_c[name] - off * without[name])
        + gone * after[name]
        for name in book.causes
    }
    return {name: part / total for name, part in sums.items()}, total


@given(books_after_a_repair())
@STEADY
def test_a_repair_in_vain_is_a_mixture_of_two_ways(case):
    """It changed nothing, or the cause was there and is gone: each summed over the whole table."""
    book, known, evidence = case
    known = {name: known.get(name, next(iter(fact.values))) for name, fact in book.facts.items()}
    expected, weight = by_hand(book, known, evidence)
    with patch.object(epochs, "LEAST_WAY", 0.0):
        beliefs = Reasoner(book, known).beliefs(evidence)
    assert {name: beliefs.causes[name] for name in expected} == pytest.approx(expected, rel=0, abs=1e-9)
    assert beliefs.weight == pytest.approx(weight, rel=1e-9)


@given(books_after_a_repair())
@STEADY
def test_with_nothing_in_doubt_only_the_base_rate_is_lower(case):
    """A repair of what no finding hangs on is the share of the prior that it leaves."""
    book, known, evidence = case
    (step,) = evidence.earlier
    free = replace(evidence, earlier=(replace(step, doubted=NOTHING, changes=frozenset()),))
    reasoner = Reasoner(book, known)
    with patch.object(epochs, "LEAST_WAY", 0.0):
        one = reasoner.beliefs(free)
    other = reasoner.beliefs(replace(evidence, earlier=()))
    assert one.causes == pytest.approx(other.causes, rel=0, abs=1e-9)
    assert one.weight == pytest.approx(other.weight, rel=1e-9)


@given(books_after_a_repair(), st.data())
@STEADY
def test_after_a_repair_a_what_if_is_still_what_asking_brings(case, data):
    """Each answer's chance, and what every cause would be, also for a check that is in doubt."""
    book, known, evidence = case
    reasoner = Reasoner(book, known)
    free = [name for name in book.checks if name not in evidence.findings]
    if not free:
        free = list(book.checks)
        evidence = replace(evidence, findings={})
    name = data.draw(st.sampled_from(free))
    (what_if,) = reasoner.what_ifs(evidence, [name]).values()
    now = reasoner.beliefs(evidence).weight
    for answer, chance, causes in zip(what_if.outcomes, what_if.chance, what_if.causes, strict=True):
        asked = reasoner.beliefs(replace(evidence, findings={**evidence.findings, name: answer}))
        assert chance == pytest.approx(asked.weight / now, rel=1e-9)
        assert causes == pytest.approx(list(asked.causes.values()), rel=0, abs=1e-9)


BOOK = tiny_book()
SHUT = Evidence(("wont_open",))
FACTS = {"fails": "closed", "season": "warm"}


def after_repairing(cause: str, takes: float, findings: dict[str, str], times: int = 1) -> Evidence:
    """The same complaint again after repairs of one cause, with all findings put in doubt by each."""
    changes = frozenset([*findings, "wont_open"])
    steps = [Earlier(cause, takes, both(SHUT, Evidence((), findings)), NOTHING, changes)]
    steps += [Earlier(cause, takes, SHUT, NOTHING, changes)] * (times - 1)
    return replace(SHUT, remains={cause: (1 - takes) ** times}, earlier=tuple(steps))


def test_a_guess_that_did_not_cure_leaves_the_findings_standing():
    """The vent was put right on a guess; the gauge with no pressure still points to the supply."""
    reasoner = Reasoner(BOOK, FACTS)
    fresh = reasoner.beliefs(replace(SHUT, findings={"supply_gauge": "none"})).causes["supply_lost"]
    later = reasoner.beliefs(after_repairing("vent_blocked", 0.95, {"supply_gauge": "none"}))
    assert fresh > 0.85
    assert later.causes["supply_lost"] > 0.85


def test_what_was_seen_and_mended_is_explained_by_it():
    """The supply was found lost and put right: the old gauge reading accuses it no more."""
    reasoner = Reasoner(BOOK, FACTS)
    findings = {"supply_gauge": "none"}
    later = reasoner.beliefs(after_repairing("supply_lost", 0.95, findings)).causes["supply_lost"]
    standing = reasoner.beliefs(replace(SHUT, findings=findings, remains={"supply_lost": 0.05}))
    assert later < standing.causes["supply_lost"]


def test_no_more_ways_than_the_likeliest_four_are_followed():
    """Six repairs in vain of causes that may each have been there stay a mixture of four at most."""
    steps = []
    for cause in (*BOOK.causes, *BOOK.causes):
        steps.append(Earlier(cause, 0.5, SHUT, NOTHING, frozenset(["wont_open"])))
    evidence = replace(SHUT, remains=dict.fromkeys(BOOK.causes, 0.25), earlier=tuple(steps[:6]))
    reasoner = Reasoner(BOOK, FACTS)
    beliefs = reasoner.beliefs(evidence)
    assert np.isfinite(list(beliefs.causes.values())).all()
    assert 1 < len(reasoner.ways(evidence)) <= 4


def test_putting_right_a_second_time_lowers_it_further():
    """Each repair of the same cause in vain makes it less likely that it is there."""
    reasoner = Reasoner(BOOK, FACTS)
    once, twice = (
        reasoner.beliefs(after_repairing("stem_stuck", 0.6, {"stem_moves": "no"}, times)).causes["stem_stuck"]
        for times in (1, 2)
    )
    assert twice < once


def test_advice_after_a_repair_in_vain_is_still_a_decision():
    """Shares of the blame stay between 0 and 1 and their sum at most 1."""
    evidence = after_repairing("vent_blocked", 0.95, {"supply_gauge": "none"})
    blame = Adviser(Reasoner(BOOK, FACTS), evidence).present_culprits()
    assert 0 < sum(blame.values()) <= 1 + 1e-12
    assert max(blame, key=blame.get) == "supply_lost"
