"""The strongest chain from a cause to the complaint."""

import pytest

from diagnose.evidence import Evidence
from diagnose.paths import chains
from diagnose.reasoner import Reasoner
from knowledge.book import Book
from tests.diagnose.oracle import enumerate_book, links_to, strength_of
from tests.helpers import tiny_book


def every_chain(book: Book, facts: dict[str, str], node: str, target: str) -> list[tuple[float, list[str]]]:
    """All ways from a node to the target with their strengths, by walking them all."""
    if node == target:
        return [(1.0, [node])]
    found = []
    for condition in book.conditions:
        for parent, rows in links_to(book, condition):
            if parent == node and (strength := strength_of(rows, facts)):
                found += [
                    (strength * s, [node, *way]) for s, way in every_chain(book, facts, condition, target)
                ]
    return found


@pytest.mark.parametrize("fails", ["closed", "open"])
@pytest.mark.parametrize("complained", ["wont_open", "wont_shut"])
def test_the_chain_is_the_strongest_of_all_chains(fails, complained):
    """Against a walk along every way there is; a cause with none has no chain."""
    facts = {"season": "warm", "fails": fails}
    reasoner = Reasoner(tiny_book(), facts)
    found = chains(reasoner, Evidence((complained,)))
    target = reasoner.book.complaints[complained].of
    for name in reasoner.causes:
        ways = every_chain(reasoner.book, facts, name, target)
        if not ways:
            assert name not in found
            continue
        strength, nodes = max(ways)
        assert found[name].strength == pytest.approx(strength, abs=1e-12)
        assert list(found[name].nodes) == nodes


def test_a_link_that_hangs_on_an_unknown_fact_counts_with_its_expected_strength():
    """Weighted with what the findings say of the fact."""
    reasoner = Reasoner(tiny_book(), {"season": "warm"})
    told = Evidence(("wont_shut",), {"supply_gauge": "none"})
    by_fact = {
        value: enumerate_book(reasoner.book, {"season": "warm", "fails": value}, told)[1] * share
        for value, share in (("open", 0.4), ("closed", 0.6))
    }
    opened = by_fact["open"] / sum(by_fact.values())
    chain = chains(reasoner, told)["output_stuck"]
    assert chain.strength == pytest.approx(opened * 0.995 + (1 - opened) * 0.08, abs=1e-9)


def test_without_a_complaint_there_is_no_chain():
    """Nothing to lead to."""
    assert chains(Reasoner(tiny_book(), {}), Evidence((), {"drop_seen": "no"})) == {}
