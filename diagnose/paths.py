"""The way from a cause to the complaint: the strongest chain of links in the book's graph.

The strength of a chain is the product of its links' strengths for this unit: the chance that the cause
alone would bring about what was complained of along this chain and no other. The search goes backwards
from the complaint and always takes up the strongest chain not yet taken up (Dijkstra 1959, from memory,
with products instead of sums), so that one run gives the chain of every cause.
"""

from dataclasses import dataclass
from heapq import heappop, heappush

from diagnose.evidence import Evidence
from diagnose.gates import Parent
from diagnose.mixture import Mixture
from diagnose.reasoner import Reasoner


@dataclass(frozen=True)
class Chain:
    """The cause, the conditions it goes through and the condition that was complained of."""

    nodes: tuple[str, ...]
    strength: float
    """Product of the links' strengths; of a link that depends on unknown facts the expected strength."""


def chains(reasoner: Reasoner, evidence: Evidence) -> dict[str, Chain]:
    """The strongest chain to a complaint from every cause and condition that can bring one about.

    Facts that are not known count with what the findings say of them. Of chains that are equally strong
    the shortest is taken, and then the first by name.
    """
    done = reasoner.calibrate(evidence)
    if done.weight[0] <= 0:
        done = reasoner.calibrate(evidence.before)
    parents = reasoner.compiler.parents
    found: dict[str, Chain] = {}
    targets = dict.fromkeys(reasoner.book.complaints[name].of for name in evidence.complaints)
    waiting: list[tuple[float, int, tuple[str, ...]]] = [(-1.0, 1, (target,)) for target in sorted(targets)]
    while waiting:
        minus, length, nodes = heappop(waiting)
        if nodes[0] in found:
            continue
        found[nodes[0]] = Chain(nodes, -minus)
        for parent in parents.get(nodes[0], ()):
            if parent.name not in found:
                heappush(waiting, (minus * _expected(parent, done), length + 1, (parent.name, *nodes)))
    return found


def _expected(parent: Parent, done: Mixture) -> float:
    """Mean strength of a link over the unknown facts that it depends on."""
    if not parent.facts:
        return float(parent.strength)
    weights = done.weights(parent.facts)[..., 0]
    return float((weights * parent.strength).sum() / weights.sum())
