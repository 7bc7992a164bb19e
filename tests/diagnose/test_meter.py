"""The error meter shows what rounding does to gates that nothing explains, and longer numbers mend it."""

from itertools import product
from math import expm1, log1p

import numpy as np
import pytest

from diagnose import reasoner as reasoner_module
from diagnose.evidence import Evidence
from diagnose.gates import HELPER_MARK, Parent, noisy_or
from diagnose.junction_tree import JunctionTree
from diagnose.network import Factor, Network, evidence
from diagnose.reasoner import MAX_SPREAD, Reasoner
from tests.helpers import tiny_book

NO_YES = ("no", "yes")
CAUSES = 5


class Gates:
    """Five rare causes, four gates with almost no leak, each with three of the causes as parents."""

    def __init__(self, seed: int, leak: float) -> None:
        rng = np.random.default_rng(seed)
        self.leak = leak
        self.prior = rng.uniform(1e-4, 1e-2, CAUSES)
        self.parents = [rng.choice(CAUSES, 3, replace=False) for _ in range(4)]
        self.strength = rng.uniform(1e-6, 1e-3, (4, 3))

    def network(self) -> Network:
        """The gates in rank-one form."""
        factors = [Factor((f"k{k}",), np.array([1 - p, p])) for k, p in enumerate(self.prior)]
        for n, (parents, strengths) in enumerate(zip(self.parents, self.strength, strict=True)):
            into = [Parent(f"k{k}", (), np.array(s)) for k, s in zip(parents, strengths, strict=True)]
            factors += noisy_or(f"g{n}", into, self.leak)
        names = [f"k{k}" for k in range(CAUSES)] + [
            f"g{n}{mark}" for n in range(4) for mark in ("", HELPER_MARK)
        ]
        return Network(dict.fromkeys(names, NO_YES), tuple(factors))

    def exact(self) -> np.ndarray:
        """P(cause | every gate is on): sums of positive terms alone, each to the last digit."""
        total, yes = 0.0, np.zeros(CAUSES)
        for there in product((0, 1), repeat=CAUSES):
            weight = float(np.prod(np.where(there, self.prior, 1 - self.prior)))
            for parents, strengths in zip(self.parents, self.strength, strict=True):
                on = [log1p(-s) for k, s in zip(parents, strengths, strict=True) if there[k]]
                weight *= -expm1(log1p(-self.leak) + sum(on))
            total += weight
            yes += weight * np.array(there)
        return yes / total


def run(gates: Gates, kind: type) -> tuple[float, float]:
    """(reading of the meter, true error of the worst cause) with every gate found on."""
    network = gates.network()
    tree = JunctionTree.of(network)
    done = tree.calibrate(
        tree.prepare(network.factors, kind), [evidence(f"g{n}", NO_YES, "yes") for n in range(4)]
    )
    beliefs = np.array([float(done.joint([f"k{k}"])[1, 0]) for k in range(CAUSES)])
    return done.spread, float(np.abs(beliefs - gates.exact()).max())


@pytest.mark.parametrize("seed", range(24))
def test_the_meter_bounds_the_true_error(seed):
    """Gates that are on by a leak of 1e-5 to 1e-9 at most: what is off by more than 1e-11, the meter saw."""
    reading, off = run(Gates(seed, 10.0 ** -(5 + seed % 5)), np.float64)
    assert off <= max(20 * reading, 1e-11)


def test_the_meter_rises_as_gates_get_harder_to_explain():
    """Not a constant: its reading grows by orders of magnitude with the cancellation."""
    easy = max(run(Gates(seed, 1e-3), np.float64)[0] for seed in range(8))
    hard = max(run(Gates(seed, 1e-9), np.float64)[0] for seed in range(8))
    assert hard > 1e3 * easy


@pytest.mark.parametrize("seed", range(8))
def test_longer_numbers_mend_it(seed):
    """The same network in longer numbers: both the reading and the true error fall."""
    gates = Gates(seed, 1e-9)
    short, long = run(gates, np.float64), run(gates, np.longdouble)
    assert short[0] > 1e-9
    assert long[0] < short[0] / 10
    assert long[1] < max(short[1] / 10, 1e-12)


def test_a_high_reading_makes_the_reasoner_use_longer_numbers(monkeypatch):
    """With a limit below any reading every answer is worked out again; it stays the same to 1e-12."""
    found = Evidence(("wont_open",), {"output_moves": "no", "supply_gauge": "full", "stem_moves": "yes"})
    short = Reasoner(tiny_book(), {})
    plain, what_if = short.beliefs(found), short.what_ifs(found, ["vent_breathes"])["vent_breathes"]
    assert plain.error <= MAX_SPREAD
    monkeypatch.setattr(reasoner_module, "MAX_SPREAD", -1.0)
    long = Reasoner(tiny_book(), {})
    assert long.calibrate(found).weight.dtype == np.longdouble
    again = long.beliefs(found)
    assert again.causes == pytest.approx(plain.causes, rel=1e-12)
    assert again.error < plain.error
    longer = long.what_ifs(found, ["vent_breathes"])["vent_breathes"]
    np.testing.assert_allclose(longer.causes, what_if.causes, rtol=1e-11)
