"""A gate in rank-one form is the leaky noisy-OR table written out."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.gates import HELPER_MARK, Parent, noisy_or
from diagnose.network import Network
from tests.diagnose.oracle import enumerate_network

STEADY = settings(max_examples=80, deadline=None, derandomize=True)
FACTS = {"season": 2, "action": 3}
chance = st.floats(0, 1, allow_subnormal=False)


@st.composite
def random_parents(draw) -> list[Parent]:
    parents = []
    for k in range(draw(st.integers(0, 5))):
        facts = tuple(draw(st.lists(st.sampled_from(list(FACTS)), unique=True)))
        shape = tuple(FACTS[fact] for fact in facts)
        size = int(np.prod(shape))
        values = draw(st.lists(chance, min_size=size, max_size=size))
        parents.append(Parent(f"p{k}", facts, np.array(values).reshape(shape)))
    return parents


def written_out(parents: list[Parent], leak: float, on: tuple[int, ...], facts: dict[str, int]) -> float:
    """P(child is off), by its definition."""
    off = 1 - leak
    for parent, there in zip(parents, on, strict=True):
        if there:
            off *= 1 - parent.strength[tuple(facts[name] for name in parent.facts)]
    return off


@given(random_parents(), chance)
@STEADY
def test_the_factors_equal_the_table_written_out(parents, leak):
    """For every state of the parents and every value of the facts, the helper summed away."""
    factors = noisy_or("child", parents, leak)
    variables = ["child", *(p.name for p in parents), *FACTS]
    states = {name: tuple("ny") for name in variables} | {f"child{HELPER_MARK}": tuple("ny")}
    shape = [2, *(2 for _ in parents), *FACTS.values()]
    product_of_all = np.zeros(shape)
    asked = [name for name in variables if any(name in factor.variables for factor in factors)]
    table = enumerate_network(Network(states, tuple(factors)), asked)
    product_of_all += table.reshape([shape[k] if name in asked else 1 for k, name in enumerate(variables)])
    for on in product((0, 1), repeat=len(parents)):
        for values in product(*(range(card) for card in FACTS.values())):
            off = written_out(parents, leak, on, dict(zip(FACTS, values, strict=True)))
            np.testing.assert_allclose(
                product_of_all[(slice(None), *on, *values)], [off, 1 - off], atol=1e-12
            )


@given(st.integers(2, 40), chance)
@STEADY
def test_no_table_grows_with_the_number_of_parents(count, leak):
    """However many parents, every factor has two variables."""
    parents = [Parent(f"p{k}", (), np.array(0.5)) for k in range(count)]
    assert {len(factor.variables) for factor in noisy_or("child", parents, leak)} == {2}


def test_a_gate_without_parents_is_its_leak():
    """Nothing leads to it: it comes from nowhere as often as the leak says."""
    (factor,) = noisy_or("child", [], 0.25)
    assert factor.variables == ("child",)
    assert factor.table == pytest.approx([0.75, 0.25])


def test_two_parents_fail_together_as_often_as_each_fails_alone_multiplied():
    """0.9 and 0.8 without a leak: both are powerless in 0.1 x 0.2 of the cases."""
    parents = [Parent("a", (), np.array(0.9)), Parent("b", (), np.array(0.8))]
    states = dict.fromkeys(("child", "a", "b", f"child{HELPER_MARK}"), ("n", "y"))
    table = enumerate_network(Network(states, tuple(noisy_or("child", parents, 0.0))), ["child", "a", "b"])
    assert table[:, 1, 1] == pytest.approx([0.02, 0.98])
