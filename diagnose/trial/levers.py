"""What a hand makes of the output, the lever pushed to either end: common to several eyes."""

from collections.abc import Callable
from functools import lru_cache
from typing import Final

import numpy as np

from diagnose.rig.hands import Hand
from diagnose.rig.inflows import Floats
from diagnose.rig.plant import Plant
from diagnose.rig.state import start_of
from diagnose.rig.trace import Trace
from diagnose.trial.case import HIGH, LOW, Case
from diagnose.units import to_si

FELT: Final = 2e-5
"""Standard m3/s of gas that a wet finger feels, some 2.5 scf/h; common practice, no source."""
BUBBLES: Final = 2e-6
"""Standard m3/s that foams in soap, a tenth of that; common practice, no source."""
FULL: Final = 0.8
"""Share of the supply pressure from which a hand calls the output full; common practice, no source."""
HARDLY: Final = 0.2
"""Share of it under which a hand calls it not up at all; common practice, no source."""
STAYS: Final = 2 / 3
"""Share of it over which a hand calls it not down at all; common practice, no source."""
SLOW: Final = 2.5
"""Times what it takes a healthy output that a hand calls slow; common practice, no source."""
APART: Final = to_si(2, "psi")
"""By which two gauges differ, or a needle jumps, so that it is seen; common practice, no source."""


def read(case: Case, pressures: Floats) -> Floats:
    """What the output gauge shows where these are, Pa."""
    return pressures * case.plant.sights.output_gauge


def levers(case: Case) -> tuple[Trace, Trace]:
    """Of the lever pushed to either end: that which ends with the higher output, and that with the lower.

    Where the output does not move they are those in which it should be high and low.
    """
    return (case.up, case.down) if case.up.end.output >= case.down.end.output else (case.down, case.up)


def shown_ends(case: Case) -> tuple[float, float]:
    """The gauge at the end of each, as shares of the supply pressure wanted."""
    up, down = levers(case)
    full = case.healthy.pilot.full
    return float(read(case, up.output)[-1]) / full, float(read(case, down.output)[-1]) / full


def seconds_to(trace: Trace, values: Floats, start: float) -> float:
    """s until values have gone four fifths of their way from ``start`` to their end; 0 for no way."""
    way = values[-1] - start
    return float(trace.time[np.argmax((values - start) * np.sign(way) >= FULL * abs(way))]) if way else 0.0


@lru_cache(maxsize=64)
def healthy_seconds(healthy: Plant) -> tuple[float, float]:
    """(Up, down) s that the output takes on a healthy plant."""
    case = Case({}, healthy, {})
    rest = start_of(healthy)
    low = case.tried(Hand("hold_lever", 0, amount=LOW), start=rest)
    high = case.tried(Hand("hold_lever", 0, amount=HIGH), start=low.end)
    back = case.tried(Hand("hold_lever", 0, amount=LOW), start=high.end)
    up, down = (high, back) if healthy.set_up.acting == "direct" else (back, high)
    first, second = (seconds_to(each, each.output, each.start.output) for each in (up, down))
    return first, second


def sign(seen: str, there: str, otherwise: str) -> Callable[[Case], str]:
    """An eye that tells one of two outcomes by whether something can be seen."""
    return lambda case: there if case.sees(seen) else otherwise
