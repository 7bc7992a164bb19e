"""Laws of the reasoning on random whole books, findings hard and soft, parts in order and repairs.

Equality with enumeration for hard findings, and of a what-if with asking, are in `test_reasoner`.
"""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.advice import Adviser, Limits
from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner
from knowledge.book import Book
from tests.diagnose.oracle import enumerate_book
from tests.diagnose.random_books import books_with_findings
from tests.helpers import bare_book, book_of, cause, changed, check

STEADY = settings(max_examples=30, deadline=None, derandomize=True)
SHUT = Evidence(("wont_open",))


def answers_of(book: Book, question: str) -> list[str]:
    """What a check, or a fact looked at, can show."""
    return list(book.checks[question].outcomes if question in book.checks else book.facts[question].values)


def assert_same(one: Reasoner, first: Evidence, second: Evidence, times: float = 1.0) -> None:
    """The same beliefs, and P(findings) ``times`` as large in the second."""
    before, after = one.beliefs(first), one.beliefs(second)
    assert after.causes == pytest.approx(before.causes, rel=0, abs=1e-11)
    assert after.weight == pytest.approx(before.weight * times, rel=1e-9)


@st.composite
def books_with_soft_findings(draw):
    """(a random book, known facts, findings of which some are soft, up to two repairs)."""
    book, known, evidence = draw(books_with_findings())
    soft = {
        name: {answer: draw(st.floats(0.01, 1)) for answer in answers_of(book, name)}
        for name in evidence.findings
        if draw(st.booleans())
    }
    mended = draw(st.lists(st.sampled_from(list(book.causes)), unique=True, max_size=2))
    remains = {name: draw(st.floats(0.01, 0.9)) for name in mended}
    return book, known, replace(evidence, soft=soft, remains=remains)


def enumerate_soft(book: Book, known: dict[str, str], evidence: Evidence) -> tuple[dict[str, float], float]:
    """`enumerate_book` for soft findings: each way to answer them, weighed by the product of its weights."""
    names = list(evidence.soft)
    total, sums = 0.0, dict.fromkeys(book.causes, 0.0)
    for picked in product(*(evidence.soft[name] for name in names)):
        answers = dict(zip(names, picked, strict=True))
        hard = replace(evidence, findings={**evidence.findings, **answers}, soft={})
        causes, weight = enumerate_book(book, known, hard)
        weight *= np.prod([evidence.soft[name][answer] for name, answer in answers.items()])
        total += weight
        for name in sums:
            sums[name] += weight * causes[name]
    return {name: share / total for name, share in sums.items()}, total


@given(books_with_soft_findings())
@STEADY
def test_soft_findings_equal_enumeration(case):
    """With unknown facts, several faults at once, and two causes put right before: summed by hand."""
    book, known, evidence = case
    evidence = replace(evidence, soft={n: w for n, w in evidence.soft.items() if n not in known})
    expected, weight = enumerate_soft(book, known, evidence)
    beliefs = Reasoner(book, known).beliefs(evidence)
    assert {name: beliefs.causes[name] for name in expected} == pytest.approx(expected, rel=0, abs=1e-11)
    assert beliefs.weight == pytest.approx(weight, rel=1e-9)


@given(books_with_soft_findings(), st.randoms(use_true_random=False))
@STEADY
def test_the_order_in_which_things_are_found_does_not_matter(case, draw):
    """Complaints, findings, weights and repairs, each in another order."""
    book, known, evidence = case

    def mixed(entries):
        return dict(draw.sample(list(entries.items()), len(entries)))

    other = Evidence(
        tuple(draw.sample(evidence.complaints, len(evidence.complaints))),
        mixed(evidence.findings),
        evidence.in_order,
        mixed(evidence.remains),
        {name: mixed(weights) for name, weights in mixed(evidence.soft).items()},
    )
    assert_same(Reasoner(book, known), evidence, other)


@given(books_with_soft_findings(), st.floats(0.01, 1))
@STEADY
def test_a_finding_that_favours_no_answer_changes_nothing(case, level):
    """Equal weights for every answer of an open question: beliefs stay, P(findings) scales by the weight."""
    book, known, evidence = case
    reasoner = Reasoner(book, known)
    questions = [*book.checks, *(name for name in book.facts if name not in known)]
    for name in questions:
        if name not in evidence.findings:
            answers = answers_of(book, name)
            nothing = replace(
                evidence,
                findings={**evidence.findings, name: answers[0]},
                soft={**evidence.soft, name: dict.fromkeys(answers, level)},
            )
            assert_same(reasoner, evidence, nothing, level)


@given(books_with_soft_findings())
@STEADY
def test_a_what_if_ranks_the_causes_as_asking_and_then_ranking_does(case):
    """For every answer of every open check, soft findings on the table or not; ties apart."""
    book, known, evidence = case
    reasoner = Reasoner(book, known)
    questions = [name for name in book.checks if name not in evidence.findings]
    for name, what_if in reasoner.what_ifs(evidence, questions).items():
        for answer, row in zip(what_if.outcomes, what_if.causes, strict=True):
            asked = replace(evidence, findings={**evidence.findings, name: answer})
            after = np.array(list(reasoner.beliefs(asked).causes.values()))
            ranked = after[np.argsort(-row, kind="stable")]
            assert (np.diff(ranked) <= 1e-10).all()


@st.composite
def seen_for_certain(draw):
    """A book of one complaint in which a look, already made, shows one of several rare causes outright."""
    count = draw(st.integers(2, 5))
    guilty = draw(st.integers(0, count - 1))
    causes = {
        f"fault_{k}": cause(
            {"stays_shut": draw(st.floats(0.5, 0.95))},
            draw(st.floats(0.5, 3)),
            minutes=draw(st.integers(1, 90)),
        )
        for k in range(count)
    }
    checks = {
        f"look_{k}": check(
            [{"given": f"fault_{k}", "then": {"no": 0.99}}, {"then": {"yes": 0.9999}}],
            slip=1e-4,
            minutes=draw(st.integers(1, 20)),
        )
        for k in range(count)
    }
    return book_of(changed(bare_book(), {"causes": causes, "checks": checks})), guilty


@given(seen_for_certain())
@STEADY
def test_the_repair_of_a_cause_that_is_certain_is_advised(case):
    """Though the others can still be looked at, in as little as a minute, what is broken is put right."""
    book, guilty = case
    findings = {f"look_{guilty}": "no"}
    adviser = Adviser(Reasoner(book, {}), replace(SHUT, findings=findings))
    # The premise, so that the law is not about nothing.
    assert adviser.present_culprits()[f"fault_{guilty}"] > 0.95
    advice = adviser.best(Limits(asked=frozenset(findings)))
    assert (advice.kind, advice.id) == ("repair", f"fault_{guilty}")
