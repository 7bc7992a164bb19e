"""Small published networks and random ones, as plain factors."""

import numpy as np
from hypothesis import strategies as st

from diagnose.network import Factor, Network

NO_YES = ("no", "yes")


def network_of(tables: dict[tuple[str, ...], list]) -> Network:
    """(child, *parents) to P(child is yes | parents), parents' states in the order no, yes."""
    factors = []
    for variables, chances in tables.items():
        yes = np.array(chances, dtype=float)
        factors.append(Factor(variables, np.stack([1 - yes, yes])))
    return Network({variables[0]: NO_YES for variables in tables}, tuple(factors))


ALARM = network_of(
    {
        ("burglary",): 0.001,
        ("earthquake",): 0.002,
        ("alarm", "burglary", "earthquake"): [[0.001, 0.29], [0.94, 0.95]],
        ("john", "alarm"): [0.05, 0.90],
        ("mary", "alarm"): [0.01, 0.70],
    }
)
"""Russell & Norvig, AIMA, 3rd ed., ch. 14 (numbers as libraries state)."""

SPRINKLER = network_of(
    {
        ("cloudy",): 0.5,
        ("sprinkler", "cloudy"): [0.5, 0.1],
        ("rain", "cloudy"): [0.2, 0.8],
        ("wet", "sprinkler", "rain"): [[0.0, 0.9], [0.9, 0.99]],
    }
)
"""K. Murphy, A Brief Introduction to Graphical Models and Bayesian Networks, 1998 (from memory)."""

CHEST_CLINIC = network_of(
    {
        ("asia",): 0.01,
        ("smoking",): 0.5,
        ("tuberculosis", "asia"): [0.01, 0.05],
        ("lung_cancer", "smoking"): [0.01, 0.1],
        ("bronchitis", "smoking"): [0.3, 0.6],
        ("either", "tuberculosis", "lung_cancer"): [[0.0, 1.0], [1.0, 1.0]],
        ("x_ray", "either"): [0.05, 0.98],
        ("dyspnoea", "either", "bronchitis"): [[0.1, 0.8], [0.7, 0.9]],
    }
)
"""Lauritzen & Spiegelhalter, J. Royal Statistical Society B 50 (1988), 157 (numbers as libraries state)."""


@st.composite
def random_networks(draw, most: int = 7) -> Network:
    """A random directed network: up to ``most`` variables of 2 or 3 states, up to 3 parents each."""
    count = draw(st.integers(1, most))
    cards = draw(st.lists(st.integers(2, 3), min_size=count, max_size=count))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    factors = []
    for i in range(count):
        parents = draw(st.lists(st.integers(0, i - 1), unique=True, max_size=3)) if i else []
        scope = (i, *parents)
        table = rng.gamma(0.5, size=[cards[k] for k in scope]) + 1e-6
        factors.append(Factor(tuple(f"v{k}" for k in scope), table / table.sum(axis=0)))
    states = {f"v{i}": tuple(map(str, range(card))) for i, card in enumerate(cards)}
    return Network(states, tuple(factors))
