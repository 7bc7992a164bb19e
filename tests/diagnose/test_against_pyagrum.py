"""Every belief equals pyagrum's, a general library, over many findings on the shipped book and made-up loops.

One engine for each network, with every check a node of it and the gates made by `addNoisyORNet`.
`test_oracle` looks at repairs, parts in order and half-known sheets, with a network of its own each time.
"""

import random
from dataclasses import replace

import pytest

from diagnose.compile import all_causes
from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner
from diagnose.sheet import read_unit
from knowledge.book import Book, load_book
from tests.diagnose.whole_nets import in_tables, observed_in, whole_net
from tests.loops import arcs, drawn_evidence, loop_book

gum = pytest.importorskip("pyagrum", reason="the oracle is a development dependency")

MOST = 24
"""Findings in the largest set."""
FEWER = 12
"""Where nothing is known of the unit: the general library's tables for more do not fit into memory."""
WILD = 30
"""Findings that contradict one another."""


def full_sheet(book: Book) -> dict[str, str]:
    """Every fact known: those of an example sheet, and the first value of what only the site can tell."""
    facts = {name: next(iter(fact.values)) for name, fact in book.facts.items()}
    return facts | dict(read_unit("high-mesa-s4", book).facts)


MODELS = {
    "shipped book, unknown sheet": (50, FEWER, lambda: (load_book(), {})),
    "shipped book, full sheet": (50, MOST, lambda: (load_book(), full_sheet(load_book()))),
    "loop without long arcs": (50, MOST, lambda: (loop_book(seed=2), {})),
    "loop with 2 % long arcs": (50, MOST, lambda: (loop_book(far=0.02), {})),
    "loop with 5 % long arcs": (5, MOST, lambda: (loop_book(far=0.05), {})),
}
"""Sets of findings (every second one is wild), findings in the largest, what makes book and known facts.

Fewer on the densest loop: one set takes the general library a third of a second there.
"""


class General:
    """One compiled engine of pyagrum; evidence comes and goes."""

    def __init__(self, book: Book, known: dict[str, str]) -> None:
        self.book, self.known = book, known
        self.engine = gum.ShaferShenoyInference(in_tables(whole_net(book, known), book.conditions))
        for name in all_causes(book):
            self.engine.addTarget(name)

    def beliefs(self, evidence: Evidence) -> dict[str, float]:
        """P(cause | findings) of every cause."""
        self.engine.eraseAllEvidence()
        self.engine.setEvidence(observed_in(self.book, self.known, evidence))
        self.engine.makeInference()
        return {name: float(self.engine.posterior(name)[1]) for name in all_causes(self.book)}


@pytest.fixture(scope="module", params=MODELS)
def model(request) -> tuple[list[int], tuple[Reasoner, General]]:
    """(findings in each set, the two that must agree)."""
    sets, most, make = MODELS[request.param]
    book, known = make()
    return [n * most // (sets - 1) for n in range(sets)], (Reasoner(book, known), General(book, known))


@pytest.fixture
def both(model) -> tuple[Reasoner, General]:
    return model[1]


def worst_difference(both: tuple[Reasoner, General], evidence: Evidence) -> float:
    """Largest difference over all causes."""
    ours, theirs = both[0].beliefs(evidence).causes, both[1].beliefs(evidence)
    assert list(ours) == list(theirs)
    return max(abs(ours[name] - theirs[name]) for name in ours)


def softened(reasoner: Reasoner, evidence: Evidence, draw: random.Random) -> Evidence:
    """The same findings, each with a random weight for every answer, the answer's own the largest."""
    soft = {
        name: {a: 1.0 if a == answer else draw.random() for a in reasoner.answers(name)}
        for name, answer in evidence.findings.items()
    }
    return replace(evidence, soft=soft)


def test_every_cause_is_believed_as_pyagrum_believes_it(model):
    """To 1e-9: findings of one story and findings that contradict one another, from none to many."""
    counts, both = model
    reasoner = both[0]
    for seed, count in enumerate(counts):
        evidence = drawn_evidence(reasoner.book, reasoner.facts, count, seed, wild=seed % 2 == 1)
        assert worst_difference(both, evidence) <= 1e-9, evidence


def test_soft_findings_and_facts_seen_on_the_spot_are_believed_as_pyagrum_believes_them(both):
    """To 1e-9: weights for each answer instead of one answer, and every unknown fact looked at."""
    reasoner, draw = both[0], random.Random(1)
    for seed in range(3):
        evidence = drawn_evidence(reasoner.book, reasoner.facts, 6, seed)
        seen = {name: draw.choice(reasoner.answers(name)) for name in reasoner.book.facts}
        soft = softened(reasoner, evidence, draw)
        looked = replace(soft, findings={**soft.findings, **seen})
        assert worst_difference(both, looked) <= 1e-9, looked


@pytest.mark.parametrize("model", [name for name in MODELS if MODELS[name][1] == MOST], indirect=True)
def test_wild_findings_are_nearly_impossible_and_still_believed_rightly(both):
    """Thirty answers that contradict one another: P below 1e-12, not 0; every cause to 1e-9."""
    reasoner = both[0]
    evidence = drawn_evidence(reasoner.book, reasoner.facts, WILD, 1, wild=True)
    assert 0 < reasoner.beliefs(evidence).weight < 1e-12
    assert worst_difference(both, evidence) <= 1e-9


@pytest.mark.parametrize("length", [1, 3])
def test_a_made_up_loop_is_of_the_size_that_it_says(length):
    """120 causes, 60 conditions, 120 checks and 465 arcs (within 5 %) for each length of it."""
    book = loop_book(length, far=0.02)
    assert (len(book.causes), len(book.conditions), len(book.checks)) == (
        120 * length,
        60 * length,
        120 * length,
    )
    assert arcs(book) == pytest.approx(465 * length, rel=0.05)
    assert {len(check.outcomes) for check in book.checks.values()} == {2, 3, 4}
