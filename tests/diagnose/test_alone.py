"""What each check shows of one cause alone: laws, and equality with enumeration and with the Reasoner."""

from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.alone import alone
from diagnose.compile import Compiler, all_causes
from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner
from knowledge.book import Book, load_book
from tests.diagnose.oracle import base_of, enumerate_book
from tests.diagnose.random_books import random_books
from tests.helpers import bare_book, book_of, cause, changed, check, tiny_book

STEADY = settings(max_examples=30, deadline=None, derandomize=True)


@st.composite
def whole_units(draw) -> tuple[Book, dict[str, str]]:
    """(a random book, a value of every fact)."""
    book = draw(random_books())
    return book, {name: draw(st.sampled_from(list(entry.values))) for name, entry in book.facts.items()}


def only(book: Book, facts: dict[str, str], name: str) -> Evidence:
    """Nothing found; of all causes, the unlisted ones too, this one is there for sure and no other is."""
    remains = dict.fromkeys(all_causes(book), 0.0)
    return Evidence(remains={**remains, name: 1 / base_of(book, name, facts, {})})


@given(whole_units(), st.data())
@STEADY
def test_what_a_check_shows_of_one_cause_alone_equals_enumeration(case, data):
    """Of any cause and any check: the sum over all assignments in which no other cause is there."""
    book, facts = case
    name = data.draw(st.sampled_from(list(book.causes)))
    look = data.draw(st.sampled_from(list(book.checks)))
    seen, evidence = alone(book, facts), only(book, facts, name)
    for k, outcome in enumerate(book.checks[look].outcomes):
        _, chance = enumerate_book(book, facts, replace(evidence, findings={look: outcome}))
        assert seen.shows[look][k, seen.causes.index(name)] == pytest.approx(chance, abs=1e-12)


@given(whole_units(), st.data())
@STEADY
def test_how_surely_a_complaint_comes_of_one_cause_alone_equals_enumeration(case, data):
    """P(the condition that it speaks of), by the same sum."""
    book, facts = case
    name = data.draw(st.sampled_from(list(book.causes)))
    seen = alone(book, facts)
    chances, _ = enumerate_book(book, facts, only(book, facts, name))
    for complaint, entry in book.complaints.items():
        assert seen.reported[complaint].shape == (len(book.causes),)
        told = seen.reported[complaint][seen.causes.index(name)]
        assert told == pytest.approx(chances[entry.of], abs=1e-12)


@given(whole_units())
@STEADY
def test_of_each_cause_alone_a_check_shows_something(case):
    """One column for each cause, one row for each outcome; each column is a distribution."""
    book, facts = case
    seen = alone(book, facts)
    assert list(seen.causes) == list(book.causes)
    assert list(seen.shows) == list(book.checks)
    for name, table in seen.shows.items():
        assert table.shape == (len(book.checks[name].outcomes), len(book.causes))
        assert (table > 0).all()
        np.testing.assert_allclose(table.sum(axis=0), 1, rtol=0, atol=1e-12)


def test_how_often_a_cause_is_met_does_not_matter():
    """It is taken as there: the tables of a rare and of a common cause are the same."""
    facts = {"season": "cold", "fails": "closed"}
    rare, common = (
        alone(tiny_book({"causes": {"supply_lost": {"base": base}}}), facts).shows for base in (0.5, 700)
    )
    for name, table in rare.items():
        np.testing.assert_allclose(table, common[name], rtol=0, atol=1e-12)


def test_a_check_that_names_the_cause_itself_sees_it():
    """Its own row counts before the row for anything, with the slip of the look mixed in."""
    look = check([{"given": "broken", "then": {"yes": 0.9}}, {"then": {"no": 0.7}}], slip=0.1)
    book = book_of(
        changed(
            bare_book(),
            {
                "causes": {"broken": cause({"stays_shut": 0.5}), "bent": cause({"stays_shut": 0.5})},
                "checks": {"look": look},
            },
        )
    )
    yes, no = 0.9 * 0.9 + 0.05, 0.9 * 0.7 + 0.05
    assert alone(book, {}).shows["look"] == pytest.approx(np.array([[yes, 1 - no], [1 - yes, no]]))


@pytest.mark.parametrize(
    ("facts", "told"), [({}, "not known: season, fails"), ({"season": "cold"}, "not known: fails")]
)
def test_a_fact_that_is_not_known_is_refused(facts, told):
    """By name: what a check shows hangs on it."""
    with pytest.raises(ValueError, match=f"^{told}$"):
        alone(tiny_book(), facts)


@pytest.mark.parametrize("number", range(3))
def test_the_engine_says_the_same_of_the_shipped_book_with_all_causes_fixed(number):
    """Every check, for some causes: one made certain and the rest, the unlisted too, ruled out."""
    book = load_book()
    facts = {name: list(fact.values)[number % len(fact.values)] for name, fact in book.facts.items()}
    reasoner, compiler = Reasoner(book, facts), Compiler(book, facts)
    seen = alone(book, facts)
    for name in Random(number).sample(list(book.causes), 3):
        certain = 1 / float(compiler.prior(name).table[1])
        evidence = Evidence(remains={**dict.fromkeys(all_causes(book), 0.0), name: certain})
        what_ifs = reasoner.what_ifs(evidence, list(book.checks))
        for check_name, what_if in what_ifs.items():
            column = seen.shows[check_name][:, seen.causes.index(name)]
            np.testing.assert_allclose(what_if.chance, column, rtol=0, atol=1e-9, err_msg=check_name)


@given(whole_units())
@STEADY
def test_with_nothing_wrong_a_check_shows_what_it_shows_without_any_cause(case):
    """The sum over all assignments with every cause off."""
    book, facts = case
    seen = alone(book, facts)
    none = Evidence(remains=dict.fromkeys(all_causes(book), 0.0))
    for name, entry in book.checks.items():
        for k, outcome in enumerate(entry.outcomes):
            _, chance = enumerate_book(book, facts, replace(none, findings={name: outcome}))
            assert seen.healthy[name][k] == pytest.approx(chance, abs=1e-12)
