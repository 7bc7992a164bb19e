"""Published networks through our junction tree: every marginal is pyagrum's, a general library's.

The files come with pgmpy and are read from where it is installed. Their sources:

- asia: Lauritzen & Spiegelhalter, J. Royal Statistical Society B 50 (1988), 157.
- alarm: Beinlich, Suermondt, Chavez & Cooper, Proc. 2nd European Conf. on AI in Medicine (1989), 247.
- win95pts: faults of printing; J. Breese, D. Heckerman and others (from memory).
- hepar2: A. Onisko, Probabilistic Causal Models in Medicine: Application to Diagnosis of Liver Disorders,
  PhD thesis, Polish Academy of Sciences, Warsaw 2003.
"""

import gzip
import importlib.util
import random
from pathlib import Path

import numpy as np
import pyagrum as gum
import pytest

from diagnose.junction_tree import JunctionTree
from diagnose.network import Factor, Network, evidence

SIZES = {"asia": (8, 8), "alarm": (37, 46), "win95pts": (76, 112), "hepar2": (70, 123)}
"""(nodes, arcs) of each, so that the right file is read (counted in the files)."""
CASES = 8
"""Sets of evidence for each network, of 0 to 7 nodes."""


def file_of(name: str) -> Path:
    """Where pgmpy keeps the network; pgmpy itself is not loaded."""
    found = importlib.util.find_spec("pgmpy")
    assert found is not None, "pgmpy is a development dependency"
    assert found.origin is not None
    return Path(found.origin).parent / "utils" / "example_models" / f"{name}.bif.gz"


def read_published(name: str, folder: Path) -> gum.BayesNet:
    """The network in pyagrum, with the rounded rows of its tables made to sum to 1."""
    path = folder / f"{name}.bif"
    path.write_bytes(gzip.decompress(file_of(name).read_bytes()))
    net = gum.loadBN(str(path))
    for node in net.names():
        table = net.cpt(node).toarray()
        net.cpt(node).fillWith((table / table.sum(axis=-1, keepdims=True)).ravel().tolist())
    return net


def ours_of(net: gum.BayesNet) -> Network:
    """The same tables as our factors; pyagrum's arrays have the axes of a table's names turned round."""
    states = {node: net.variable(node).labels() for node in net.names()}
    tables = {node: net.cpt(node) for node in states}
    return Network(states, tuple(Factor(tuple(table.names), table.toarray().T) for table in tables.values()))


def drawn_world(net: gum.BayesNet, draw: random.Random) -> dict[str, str]:
    """One state of every node, drawn from the network itself, so that it is possible."""
    world: dict[str, str] = {}
    for number in net.topologicalOrder():
        node = net.variable(number).name()
        parents = {net.variable(parent).name() for parent in net.parents(number)}
        weights = net.cpt(node)[{name: world[name] for name in parents}]
        world[node] = draw.choices(net.variable(node).labels(), np.ravel(weights).tolist())[0]
    return world


@pytest.mark.parametrize("name", SIZES)
def test_every_marginal_of_a_published_network_is_the_librarys(name, tmp_path):
    """Without evidence and with several sets of it, to 1e-9, the probability of the evidence as well."""
    net = read_published(name, tmp_path)
    assert (net.size(), net.sizeArcs()) == SIZES[name]
    network, draw = ours_of(net), random.Random(name)
    tree = JunctionTree.of(network)
    prepared = tree.prepare(network.factors)
    engine = gum.LazyPropagation(net)
    for case in range(CASES):
        world = drawn_world(net, draw)
        seen = {node: world[node] for node in draw.sample(sorted(world), case)}
        done = tree.calibrate(prepared, [evidence(node, network.states[node], seen[node]) for node in seen])
        engine.setEvidence(seen)
        engine.makeInference()
        assert done.weight[0] == pytest.approx(engine.evidenceProbability(), rel=1e-9)
        for node in network.states:
            expected = engine.posterior(node).toarray()
            np.testing.assert_allclose(
                done.joint([node])[:, 0], expected, rtol=0, atol=1e-9, err_msg=f"{node} given {seen}"
            )


def test_the_chest_clinics_file_has_the_published_beliefs(tmp_path):
    """Lauritzen & Spiegelhalter 1988: priors of the file that the other networks come with."""
    network = ours_of(read_published("asia", tmp_path))
    tree = JunctionTree.of(network)
    done = tree.calibrate(tree.prepare(network.factors))
    published = {"tub": 0.0104, "lung": 0.055, "bronc": 0.45, "either": 0.064828, "xray": 0.11029}
    for node, chance in published.items():
        yes = network.states[node].index("yes")
        assert done.joint([node])[yes, 0] == pytest.approx(chance, abs=1e-6)
