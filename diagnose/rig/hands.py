"""What somebody does to a plant at a time, to see how it answers."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from diagnose.rig.plant import Plant, changed


@dataclass(frozen=True)
class Hand:
    """One thing that is done from ``start`` to ``end`` (s)."""

    act: str
    """One of `ACTS`."""
    start: float
    end: float = float("inf")
    amount: float = 1.0


Act = Callable[[Plant, float], Plant]

ACTS: Final[Mapping[str, Act]] = MappingProxyType(
    {
        "hold_lever": lambda plant, strokes: changed(plant, "hand", lever=strokes),
        "load_actuator": lambda plant, pressure: changed(plant, "hand", loaded=pressure),
        "block_output": lambda plant, _: changed(plant, "hand", output_blocked=True),
        "hold_stem": lambda plant, share: changed(plant, "hand", stem=share),
        "turn_knob": lambda plant, force: changed(plant, "linkage", carry=plant.linkage.carry + force),
        "open_block_valve": lambda plant, share: changed(plant, "discharge", block_open=share),
        "open_bypass": lambda plant, share: changed(plant, "discharge", bypass_open=share),
        "shut_supply": lambda plant, share: changed(plant, "supply", path=plant.supply.path * (1 - share)),
        "open_output_fitting": lambda plant, conductance: changed(
            plant, "output_line", leak_far=plant.output_line.leak_far + conductance
        ),
        "stop_inflow": lambda plant, share: changed(
            plant,
            "inflow",
            lower=plant.inflow.lower * (1 - share),
            upper=plant.inflow.upper * (1 - share),
        ),
    }
)
"""What can be done, and its amount: ``hold_lever`` strokes (0 low, 1 high; an upward push by hand is 1.5),
``load_actuator`` Pa, ``block_output`` nothing, ``hold_stem`` share open, ``turn_knob`` N at the displacer,
``open_block_valve`` and ``open_bypass`` share open, ``shut_supply`` share shut, ``open_output_fitting``
conductance, ``stop_inflow`` share of it."""


def under_hands(plant: Plant, hands: Sequence[Hand], time: float) -> Plant:
    """The plant with all that is being done to it at a time (s); `ValueError` for an unknown act."""
    for hand in hands:
        if hand.act not in ACTS:
            raise ValueError(f"nobody knows how to {hand.act}; known: {', '.join(sorted(ACTS))}")
        if hand.start <= time < hand.end:
            plant = ACTS[hand.act](plant, hand.amount)
    return plant


def stretches(hands: Sequence[Hand], seconds: float) -> list[tuple[float, float]]:
    """(Start, end) of each stretch in which the same is being done, in s.

    >>> stretches([Hand("hold_lever", 10, 20)], 30)
    [(0.0, 10.0), (10.0, 20.0), (20.0, 30.0)]
    """
    marks = {time for hand in hands for time in (hand.start, hand.end) if 0 < time < seconds}
    return list(pairwise(sorted({0.0, float(seconds)} | {float(mark) for mark in marks})))
