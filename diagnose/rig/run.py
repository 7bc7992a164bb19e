"""Playing a plant over time."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from diagnose.rig.hands import Hand, stretches, under_hands
from diagnose.rig.inflows import Floats, inflow_over
from diagnose.rig.moment import Moment
from diagnose.rig.parts import Inflow
from diagnose.rig.plant import Plant
from diagnose.rig.state import State, start_of
from diagnose.rig.trace import Trace, leak_conductances, trace_of

STEP: Final = 0.25
"""s"""


def run(
    plant: Plant,
    seconds: float,
    seed: int = 0,
    inflow: Inflow | None = None,
    hands: Sequence[Hand] = (),
    start: State | None = None,
    step: float = STEP,
) -> Trace:
    """Play a plant; the same for the same plant, seed and hands.

    ``inflow``: another than the plant's own; ``start``: a state to go on from, as the end of another trace,
    else the plant at rest at its level; ``step``: s. Liquid is conserved to rounding; pressures are implicit
    Euler's, so their error grows with the step.
    """
    count = round(seconds / step)
    times: Floats = np.arange(1, count + 1, dtype=np.float64) * step
    begun = start_of(plant) if start is None else start
    state, rows, flows, leaks = begun, [], [], []
    for first, last in stretches(hands, count * step):
        as_it_is = under_hands(plant, hands, first)
        span = slice(round(first / step), round(last / step))
        low, up = inflow_over(as_it_is.inflow if inflow is None else inflow, count, step, seed)
        moment, played = Moment(as_it_is, step), []
        series = (each[span].tolist() for each in (times, low, up))
        for time, lower_in, upper_in in zip(*series, strict=True):
            state = moment.after(state, time, lower_in, upper_in)
            played.append(state)
        rows += played
        flows.append((low[span], up[span]))
        leaks.append(_leaks(as_it_is, played))
    joined = {place: np.concatenate([part[place] for part in leaks]) for place in leaks[0]}
    came = np.concatenate([part[0] for part in flows]), np.concatenate([part[1] for part in flows])
    return trace_of(plant, begun, rows, came, times, joined)


def _leaks(plant: Plant, played: Sequence[State]) -> dict[str, Floats]:
    """Gas lost at each place over a stretch, standard m3/s."""
    return {
        place: conductance * np.array([getattr(state, driver) for state in played], dtype=float)
        for place, (driver, conductance) in leak_conductances(plant).items()
    }
