"""The junction tree gives exact beliefs: published numbers, and equality with enumeration."""

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.junction_tree import JunctionTree
from diagnose.network import Factor, Network, evidence
from tests.diagnose.networks import ALARM, CHEST_CLINIC, NO_YES, SPRINKLER, random_networks
from tests.diagnose.oracle import enumerate_network

STEADY = settings(max_examples=60, deadline=None, derandomize=True)


def beliefs_in(network: Network, found: dict[str, str]):
    tree = JunctionTree.of(network)
    findings = [evidence(name, network.states[name], seen) for name, seen in found.items()]
    return tree.calibrate(tree.prepare(network.factors), findings)


def chance(network: Network, name: str, **found: str) -> float:
    """P(name is yes | found)."""
    return float(beliefs_in(network, found).joint([name])[1, 0])


@pytest.mark.parametrize(
    ("network", "asked", "found", "expected", "digits"),
    [
        # Russell & Norvig, AIMA 3e, p. 523 (0.284) and p. 528.
        (ALARM, "burglary", {"john": "yes", "mary": "yes"}, 0.2841718, 7),
        (ALARM, "john", {"burglary": "yes"}, 0.849017, 6),
        # K. Murphy 1998, from memory.
        (SPRINKLER, "wet", {}, 0.6471, 4),
        (SPRINKLER, "sprinkler", {"wet": "yes"}, 0.4298, 4),
        (SPRINKLER, "rain", {"wet": "yes"}, 0.7079, 4),
        (SPRINKLER, "sprinkler", {"wet": "yes", "rain": "yes"}, 0.1945, 4),
        # Lauritzen & Spiegelhalter 1988: priors.
        (CHEST_CLINIC, "tuberculosis", {}, 0.0104, 9),
        (CHEST_CLINIC, "lung_cancer", {}, 0.055, 9),
        (CHEST_CLINIC, "bronchitis", {}, 0.45, 9),
        (CHEST_CLINIC, "either", {}, 0.064828, 9),
        (CHEST_CLINIC, "x_ray", {}, 0.11029, 6),
        (CHEST_CLINIC, "dyspnoea", {}, 0.4359706, 7),
        # The same, been to Asia and short of breath: from memory.
        (CHEST_CLINIC, "tuberculosis", {"asia": "yes", "dyspnoea": "yes"}, 0.0878, 4),
        (CHEST_CLINIC, "lung_cancer", {"asia": "yes", "dyspnoea": "yes"}, 0.0995, 4),
        (CHEST_CLINIC, "bronchitis", {"asia": "yes", "dyspnoea": "yes"}, 0.8114, 4),
        (CHEST_CLINIC, "smoking", {"asia": "yes", "dyspnoea": "yes"}, 0.6259, 4),
    ],
)
def test_published_beliefs_come_out_to_the_digits_printed(network, asked, found, expected, digits):
    """Each textbook number is met within half a unit of its last digit."""
    assert chance(network, asked, **found) == pytest.approx(expected, abs=0.5001 * 10**-digits)


def test_a_screening_test_answers_by_bayes_rule():
    """Prevalence .14, sensitivity .90, specificity .93 give 0.67669 (OpenMarkov tutorial, second hand)."""
    network = Network(
        {"ill": NO_YES, "test": NO_YES},
        (
            Factor(("ill",), np.array([0.86, 0.14])),
            Factor(("test", "ill"), np.array([[0.93, 0.10], [0.07, 0.90]])),
        ),
    )
    assert chance(network, "ill", test="yes") == pytest.approx(0.67669, abs=0.5e-5)


@given(random_networks(), st.data())
@STEADY
def test_beliefs_equal_enumeration(network, data):
    """Every marginal, every family's joint and P(findings) equal one sum over the whole table."""
    seen = data.draw(st.lists(st.sampled_from(list(network.states)), unique=True, max_size=3))
    found = {name: data.draw(st.sampled_from(network.states[name])) for name in seen}
    clamped = [evidence(name, network.states[name], value) for name, value in found.items()]
    whole = Network(network.states, (*network.factors, *clamped))
    done = beliefs_in(network, found)
    weight = float(enumerate_network(whole, []))
    assert done.weight[0] == pytest.approx(weight, rel=1e-12, abs=1e-300)
    for scope in [*([name] for name in network.states), *(factor.variables for factor in network.factors)]:
        expected = enumerate_network(whole, scope) / weight
        np.testing.assert_allclose(done.joint(scope)[..., 0], expected, rtol=0, atol=1e-12)


@given(random_networks(), st.integers(2, 5), st.integers(0, 2**32 - 1))
@STEADY
def test_each_row_of_a_batch_equals_its_own_run(network, rows, seed):
    """A batched likelihood gives in each row what the same likelihood alone gives."""
    tree = JunctionTree.of(network)
    prepared = tree.prepare(network.factors)
    rng = np.random.default_rng(seed)
    name = list(network.states)[-1]
    batch = rng.uniform(0.01, 1, size=(len(network.states[name]), rows))
    together = tree.calibrate(prepared, [Factor((name,), batch)])
    for row in range(rows):
        alone = tree.calibrate(prepared, [Factor((name,), batch[:, row])])
        weight = np.broadcast_to(together.weight, (rows,))[row]
        assert weight == pytest.approx(alone.weight[0], rel=1e-12)
        for asked in network.states:
            marginal = together.joint([asked])
            marginal = np.broadcast_to(marginal, (len(marginal), rows))[:, row]
            np.testing.assert_allclose(marginal, alone.joint([asked])[:, 0], rtol=0, atol=1e-12)


@given(random_networks())
@STEADY
def test_every_clique_says_the_same_of_a_variable(network):
    """Calibrated: whichever clique is summed, a variable's marginal is the same."""
    tree = JunctionTree.of(network)
    done = tree.calibrate(tree.prepare(network.factors))
    for clique in tree.cliques:
        joint = done.joint(clique)[..., 0]
        for axis, name in enumerate(clique):
            others = tuple(k for k in range(len(clique)) if k != axis)
            np.testing.assert_allclose(joint.sum(axis=others), done.joint([name])[:, 0], rtol=0, atol=1e-12)


@given(random_networks())
@STEADY
def test_the_axes_of_a_joint_come_in_the_order_asked(network):
    """Asking for a family the other way round turns the table round."""
    tree = JunctionTree.of(network)
    done = tree.calibrate(tree.prepare(network.factors))
    for factor in network.factors:
        there, back = done.joint(factor.variables), done.joint(factor.variables[::-1])
        axes = (*reversed(range(len(factor.variables))), len(factor.variables))
        np.testing.assert_array_equal(there.transpose(axes), back)


@given(random_networks(most=10))
@STEADY
def test_the_tree_runs_through_every_variable_unbroken(network):
    """Running intersection: the cliques that hold a variable hang together in the tree."""
    tree = JunctionTree.of(network)
    arcs = nx.Graph()
    arcs.add_nodes_from(range(len(tree.nodes)))
    arcs.add_edges_from((i, child) for i, node in enumerate(tree.nodes) for child in node.children)
    assert nx.is_forest(arcs)
    for name in network.states:
        holding = [i for i, node in enumerate(tree.nodes) if name in node.variables]
        assert nx.is_connected(arcs.subgraph(holding)), name


@given(random_networks(most=10))
@STEADY
def test_no_node_has_more_than_two_children_and_every_clique_is_one(network):
    """What a child shares with its parent is what both hold; what it shares comes first in its order."""
    tree = JunctionTree.of(network)
    assert {frozenset(node.variables) for node in tree.nodes} >= {frozenset(c) for c in tree.cliques}
    for node in tree.nodes:
        assert len(node.children) <= 2
        for child in node.children:
            below = tree.nodes[child]
            assert set(below.shared) == set(below.variables) & set(node.variables)
            assert below.depth == node.depth + 1


def test_a_calibration_leaves_the_tree_as_it_was():
    """The same question after another one has the same answer, bit for bit."""
    tree = JunctionTree.of(CHEST_CLINIC)
    prepared = tree.prepare(CHEST_CLINIC.factors)
    first = tree.calibrate(prepared).joint(["smoking"])
    tree.calibrate(prepared, [evidence("dyspnoea", NO_YES, "yes")])
    np.testing.assert_array_equal(tree.calibrate(prepared).joint(["smoking"]), first)


def test_impossible_findings_weigh_nothing():
    """Neither cancer nor tuberculosis, and yet one of the two: weight 0, and beliefs that are no number."""
    impossible = {"tuberculosis": "no", "lung_cancer": "no", "either": "yes"}
    done = beliefs_in(CHEST_CLINIC, impossible)
    assert done.weight[0] == 0
    assert np.isnan(done.joint(["smoking"])).all()


def test_weights_of_parts_that_do_not_touch_multiply():
    """Two separate variables: P(both findings) is the product."""
    network = Network(
        {"a": NO_YES, "b": NO_YES},
        (Factor(("a",), np.array([0.7, 0.3])), Factor(("b",), np.array([0.6, 0.4]))),
    )
    assert beliefs_in(network, {"a": "yes", "b": "yes"}).weight[0] == pytest.approx(0.12, rel=1e-14)


def test_a_finding_on_variables_that_no_clique_holds_is_refused():
    """A set of variables that was not announced names itself in the error."""
    tree = JunctionTree.of(ALARM)
    with pytest.raises(KeyError, match="no clique holds john, mary together"):
        tree.home(["john", "mary"])


def test_variables_named_together_share_a_clique():
    """The same two can be asked about once they are announced."""
    tree = JunctionTree(ALARM.cardinalities, [*ALARM.scopes, ("john", "mary")])
    joint = tree.calibrate(tree.prepare(ALARM.factors)).joint(["john", "mary"])[..., 0]
    np.testing.assert_allclose(joint, enumerate_network(ALARM, ["john", "mary"]), rtol=0, atol=1e-12)
