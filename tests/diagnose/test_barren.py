"""Conditions that nothing can see are left out of the tree, and that changes no belief."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings

from diagnose.compile import Compiler, all_causes
from diagnose.evidence import Evidence
from diagnose.junction_tree import JunctionTree
from diagnose.network import evidence as seen
from diagnose.reasoner import Reasoner
from knowledge.book import load_book
from tests.diagnose.oracle import enumerate_book
from tests.diagnose.random_books import books_with_findings
from tests.helpers import cause, changed, complaint, tiny_book

STEADY = settings(max_examples=25, deadline=None, derandomize=True)

UNSEEN = {
    "conditions": {
        "stays_shut": {"leads_to": {"fills_up": "usually"}},
        "fills_up": {"title": "Fills up", "leads_to": {"carries_over": "often"}},
        "carries_over": {"title": "Carries over"},
        "tanks_vent": {"title": "The tank vents"},
    },
    "causes": {"trim_worn": {"leads_to": {"passes": "usually", "tanks_vent": "often"}}},
    "complaints": {"liquid_in_gas": complaint("carries_over", 2), "tank_hisses": complaint("tanks_vent", 2)},
}
"""Three conditions more that no check looks at, the last of two in a row reported, and one by itself."""


def unseen_book(changes=None):
    """The tiny book with three conditions that no check sees."""
    return tiny_book(changed(UNSEEN, changes or {}))


def kept(compiler: Compiler, *reported: str) -> set[str]:
    """The conditions in the network when these were complained of."""
    return set(compiler.network(reported).states) & set(compiler.book.conditions)


def beliefs_of_whole(reasoner: Reasoner, evidence: Evidence) -> dict[str, float]:
    """P(cause | findings) from one tree of the whole network, nothing left out."""
    network = reasoner.compiler.network()
    findings = [*reasoner.factors(evidence).values()]
    for name, left in evidence.remains.items():
        before, after = reasoner.compiler.prior(name), reasoner.compiler.prior(name, left)
        findings.append(replace(before, table=after.table / before.table))
    scopes = [factor.variables for factor in (*network.factors, *findings)]
    tree = JunctionTree(network.cardinalities, scopes)
    done = tree.calibrate(tree.prepare(network.factors), findings)
    return {name: float(done.joint((name,))[1].item()) for name in all_causes(reasoner.book)}


@given(books_with_findings())
@STEADY
def test_beliefs_are_those_of_the_whole_network(case):
    """On random books with something to leave out, complaints of it among the findings or not."""
    book, known, evidence = case
    assume(Compiler(book, known).barren)
    reasoner = Reasoner(book, known)
    expected = beliefs_of_whole(reasoner, evidence)
    assert reasoner.beliefs(evidence).causes == pytest.approx(expected, rel=0, abs=1e-11)


@given(books_with_findings())
@STEADY
def test_a_complaint_of_what_no_check_sees_counts_as_enumeration_says(case):
    """Every complaint reported at once: the conditions that were left out come back in."""
    book, known, evidence = case
    barren = Compiler(book, known).barren
    assume({entry.of for entry in book.complaints.values()} & barren)
    told = replace(evidence, complaints=tuple(book.complaints))
    expected, weight = enumerate_book(book, known, told)
    found = Reasoner(book, known).beliefs(told)
    assert found.causes == pytest.approx({name: expected[name] for name in found.causes}, rel=0, abs=1e-11)
    assert found.weight == pytest.approx(weight, rel=1e-9)


@given(books_with_findings())
@STEADY
def test_nothing_that_a_check_looks_at_or_that_leads_to_it_is_left_out(case):
    """And everything else is: a condition is kept just when a way leads from it to a check."""
    book, known, _ = case
    compiler = Compiler(book, known)
    seen_by_checks = {given for name in book.checks for given in compiler.scope_of_check(name)}
    leads = {name: set() for name in book.conditions}
    for target, parents in compiler.parents.items():
        for parent in parents:
            leads.get(parent.name, set()).add(target)

    def shows(name: str) -> bool:
        return name in seen_by_checks or any(shows(target) for target in leads[name])

    assert compiler.barren == {name for name in book.conditions if not shows(name)}


def test_a_complaint_brings_its_condition_in_and_what_leads_to_it():
    """And no other that nothing sees."""
    compiler = Compiler(unseen_book(), {})
    everything = set(compiler.book.conditions)
    unseen = {"passes", "fills_up", "carries_over", "tanks_vent"}
    assert compiler.barren == unseen
    assert kept(compiler) == kept(compiler, "stays_shut") == everything - unseen
    assert kept(compiler, "carries_over") == everything - {"passes", "tanks_vent"}
    assert kept(compiler, "fills_up") == everything - {"passes", "tanks_vent", "carries_over"}
    assert kept(compiler, "tanks_vent", "passes") == everything - {"fills_up", "carries_over"}
    assert everything <= set(compiler.network().states)


def test_a_complaint_of_what_no_check_sees_speaks_against_its_causes():
    """It raises what leads there by whatever way, and leaves the other way alone."""
    reasoner = Reasoner(unseen_book(), {"season": "warm", "fails": "closed"})
    before = reasoner.beliefs(Evidence()).causes
    carried = reasoner.beliefs(Evidence(("liquid_in_gas",))).causes
    hissed = reasoner.beliefs(Evidence(("tank_hisses",))).causes
    assert carried["stem_stuck"] > 3 * before["stem_stuck"]
    assert hissed["trim_worn"] > 3 * before["trim_worn"]
    assert hissed["stem_stuck"] == pytest.approx(before["stem_stuck"], rel=1e-9)


def test_a_condition_that_only_another_units_check_sees_is_left_out():
    """A row that a known fact drops looks at nothing."""
    book = tiny_book(
        {
            "conditions": {"rattles": {"title": "Rattles"}},
            "causes": {"loose": cause({"rattles": "always"})},
            "checks": {
                "trim_seen": {
                    "shows": [
                        {"given": "rattles", "when": {"season": "cold"}, "then": "worn"},
                        {"then": "good"},
                    ]
                }
            },
        }
    )
    assert "rattles" in Compiler(book, {"season": "warm"}).barren
    assert "rattles" not in Compiler(book, {"season": "cold"}).barren
    assert "rattles" not in Compiler(book, {}).barren


def test_a_complaint_costs_the_table_cells_of_what_it_brings_in():
    """None more where its condition is seen by a check anyway; several are added up."""
    reasoner = Reasoner(unseen_book(), {})
    none = reasoner.tree().cells
    assert none > 0
    assert reasoner.tree(["wont_open"]).cells == none
    assert reasoner.tree(["liquid_in_gas"]).cells > none
    both = reasoner.tree(["liquid_in_gas", "tank_hisses"]).cells
    assert both > max(reasoner.tree(["liquid_in_gas"]).cells, reasoner.tree(["tank_hisses"]).cells)


def test_asking_does_not_change_what_is_kept():
    """A complaint in between leaves the beliefs without it as they were, to the last bit."""
    reasoner = Reasoner(unseen_book(), {})
    before = reasoner.beliefs(Evidence(("wont_open",)))
    reasoner.beliefs(Evidence(("liquid_in_gas", "tank_hisses")))
    assert reasoner.beliefs(Evidence(("wont_open",))) == before


def test_on_the_shipped_book_a_complaint_counts_as_in_the_whole_network():
    """Each complaint by itself, on one unit."""
    book = load_book()
    reasoner = Reasoner(book, {name: next(iter(entry.values)) for name, entry in book.facts.items()})
    whole = reasoner.compiler.network()
    tree = JunctionTree(whole.cardinalities, whole.scopes)
    prepared = tree.prepare(whole.factors)
    for name in book.complaints:
        told = Evidence((name,))
        done = tree.calibrate(prepared, reasoner.factors(told).values())
        expected = [float(done.joint((cause_,))[1].item()) for cause_ in all_causes(book)]
        found = list(reasoner.beliefs(told).causes.values())
        np.testing.assert_allclose(found, expected, rtol=0, atol=1e-10, err_msg=name)


def test_a_condition_seen_for_certain_in_the_whole_network_is_what_a_sure_report_says():
    """The premise of leaving it out: it is a leaf, and a leaf that nobody speaks of sums to one."""
    reasoner = Reasoner(unseen_book(), {"season": "warm", "fails": "open"})
    network = reasoner.compiler.network()
    tree = JunctionTree(network.cardinalities, network.scopes)
    prepared = tree.prepare(network.factors)
    both = [tree.calibrate(prepared, [seen("tanks_vent", ("no", "yes"), answer)]) for answer in ("no", "yes")]
    weights = np.array([float(done.weight[0]) for done in both])
    causes = np.array([float(done.joint(("trim_worn",))[1].item()) for done in both])
    expected = reasoner.beliefs(Evidence())
    assert weights.sum() == pytest.approx(expected.weight, rel=1e-12)
    assert weights @ causes / weights.sum() == pytest.approx(expected.causes["trim_worn"], rel=1e-10)
