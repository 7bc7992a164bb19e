"""Findings of one story fit; findings of none do not, and the odd one is named."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.evidence import Evidence
from diagnose.fit import CONFLICT_LIMIT, NO_CONFLICT, fit_of, misread
from diagnose.reasoner import Reasoner
from tests.diagnose.oracle import enumerate_book
from tests.helpers import tiny_book

KNOWN = {"season": "warm", "fails": "closed"}
ONE_STORY = Evidence(("wont_open",), {"supply_gauge": "none", "output_moves": "no", "drop_seen": "no"})
NO_STORY = Evidence(("wont_open",), {"supply_gauge": "full", "output_moves": "no", "drop_seen": "yes"})


@pytest.fixture(scope="module")
def tiny():
    sure = {"complaints": {"wont_open": {"false_report": 0.001}}, "checks": {"drop_seen": {"slip": 0.002}}}
    return Reasoner(tiny_book(sure), KNOWN)


def weight(tiny: Reasoner, complaints=(), **findings: str) -> float:
    return enumerate_book(tiny.book, KNOWN, Evidence(complaints, findings))[1]


@pytest.mark.parametrize(
    "evidence", [Evidence(), Evidence(("wont_open",)), Evidence((), {"drop_seen": "no"})]
)
def test_one_finding_or_none_is_of_a_piece(tiny, evidence):
    """There is nothing that it could contradict."""
    assert fit_of(tiny, evidence) == NO_CONFLICT


def test_findings_of_one_story_fit(tiny):
    """No supply, no output, no drop: together they are likelier than apart."""
    fit = fit_of(tiny, ONE_STORY)
    assert fit.together
    assert fit.conflict < 0
    assert fit.look_again == ""


def test_findings_of_no_story_do_not_fit(tiny):
    """It will not open, and yet it drops at once: named is one of the two that cannot both be."""
    fit = fit_of(tiny, NO_STORY)
    assert not fit.together
    assert fit.conflict > CONFLICT_LIMIT
    assert fit.look_again in ("wont_open", "drop_seen")


def test_the_measure_is_the_log_of_apart_over_together(tiny):
    """Jensen 1990 (from memory): log2 of the product of P(each) over P(all), here by enumeration."""
    apart = math.prod(weight(tiny, **{name: answer}) for name, answer in NO_STORY.findings.items())
    apart *= weight(tiny, ("wont_open",))
    together = weight(tiny, ("wont_open",), **NO_STORY.findings)
    assert fit_of(tiny, NO_STORY).conflict == pytest.approx(math.log2(apart / together), abs=1e-9)


def test_the_finding_named_is_the_one_whose_removal_mends_most(tiny):
    """Leaving it out brings the conflict further down than leaving any other one out."""
    named = fit_of(tiny, NO_STORY).look_again
    rest = {}
    for name in NO_STORY.findings:
        left = {other: answer for other, answer in NO_STORY.findings.items() if other != name}
        rest[name] = fit_of(tiny, Evidence(("wont_open",), left)).conflict
    rest["wont_open"] = fit_of(tiny, Evidence((), NO_STORY.findings)).conflict
    assert min(rest, key=rest.get) == named


@given(st.permutations(list(NO_STORY.findings)))
@settings(max_examples=6, deadline=None, derandomize=True)
def test_the_order_of_findings_does_not_change_the_fit(tiny, order):
    """Nor which one is named."""
    fit = fit_of(tiny, Evidence(("wont_open",), {name: NO_STORY.findings[name] for name in order}))
    assert fit.conflict == pytest.approx(fit_of(tiny, NO_STORY).conflict, abs=1e-9)
    assert fit.look_again == fit_of(tiny, NO_STORY).look_again


def test_a_part_in_order_that_everything_points_at_does_not_fit(tiny):
    """The vent was seen blocked, and then called in order."""
    seen = {"vent_breathes": "no", "output_moves": "no", "drop_seen": "no", "supply_gauge": "full"}
    fit = fit_of(tiny, Evidence(("wont_open",), seen, frozenset({"vent_blocked"})))
    without = fit_of(tiny, Evidence(("wont_open",), seen))
    assert fit.conflict > without.conflict + 1


def test_a_known_fact_whose_share_hangs_on_an_unknown_one_is_no_finding():
    """The chance that the unit is what it is does not count as a conflict."""
    reasoner = Reasoner(tiny_book(), {"fails": "closed"})

    def chance(evidence: Evidence) -> float:
        return enumerate_book(reasoner.book, {"fails": "closed"}, evidence)[1]

    apart = math.prod(chance(Evidence((), {name: answer})) for name, answer in NO_STORY.findings.items())
    apart *= chance(Evidence(("wont_open",)))
    conflict = math.log2(apart / chance(NO_STORY))
    assert fit_of(reasoner, NO_STORY).conflict == pytest.approx(conflict, abs=1e-9)


@pytest.mark.parametrize("story", [ONE_STORY, NO_STORY])
def test_a_partial_conflict_is_what_leaving_the_finding_out_takes_off(tiny, story):
    """For each finding, whether they fit or not; the complaint stands first."""
    fit = fit_of(tiny, story)
    assert [name for name, _ in fit.partial] == ["wont_open", *story.findings]
    for name, bits in fit.partial:
        left = {other: answer for other, answer in story.findings.items() if other != name}
        rest = fit_of(tiny, Evidence(() if name == "wont_open" else story.complaints, left))
        assert bits == pytest.approx(fit.conflict - rest.conflict, abs=1e-9)


def test_of_findings_that_cannot_all_be_the_one_that_makes_it_impossible_is_named(tiny):
    """A reading that no outcome has any weight for."""
    impossible = Evidence(("wont_open",), {**ONE_STORY.findings, "stem_moves": "no"}, soft={"stem_moves": {}})
    fit = fit_of(tiny, impossible)
    assert (fit.together, fit.conflict) == (False, math.inf)
    assert all(math.isnan(bits) for _, bits in fit.partial)


def test_how_likely_a_look_went_wrong_is_bayes_rule_on_its_slip(tiny):
    """Against the sum over every state: a slip tells nothing, so only the other findings speak then."""
    wrong = misread(tiny, NO_STORY)
    assert set(wrong) == set(NO_STORY.findings)
    whole = weight(tiny, ("wont_open",), **NO_STORY.findings)
    for name, chance in wrong.items():
        others = {other: answer for other, answer in NO_STORY.findings.items() if other != name}
        check = tiny.book.checks[name]
        slipped = check.slip / len(check.outcomes) * weight(tiny, ("wont_open",), **others)
        assert chance == pytest.approx(slipped / whole, rel=1e-9)


def test_what_is_in_doubt_already_is_not_called_wrong(tiny):
    """A reading, or an answer that somebody was not sure of, has its doubt counted."""
    soft = {"output_moves": {"no": 0.8, "yes": 0.2}}
    assert set(misread(tiny, replace(NO_STORY, soft=soft))) == {"supply_gauge", "drop_seen"}
    assert misread(tiny, Evidence(("wont_open",))) == {}
