"""What comes into the vessel over time."""

import numpy as np
from numpy.typing import NDArray

from diagnose.rig.parts import Inflow

WANDER = 20.0
"""s between the points that the noise runs through."""

SWING_PERIOD = 1800.0
"""s"""

Floats = NDArray[np.float64]


def inflow_over(inflow: Inflow, count: int, step: float, seed: int) -> tuple[Floats, Floats]:
    """Flow of the lower and of the upper liquid at each step, m3/s, two arrays of ``count``.

    The same for the same seed; never below zero. ``step``: s.

    >>> low, up = inflow_over(Inflow(0.001), 3, 0.2, seed=1)
    >>> low.tolist(), up.tolist()
    ([0.001, 0.001, 0.001], [0.0, 0.0, 0.0])
    """
    rng = np.random.default_rng(seed)
    times: Floats = np.arange(count, dtype=np.float64) * step
    factor = np.ones(count)
    if inflow.noise:
        knots = np.arange(0.0, count * step + 2 * WANDER, WANDER)
        factor += inflow.noise * np.interp(times, knots, rng.standard_normal(len(knots)))
    if inflow.swing:
        begun = rng.uniform(0, 2 * np.pi)
        factor += inflow.swing * np.sin(2 * np.pi * times / SWING_PERIOD + begun)
    if inflow.slug_every:
        factor *= _slugs(inflow, times, rng)
    factor = np.maximum(factor, 0.0)
    return inflow.lower * factor, inflow.upper * factor


def _slugs(inflow: Inflow, times: Floats, rng: np.random.Generator) -> Floats:
    """The flow over its mean: high in a slug, low between them."""
    share = min(inflow.slug_seconds / inflow.slug_every, 0.9)
    between = max(1 - share * inflow.slug_size, 0.0) / (1 - share)
    factor = np.full(len(times), between)
    start = rng.exponential(inflow.slug_every)
    while len(times) and start < times[-1]:
        factor[(times >= start) & (times < start + inflow.slug_seconds)] = inflow.slug_size
        start += inflow.slug_seconds + rng.exponential(inflow.slug_every - inflow.slug_seconds)
    return factor
