"""Why it believes what it believes: weights that add up, the way through the graph, what would change it."""

import json
import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings

from diagnose.advice import Adviser, Limits
from diagnose.compile import LEAK
from diagnose.evidence import Evidence
from diagnose.explain import UNEXPLAINED_LIMIT, Side, Turn, decibans, parted, turns, unexplained, weigh
from diagnose.explain_report import LEADERS, MOST_TURNS, explanation
from diagnose.fit import fit_of
from diagnose.question import Question, understand
from diagnose.reasoner import Reasoner, WhatIf
from diagnose.report import rank
from diagnose.sheet import Unit
from diagnose.wording import titles_of
from knowledge.book import Book, load_book
from tests.diagnose.oracle import enumerate_book
from tests.diagnose.random_books import books_with_findings
from tests.helpers import bare_book, book_of, cause, changed, check, complaint, tiny_book

KNOWN = {"season": "warm", "fails": "closed"}
FOUND = Evidence(
    ("wont_open",),
    {"output_moves": "no", "supply_gauge": "full", "drop_seen": "no"},
    frozenset({"stem_stuck", "supply_lost"}),
)
NAMES = ["wont_open", "output_moves", "supply_gauge", "drop_seen"]


@pytest.fixture(scope="module")
def tiny() -> Reasoner:
    return Reasoner(tiny_book(), KNOWN)


@pytest.fixture(scope="module")
def shipped() -> Book:
    return load_book()


def odds(probability: float) -> float:
    """Log odds in decibans, the long way."""
    return 10 * math.log10(probability / (1 - probability))


def prefix(evidence: Evidence, count: int) -> Evidence:
    """The first findings: complaints, then checks in order, then parts in order by name."""
    findings = dict(list(evidence.findings.items())[: max(0, count - len(evidence.complaints))])
    parts = sorted(evidence.in_order)[: max(0, count - len(evidence.complaints) - len(evidence.findings))]
    return Evidence(evidence.complaints[:count], findings, frozenset(parts), evidence.remains, evidence.soft)


@given(books_with_findings())
@settings(max_examples=30, deadline=None, derandomize=True)
def test_prior_and_weights_add_up_to_the_posterior(case):
    """In decibans, for every cause, whatever the book, the facts known and the findings."""
    book, known, evidence = case
    reasoner = Reasoner(book, known)
    now = reasoner.beliefs(evidence).causes
    for weights in weigh(reasoner, evidence, reasoner.causes).causes:
        assert weights.prior + sum(weights.weights) == pytest.approx(weights.posterior, abs=1e-9)
        assert weights.posterior == pytest.approx(odds(now[weights.cause]), abs=1e-6)


def test_each_weight_is_what_the_finding_said_after_those_before_it(tiny):
    """Good 1950 (from memory): the log of the factor on the odds; here by enumeration, finding by finding."""
    known = weigh(tiny, FOUND, tiny.causes)
    assert list(known.findings) == [*NAMES, "stem_stuck in order", "supply_lost in order"]
    steps = [
        enumerate_book(tiny.book, KNOWN, prefix(FOUND, count)) for count in range(len(known.findings) + 1)
    ]
    for weights in known.causes:
        by_hand = np.diff([odds(beliefs[weights.cause]) for beliefs, _ in steps])
        assert weights.prior == pytest.approx(odds(steps[0][0][weights.cause]), abs=1e-9)
        assert weights.weights == pytest.approx(by_hand, abs=1e-9)
    chances = [after / before for (_, before), (_, after) in pairwise(steps)]
    assert known.chances == pytest.approx(chances, abs=1e-12)


def test_the_prior_is_that_of_this_unit_after_its_repairs(tiny):
    """What a repair left is no finding: it stands before the first of them."""
    repaired = Evidence(("wont_open",), {"drop_seen": "no"}, remains={"vent_blocked": 0.05})
    (weights,) = weigh(tiny, repaired, ["vent_blocked"]).causes
    assert weights.prior == pytest.approx(odds(2 * 0.014 * 0.05), abs=1e-9)


def test_ten_decibans_are_a_factor_of_ten():
    """And a factor below one has a negative sign."""
    assert decibans([10.0, 1.0, 1.0], [1.0, 1.0, 100.0]).tolist() == [10.0, 0.0, -20.0]


def test_without_a_finding_there_is_only_the_prior(tiny):
    """Nothing was weighed."""
    known = weigh(tiny, Evidence(), ["vent_blocked"])
    assert (known.findings, known.chances, known.causes[0].weights) == ((), (), ())
    assert known.causes[0].prior == known.causes[0].posterior


def test_a_turn_is_an_answer_after_which_ranking_finds_another_leader(tiny):
    """Each told turn is redone by giving that answer and ranking; none that there is goes untold."""
    evidence = Evidence(("wont_open",), {"output_moves": "no"})
    now = tiny.beliefs(evidence).causes
    leader = max(now, key=now.__getitem__)
    questions = [name for name in tiny.book.checks if name != "output_moves"]
    told = turns(tiny.what_ifs(evidence, questions), now)
    expected = []
    for question in questions:
        answers = []
        what_if = tiny.what_ifs(evidence, [question])[question]
        for answer, chance in zip(what_if.outcomes, what_if.chance, strict=True):
            after = tiny.beliefs(Evidence(("wont_open",), {"output_moves": "no", question: answer})).causes
            head = max(after, key=after.__getitem__)
            if head != leader and after[head] > 1.5 * now[head]:
                answers.append(Turn(question, answer, float(chance), head, after[head]))
        expected += [max(answers, key=lambda turn: turn.chance)] if answers else []
    expected.sort(key=lambda turn: -turn.chance)
    assert len(told) >= 2
    assert [(t.question, t.answer, t.cause) for t in told] == [
        (t.question, t.answer, t.cause) for t in expected
    ]
    for turn, by_hand in zip(told, expected, strict=True):
        assert (turn.chance, turn.probability) == pytest.approx((by_hand.chance, by_hand.probability))


def nobody_there(book: Book, evidence: Evidence, off: list[str]) -> float:
    """P(none of these causes is there | findings), by P(findings) with their base rates at nothing."""
    there = enumerate_book(book, KNOWN, evidence)[1]
    without = Evidence(
        evidence.complaints,
        evidence.findings,
        evidence.in_order,
        {**evidence.remains, **dict.fromkeys(off, 0)},
    )
    weight = enumerate_book(book, KNOWN, without)[1]
    bare, _ = enumerate_book(book, KNOWN, Evidence(remains=evidence.remains))
    # Causes are independent roots: P(findings, none there) = P(findings | none there) x P(none there).
    return weight * math.prod(1 - bare[name] for name in off) / there


def test_what_the_book_does_not_explain_is_exact(tiny):
    """Against enumeration with the causes of the complaint taken out of the book."""
    listed = ["vent_blocked", "supply_lost", "supply_frozen", "stem_stuck"]
    share = unexplained(tiny, FOUND)
    unlisted = ["unlisted_wont_open"]
    assert share.no_listed == pytest.approx(nobody_there(tiny.book, FOUND, listed), rel=1e-9)
    assert share.nothing == pytest.approx(nobody_there(tiny.book, FOUND, listed + unlisted), rel=1e-9)
    assert share.unlisted == pytest.approx(1 - nobody_there(tiny.book, FOUND, unlisted), rel=1e-9)
    assert share.probability == share.unlisted + share.nothing


def test_a_callout_that_no_cause_fits_is_said_to_be_beyond_the_book():
    """It stays shut, and every listed cause was looked at and is in order."""
    reasoner = Reasoner(tiny_book(), KNOWN)
    stuck = Evidence(("wont_open",), {"drop_seen": "no", "output_moves": "yes", "vent_breathes": "yes"})
    parts = frozenset({"vent_blocked", "supply_lost", "supply_frozen", "stem_stuck"})
    before = unexplained(reasoner, Evidence(("wont_open",)))
    after = unexplained(reasoner, Evidence(stuck.complaints, stuck.findings, parts))
    assert not before.beyond_the_book
    assert before.probability < UNEXPLAINED_LIMIT <= after.probability
    assert after.beyond_the_book


def test_a_fault_that_lies_about_does_not_hide_that_the_book_has_no_answer():
    """A common cause that seldom stops it: it is there, and still the unlisted one did it."""
    data = changed(bare_book(), {"causes": {"common": cause({"stays_shut": "never"}, 600)}})
    share = unexplained(Reasoner(book_of(data), {}), Evidence(("wont_open",), {"drop_seen": "no"}))
    assert share.no_listed < UNEXPLAINED_LIMIT
    assert share.beyond_the_book


def test_without_a_complaint_nothing_is_to_be_explained(tiny):
    """No cause can be blamed for it."""
    assert unexplained(tiny, Evidence((), {"drop_seen": "no"})) is None


def split(reasoner: Reasoner, evidence: Evidence, question: str) -> tuple[Side, Side]:
    return parted(reasoner.book, reasoner.what_ifs(evidence, [question])[question], reasoner.causes)


def test_a_check_parts_what_its_answers_speak_for(tiny):
    """The stem moves: a stuck stem is out, and the likeliest of the others takes its place."""
    sides = split(tiny, Evidence(("wont_open",)), "stem_moves")
    assert {side.answer: side.cause for side in sides} == {"yes": "vent_blocked", "no": "stem_stuck"}
    assert sides[0].chance >= sides[1].chance


def test_many_small_causes_of_a_section_are_named_by_the_section():
    """No single one of them has half of what the answer says."""
    book = tiny_book()
    causes = list(book.causes)
    object.__setattr__(book, "sections", {**book.sections, causes[3]: "valve"})
    table = np.array([[0.3, 0.3, 0.3, 0.1, 0.1], [0.1, 0.1, 0.1, 0.6, 0.1]])
    first, second = parted(book, WhatIf(("yes", "no"), np.array([0.6, 0.4]), table), causes)
    assert (first.section, first.in_section) == ("pilot and ports", True)
    assert (second.cause, second.in_section) == ("trim_worn", False)


def explained(reasoner: Reasoner, evidence: Evidence):
    adviser = Adviser(reasoner, evidence)
    questions = [n for n in reasoner.book.checks if n not in evidence.findings]
    what_ifs = reasoner.what_ifs(evidence, questions)
    advice = adviser.best(Limits(asked=set(evidence.findings)))
    return explanation(adviser, titles_of(reasoner.book), fit_of(reasoner, evidence), advice, what_ifs)


def test_an_explanation_has_the_leaders_and_a_few_turns(tiny):
    """Five causes at most, four turns at most, each finding named once."""
    found = explained(tiny, FOUND)
    now = tiny.beliefs(FOUND).causes
    leaders = sorted(now, key=lambda name: -now[name])[:LEADERS]
    assert [cause["id"] for cause in found["causes"]] == leaders
    assert len(found["would_change"]) <= MOST_TURNS
    assert [f["finding"] for f in found["findings"]] == [
        *NAMES,
        "stem_stuck in order",
        "supply_lost in order",
    ]


@pytest.mark.parametrize("saws", [[], ["complaint=wont_open"], ["drop_seen=no"]])
def test_the_least_that_can_be_known_is_explained(saws):
    """No finding, the complaint alone, a check without a complaint."""
    book = tiny_book()
    found = rank(book, Unit(), understand(book, Unit(), [], saws))["explain"]
    assert len(found["causes"]) == LEADERS
    assert len(found["findings"]) == len(saws)
    assert all(len(cause["weights"]) == len(saws) for cause in found["causes"])
    json.dumps(found, allow_nan=False)


def test_findings_that_the_book_calls_impossible_give_no_numbers():
    """None where there is nothing to tell, and no NaN in what scripts read."""
    book = tiny_book()
    soft = {"supply_gauge": {"full": 0.0}}
    findings = {"drop_seen": "no", "supply_gauge": "full"}
    whole = rank(book, Unit(), Question(KNOWN, ("wont_open",), findings, soft=soft))
    found = whole["explain"]
    assert all(cause["posterior_decibans"] is None for cause in found["causes"])
    assert all(cause["weights"][-1]["decibans"] is None for cause in found["causes"])
    assert all(cause["weights"][0]["decibans"] > -100 for cause in found["causes"])
    assert found["unexplained"] is None
    json.dumps(whole, allow_nan=False)


def test_a_leak_is_all_that_is_left_when_no_cause_is_in_the_book():
    """The chance of `nothing` is the leak and the false report, by hand."""
    data = changed(bare_book(), {"causes": {"only": cause({"stays_shut": 0.5}, 10)}})
    data["complaints"] = {"wont_open": complaint("stays_shut", 2, reported=0.8, false_report=0.01)}
    data["checks"]["unused"] = check([{"given": "only", "then": "no"}, {"then": "yes"}])
    share = unexplained(Reasoner(book_of(data), {}), Evidence(("wont_open",)))

    def says(off: float) -> float:
        return (1 - off) * 0.8 + off * 0.01

    none = 0.99 * 0.998 * says(1 - LEAK)
    only = 0.01 * 0.998 * says((1 - LEAK) * 0.5)
    unlisted = 0.002 * (0.99 * says((1 - LEAK) * 0.005) + 0.01 * says((1 - LEAK) * 0.5 * 0.005))
    total = none + only + unlisted
    assert share.nothing == pytest.approx(none / total, rel=1e-12)
    assert share.unlisted == pytest.approx(unlisted / total, rel=1e-12)
