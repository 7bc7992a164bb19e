"""Two faults at once, on the textbook circuit of three multipliers and two adders.

Source: J. de Kleer & B. Williams, Diagnosing multiple faults, Artificial Intelligence 32 (1987), 97 (the
case and its answers second hand). Inputs A=3 B=2 C=2 D=3 E=3; M1 makes X = AC, M2 Y = BD, M3 Z = CE, A1
F = X + Y, A2 G = Y + Z. All should be 6 and 12; seen are F = 10 and G = 12. Each part fails with 0.01.
"""

from itertools import combinations, product

import numpy as np

from diagnose.junction_tree import JunctionTree
from diagnose.network import Factor, Network, Table, evidence
from tests.diagnose.networks import NO_YES

PARTS = ("M1", "M2", "M3", "A1", "A2")
NUMBERS = tuple(map(str, range(25)))
"""A part that fails gives any of these numbers, all alike; a sound one what it should."""
SETS = [set(some) for count in range(6) for some in combinations(PARTS, count)]


def _multiplier(part: str, out: str, right: int) -> Factor:
    table = np.full((13, 2), 1 / 13)
    table[:, 0] = np.arange(13) == right
    return Factor((out, part), table)


def _adder(part: str, out: str, left: str, right: str) -> Factor:
    table = np.full((25, 2, 13, 13), 1 / 25)
    for a, b in product(range(13), repeat=2):
        table[:, 0, a, b] = np.arange(25) == a + b
    return Factor((out, part, left, right), table)


def weights(probe: str) -> Table:
    """P(exactly these parts fail, probe, F = 10, G = 12), shape (values of the probe, sets of parts)."""
    states = dict.fromkeys(PARTS, NO_YES)
    states |= dict.fromkeys("XYZ", NUMBERS[:13]) | dict.fromkeys("FG", NUMBERS)
    circuit = Network(
        states,
        (
            *(Factor((part,), np.array([0.99, 0.01])) for part in PARTS),
            *(_multiplier(part, out, 6) for part, out in zip(PARTS, "XYZ", strict=False)),
            _adder("A1", "F", "X", "Y"),
            _adder("A2", "G", "Y", "Z"),
        ),
    )
    exactly = [
        Factor(
            (part,), np.array([[part not in some for some in SETS], [part in some for some in SETS]], float)
        )
        for part in PARTS
    ]
    tree = JunctionTree.of(circuit)
    seen = [evidence("F", NUMBERS, "10"), evidence("G", NUMBERS, "12")]
    done = tree.calibrate(tree.prepare(circuit.factors), [*seen, *exactly])
    return np.where(done.weight > 0, np.nan_to_num(done.joint([probe])) * done.weight, 0.0)


def test_the_smallest_sets_of_faults_that_explain_it_are_the_published_ones():
    """M1; A1; M2 and M3; M2 and A2: these and what holds one of them are possible, nothing else is."""
    total = weights("X").sum(axis=0)
    possible = [some for some, weight in zip(SETS, total, strict=True) if weight > 0]
    smallest = [some for some in possible if not any(other < some for other in possible)]
    assert sorted(map(sorted, smallest)) == [["A1"], ["A2", "M2"], ["M1"], ["M2", "M3"]]
    assert all(some in possible for some in SETS if any(small <= some for small in smallest))


def test_the_first_thing_to_probe_is_the_published_one():
    """X leaves the least entropy over the sets of faults, of X, Y and Z."""
    left = {}
    for probe in "XYZ":
        joint = weights(probe)
        joint = joint / joint.sum()
        of_value = joint.sum(axis=1, keepdims=True)
        share = np.divide(joint, of_value, out=np.ones_like(joint), where=joint > 0)
        left[probe] = float(-(joint * np.log2(share)).sum())
    assert min(left, key=lambda probe: left[probe]) == "X"
