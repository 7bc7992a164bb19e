"""A book in the Interchange Format: general libraries read it and come to the reasoner's beliefs."""

import random
import warnings
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pyagrum as gum
import pytest
from hypothesis import given, settings

from diagnose.bif import bif_text
from diagnose.bif_nodes import HELPER, RESERVED, WIDTH, nodes_of
from diagnose.compile import NO_YES, all_causes
from diagnose.evidence import Evidence
from diagnose.junction_tree import JunctionTree
from diagnose.network import evidence as seen_in
from diagnose.reasoner import Reasoner
from knowledge.book import Book, load_book
from tests.diagnose.random_books import books_with_findings, random_books
from tests.diagnose.test_oracle import drawn_evidence, known_facts
from tests.helpers import bare_book, book_of, cause, changed, check, tiny_book

TINY, SHIPPED = tiny_book(), load_book()
BOOKS = pytest.mark.parametrize("book", [TINY, SHIPPED], ids=["tiny", "shipped"])
SHEETS = pytest.mark.parametrize("sheet", range(4))
"""Sheet 0 knows nothing, 1 all, 2 and 3 about half."""


def loaded(text: str, folder: Path) -> gum.BayesNet:
    """The text as pyagrum reads it: its reader keeps numbers in single precision."""
    path = folder / "book.bif"
    path.write_text(text, encoding="ascii")
    return gum.loadBN(str(path))


def reader_of(text: str) -> Any:
    """The text as pgmpy reads it, in double precision."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what it says of its own parts as it loads
        from pgmpy.readwrite import BIFReader
    return BIFReader(string=text)


@cache
def read(text: str) -> gum.BayesNet:
    """The text as pgmpy reads it, in pyagrum, whose inference is the quicker one."""
    reader, net = reader_of(text), gum.BayesNet()
    for name in reader.variable_names:
        net.add(gum.LabelizedVariable(name, name, reader.variable_states[name]))
    for name, parents in reader.variable_parents.items():
        for parent in parents:
            net.addArc(parent, name)
        sizes = [len(reader.variable_states[one]) for one in (name, *parents)]
        net.cpt(name).fillWith(reader.variable_cpds[name].reshape(sizes).T.ravel().tolist())
    return net


def beliefs_of(net: gum.BayesNet, observed: dict[str, str], names: list[str]) -> dict[str, float]:
    """P(name is yes | observed), by pyagrum's exact inference."""
    engine = gum.LazyPropagation(net)
    engine.setEvidence(observed)
    for name in names:
        engine.addTarget(name)
    engine.makeInference()
    return {name: float(engine.posterior(name)[{name: "yes"}]) for name in names}


def assert_same(ours: dict[str, float], theirs: dict[str, float], within: float = 1e-9) -> None:
    """The same causes with the same beliefs."""
    assert set(ours) == set(theirs)
    worst = max(ours, key=lambda name: abs(ours[name] - theirs[name]))
    np.testing.assert_allclose(ours[worst], theirs[worst], rtol=0, atol=within, err_msg=worst)


def hard_evidence(book: Book, draw: random.Random, wild: bool) -> Evidence:
    """Findings of checks and complaints alone: what the format can say."""
    drawn = drawn_evidence(book, draw, wild)
    return Evidence(drawn.complaints, {n: o for n, o in drawn.findings.items() if n in book.checks})


def observed_in(evidence: Evidence) -> dict[str, str]:
    """The same findings as evidence on the nodes."""
    return {**dict.fromkeys(evidence.complaints, "yes"), **evidence.findings}


@BOOKS
@SHEETS
def test_what_is_read_gives_the_reasoners_beliefs(book, sheet):
    """Every cause, for an unknown unit and for known ones: nothing found, one story, and wild findings."""
    facts, draw = known_facts(book, sheet), random.Random(sheet)
    net, reasoner = read(bif_text(book, facts)), Reasoner(book, facts)
    cases = [Evidence(), *(hard_evidence(book, draw, wild) for wild in (False, False, True))]
    for evidence in cases:
        theirs = beliefs_of(net, observed_in(evidence), all_causes(book))
        assert_same(reasoner.beliefs(evidence).causes, theirs)


@BOOKS
@SHEETS
def test_pyagrums_own_reader_takes_it_to_the_precision_that_it_keeps(book, sheet, tmp_path):
    """Every table is ours rounded to single precision, and beliefs on one story agree to five digits."""
    facts = known_facts(book, sheet)
    net = loaded(bif_text(book, facts), tmp_path)
    for factor in nodes_of(book, facts).factors:
        table = net.cpt(factor.variables[0])
        assert table.names == factor.variables
        np.testing.assert_array_equal(table.toarray(), factor.table.T.astype(np.float32))
    evidence = hard_evidence(book, random.Random(sheet), wild=False)
    theirs = beliefs_of(net, observed_in(evidence), all_causes(book))
    assert_same(Reasoner(book, facts).beliefs(evidence).causes, theirs, 1e-5)


@pytest.mark.parametrize("sheet", range(2))
def test_pgmpys_own_inference_gives_the_reasoners_beliefs(sheet):
    """The tiny book by its variable elimination, after its check of the model."""
    facts = known_facts(TINY, sheet)
    model = reader_of(bif_text(TINY, facts)).get_model()
    assert model.check_model()
    from pgmpy.inference import VariableElimination

    evidence = Evidence(("wont_open",), {"supply_gauge": "part", "output_moves": "no"})
    names = all_causes(TINY)
    found = VariableElimination(model).query(
        names, evidence=observed_in(evidence), joint=False, show_progress=False
    )
    theirs = {name: float(found[name].get_value(**{name: "yes"})) for name in names}
    assert_same(Reasoner(TINY, facts).beliefs(evidence).causes, theirs)


def test_a_fact_as_evidence_is_that_fact_known():
    """`action` seen on its node gives what the reasoner says of a unit with that action on its sheet."""
    net = read(bif_text(SHIPPED, {}))
    facts = {"valve_fails": "closed", "acting": "indirect"}
    theirs = beliefs_of(net, {**facts, "wont_open": "yes"}, all_causes(SHIPPED))
    assert_same(Reasoner(SHIPPED, facts).beliefs(Evidence(("wont_open",))).causes, theirs)


@BOOKS
def test_what_a_known_fact_tells_of_an_unknown_one_is_in_the_tables(book):
    """Known is only the fact whose shares hang on another: that other's prior is no longer the book's."""
    name = next(n for n, fact in book.facts.items() if any(row.when for row in fact.prior))
    behind = next(fact for row in book.facts[name].prior for fact in row.when or {})
    value = next(iter(book.facts[name].values))
    net, whole = (read(bif_text(book, facts)) for facts in ({name: value}, {}))
    engine = gum.LazyPropagation(whole)
    engine.setTargets({behind})
    engine.setEvidence({name: value})
    engine.makeInference()
    expected = engine.posterior(behind).toarray()
    assert np.abs(expected - whole.cpt(behind).toarray()).max() > 0.01
    np.testing.assert_allclose(net.cpt(behind).toarray(), expected, rtol=0, atol=1e-12)


def test_what_a_known_fact_tells_of_two_unknown_ones_joins_them():
    """A fact that hangs on two others, known: the two are no longer independent, and beliefs agree."""
    book = tiny_book(
        {
            "facts": {
                "wired": {
                    **{k: v for k, v in _fact_of("season").items() if k != "sheet"},
                    "values": {"yes": "Yes", "no": "No"},
                    "prior": [
                        {"when": {"season": "cold", "fails": "open"}, "share": {"yes": 0.9, "no": 0.1}},
                        {"when": {"season": "warm"}, "share": {"yes": 0.3, "no": 0.7}},
                        {"share": {"yes": 0.05, "no": 0.95}},
                    ],
                }
            }
        }
    )
    net = read(bif_text(book, {"wired": "yes"}))
    assert "wired" not in net.names()
    theirs = beliefs_of(net, {"wont_open": "yes"}, all_causes(book))
    assert_same(Reasoner(book, {"wired": "yes"}).beliefs(Evidence(("wont_open",))).causes, theirs)


def _fact_of(name: str) -> dict:
    return TINY.facts[name].model_dump(exclude_none=True)


@BOOKS
@SHEETS
def test_everything_in_the_book_is_a_node_with_the_books_states(book, sheet):
    """Causes, unlisted causes, conditions, checks, complaints, unknown facts; the rest are helpers."""
    facts = known_facts(book, sheet)
    net = read(bif_text(book, facts))
    states = dict.fromkeys([*all_causes(book), *book.conditions, *book.complaints], NO_YES)
    states |= {name: tuple(entry.outcomes) for name, entry in book.checks.items()}
    states |= {name: tuple(entry.values) for name, entry in book.facts.items() if name not in facts}
    others = net.names() - set(states)
    assert all(name.startswith(HELPER) for name in others)
    assert {name: net.variable(name).labels() for name in states} == states


@given(books_with_findings())
@settings(max_examples=60, deadline=None, derandomize=True)
def test_the_nodes_give_the_reasoners_beliefs_whatever_the_book(case):
    """Random books, known facts and findings, with the findings as evidence on the nodes."""
    book, known, drawn = case
    network = nodes_of(book, known)
    findings = {name: seen for name, seen in drawn.findings.items() if name in book.checks}
    observed = observed_in(Evidence(drawn.complaints, findings))
    tree = JunctionTree.of(network)
    done = tree.calibrate(
        tree.prepare(network.factors),
        [seen_in(name, network.states[name], state) for name, state in observed.items()],
    )
    theirs = {name: float(done.joint([name])[1, 0]) for name in all_causes(book)}
    assert_same(Reasoner(book, known).beliefs(Evidence(drawn.complaints, findings)).causes, theirs)


@given(random_books())
@settings(max_examples=40, deadline=None, derandomize=True)
def test_every_row_is_a_probability_table(book):
    """Nothing negative, the sum over the node's states is 1, and parents are nodes that came before."""
    network = nodes_of(book, {})
    before: set[str] = set()
    for factor in network.factors:
        assert factor.table.min() >= 0
        np.testing.assert_allclose(factor.table.sum(axis=0), 1, rtol=0, atol=1e-12)
        assert set(factor.variables[1:]) <= before
        before.add(factor.variables[0])
    assert before == set(network.states)


def test_tables_stay_small_however_many_causes_a_condition_has():
    """Fourteen causes of one condition: no table is wider than the limit, and beliefs are the same."""
    causes = {f"fault_{k}": cause({"stays_shut": 0.05 + 0.06 * k}, 5 + k) for k in range(14)}
    book = book_of(changed(bare_book(), {"causes": causes}))
    assert max(len(factor.variables) for factor in nodes_of(book, {}).factors) <= WIDTH + 1
    net = read(bif_text(book, {}))
    evidence = Evidence(("wont_open",), {"drop_seen": "no"})
    assert_same(
        Reasoner(book, {}).beliefs(evidence).causes, beliefs_of(net, observed_in(evidence), all_causes(book))
    )


def test_a_name_that_the_format_or_an_unlisted_cause_has_gives_way():
    """A check with an unlisted cause's name keeps it; a word of the format gets an underscore."""
    seen = [{"given": "table", "then": "default"}, {"then": "plain"}]
    book = book_of(
        changed(
            bare_book(),
            {
                "causes": {"table": cause({"stays_shut": "usually"}, 30)},
                "checks": {"unlisted_wont_open": check(seen, "default plain")},
            },
        )
    )
    net = read(bif_text(book, {}))
    assert not RESERVED & net.names()
    assert net.variable("unlisted_wont_open").labels() == ("default_", "plain")
    evidence = Evidence(("wont_open",), {"unlisted_wont_open": "default"})
    seen_there = {"wont_open": "yes", "unlisted_wont_open": "default_"}
    theirs = beliefs_of(net, seen_there, ["table_", "unlisted_wont_open_"])
    ours = Reasoner(book, {}).beliefs(evidence).causes
    assert theirs["table_"] == pytest.approx(ours["table"], abs=1e-9)
    assert theirs["unlisted_wont_open_"] == pytest.approx(ours["unlisted_wont_open"], abs=1e-9)
