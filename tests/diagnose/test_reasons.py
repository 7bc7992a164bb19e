"""The sentences of an explanation: short, plain, with their percents."""

import pytest

from diagnose.evidence import Evidence
from diagnose.explain import Side, Turn, parted
from diagnose.paths import chains
from diagnose.reasoner import Reasoner
from diagnose.reasons import LONGEST_REASON, chain_text, check_reason, turn_text
from diagnose.wording import titles_of
from knowledge.book import Book, load_book
from tests.helpers import tiny_book

KNOWN = {"season": "warm", "fails": "closed"}


@pytest.fixture(scope="module")
def tiny() -> Reasoner:
    return Reasoner(tiny_book(), KNOWN)


@pytest.fixture(scope="module")
def shipped() -> Book:
    return load_book()


def test_the_chain_reads_as_a_sentence(tiny):
    """The book's titles, from the cause to what was complained of."""
    chain = chains(tiny, Evidence(("wont_open",)))["supply_lost"]
    assert chain.nodes == ("supply_lost", "no_supply", "output_stuck", "stays_shut")
    text = chain_text(tiny.book, titles_of(tiny.book), chain)
    assert text == "A fault -> no supply -> output stuck -> stays shut."


def test_a_turn_reads_as_a_sentence(shipped):
    """Question, answer, its chance, the cause that would lead, its probability."""
    turn = Turn("supply_valve_look", "shut", 0.12, "supply_shut", 0.78)
    text = turn_text(shipped, titles_of(shipped), turn)
    question, answer = (
        shipped.checks["supply_valve_look"].ask,
        shipped.checks["supply_valve_look"].outcomes["shut"],
    )
    assert text == f"If “{question}” were “{answer}” (12%), it would be “Supply valve shut”, 78%."


@pytest.mark.parametrize(
    "complained", ["wont_open", "wont_close", "opens_late", "wastes_gas", "never_worked"]
)
def test_the_reason_of_every_check_is_short(shipped, complained):
    """At most 160 characters and two sentences, with its percents, for each check of the real book."""
    reasoner = Reasoner(shipped, {"valve_fails": "closed"})
    names = [*shipped.checks, *(name for name in shipped.facts if name not in reasoner.facts)]
    what_ifs = reasoner.what_ifs(Evidence((complained,)), names)
    titles = titles_of(shipped)
    for name, what_if in what_ifs.items():
        text = check_reason(shipped, titles, name, parted(shipped, what_if, reasoner.causes), 135)
        assert len(text) <= LONGEST_REASON, text
        assert "%" in text
        assert text.startswith(("Parts ", "Tells whether ", "Makes sure "))


def test_a_reason_says_what_it_parts_how_likely_each_answer_is_and_what_it_saves(tiny):
    """Two short sentences; the second only when it saves a minute."""
    sides = (Side("yes", 0.7, "supply_lost", "", False), Side("no", 0.3, "stem_stuck", "valve", False))
    titles = {"supply_lost": "Supply lost", "stem_stuck": "Stem stuck"}
    text = check_reason(tiny.book, titles, "stem_moves", sides, 12)
    assert text == "Parts “Supply lost” (Yes, 70%) from “Stem stuck” (No, 30%). Saves about 12 min."
    assert check_reason(tiny.book, titles, "stem_moves", sides, 0.4).endswith("(No, 30%).")


def test_a_reason_of_one_side_asks_whether_it_is_so(tiny):
    """When only one of the answers speaks for anything."""
    nothing = Side("yes", 0.7, "", "", False)
    no = Side("no", 0.3, "stem_stuck", "", False)
    titles = {"stem_stuck": "Stem stuck"}
    text = check_reason(tiny.book, titles, "stem_moves", (nothing, no), 0)
    assert text == "Tells whether it is “Stem stuck” (No, 30%) or not (Yes, 70%)."
    flat = check_reason(tiny.book, titles, "stem_moves", (nothing, Side("no", 0.3, "", "", False)), 0)
    assert flat == "Makes sure of what is thought already (Yes, 70%; No, 30%)."


def test_titles_too_long_make_way_for_sections_and_then_for_percents_alone(tiny):
    """What is left always fits."""
    titles = {"supply_lost": "S" * 70, "stem_stuck": "T" * 70}
    sides = (Side("yes", 0.7, "supply_lost", "supply", False), Side("no", 0.3, "stem_stuck", "valve", False))
    text = check_reason(tiny.book, titles, "stem_moves", sides, 12)
    assert "supply faults" in text or "valve faults" in text
    assert len(text) <= LONGEST_REASON
    nowhere = (Side("yes", 0.7, "supply_lost", "", False), Side("no", 0.3, "stem_stuck", "", False))
    assert (
        check_reason(tiny.book, titles, "stem_moves", nowhere, 12)
        == "Likeliest: Yes, 70%. Saves about 12 min."
    )
