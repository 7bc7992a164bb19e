"""Beliefs equal those of pyagrum, a general library, on the tiny book and on the shipped one.

pyagrum's `addNoisyORNet` is the usual leaky noisy-OR; its `addNoisyORCompound` is another formula.
"""

import random

import numpy as np
import pytest

from diagnose.compile import all_causes
from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner
from knowledge.book import Book, load_book
from tests.diagnose.oracle import agrum_beliefs, base_of, chances, fact_chance, links_to, strength_of
from tests.helpers import tiny_book

pytest.importorskip("pyagrum", reason="the oracle is a development dependency")

CASES = 6
"""Sets of findings for each sheet."""


@pytest.fixture(scope="module", params=["tiny", "shipped"])
def book(request) -> Book:
    return tiny_book() if request.param == "tiny" else load_book()


def drawn_facts(book: Book, draw: random.Random) -> dict[str, str]:
    """A unit as the shares of the book make it."""
    facts: dict[str, str] = {}
    waiting = list(book.facts)
    while waiting:
        name = waiting.pop(0)
        if {fact for row in book.facts[name].prior for fact in row.when or {}} <= set(facts):
            values = list(book.facts[name].values)
            weights = [fact_chance(book, name, {**facts, name: value}) for value in values]
            facts[name] = draw.choices(values, weights)[0]
        else:
            waiting.append(name)
    return facts


def drawn_world(book: Book, facts: dict[str, str], draw: random.Random) -> set[str]:
    """What is there on one callout: one cause for sure, others by their base rates, conditions by gates."""
    there = {draw.choice(list(book.causes))}
    there |= {name for name in all_causes(book) if draw.random() < base_of(book, name, facts, {})}
    waiting = list(book.conditions)
    while waiting:
        name = waiting.pop(0)
        links = links_to(book, name)
        if any(parent in waiting for parent, _ in links):
            waiting.append(name)
            continue
        pulls = [strength_of(rows, facts) for parent, rows in links if parent in there]
        if any(draw.random() < pull for pull in pulls):
            there.add(name)
    return there


def drawn_evidence(book: Book, draw: random.Random, wild: bool) -> Evidence:
    """Findings of one drawn callout; wild ones are picked without regard to what is there."""
    facts = drawn_facts(book, draw)
    there = drawn_world(book, facts, draw)
    findings = {}
    for name in draw.sample(list(book.checks), min(len(book.checks), draw.randint(3, 8))):
        outcomes = list(book.checks[name].outcomes)
        weights = None if wild else chances(book, name, there, facts)
        findings[name] = draw.choices(outcomes, weights)[0]
    asked = draw.choice(list(book.facts))
    findings[asked] = facts[asked]
    causes = draw.sample(list(book.causes), 2)
    return Evidence(
        (draw.choice(list(book.complaints)),),
        findings,
        frozenset(causes[:1]) if draw.random() < 0.5 else frozenset(),
        {causes[1]: 0.05} if draw.random() < 0.5 else {},
    )


def depends_on(book: Book, name: str) -> set[str]:
    """The facts that the shares of a fact depend on."""
    return {fact for row in book.facts[name].prior for fact in row.when or {}}


def known_facts(book: Book, sheet: int) -> dict[str, str]:
    """Sheet 0 knows nothing, 1 all, 2 and 3 about half; a fact is known only with those it hangs on."""
    draw = random.Random(sheet)
    facts = drawn_facts(book, draw)
    if sheet < 2:
        return facts if sheet else {}
    known: dict[str, str] = {}
    for name, value in facts.items():
        if draw.random() < 0.6 and depends_on(book, name) <= set(known):
            known[name] = value
    return known


def assert_agree(book: Book, facts: dict[str, str], draw: random.Random) -> None:
    """Every cause's posterior to 1e-9, for several sets of findings, a third of them wild."""
    reasoner = Reasoner(book, facts)
    for case in range(CASES):
        evidence = drawn_evidence(book, draw, wild=case % 3 == 2)
        ours = reasoner.beliefs(evidence).causes
        theirs = agrum_beliefs(book, facts, evidence)
        assert list(ours) == list(theirs)
        worst = max(ours, key=lambda name: abs(ours[name] - theirs[name]))
        np.testing.assert_allclose(
            ours[worst], theirs[worst], rtol=0, atol=1e-9, err_msg=f"{worst} {evidence}"
        )


@pytest.mark.parametrize("sheet", range(4))
def test_every_cause_is_believed_as_pyagrum_believes_it(book, sheet):
    """For an unknown unit and three known ones, findings that fit one story and wild ones."""
    assert_agree(book, known_facts(book, sheet), random.Random(100 + sheet))


def test_a_fact_known_without_those_it_hangs_on_is_believed_as_pyagrum_believes_it(book):
    """Known are only the facts whose shares depend on others that are not known."""
    draw = random.Random(7)
    facts = {name: value for name, value in drawn_facts(book, draw).items() if depends_on(book, name)}
    assert_agree(book, facts, draw)
