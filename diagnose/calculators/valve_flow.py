"""Liquid flow through a valve by IEC 60534-2-1, and the time that a dump takes at that flow.

With the valve fully open, stirred flow and no reducers beside it. Past a certain drop the liquid boils where
the valve is narrowest and the flow grows no more: it is choked.
"""

import math
from typing import Final, NamedTuple

from diagnose.units import Absolute

IEC: Final = "IEC 60534-2-1 (ANSI/ISA-75.01.01), liquid, stirred flow, no fittings"
WAGNER: Final = "Wagner & Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783 (from memory)"
KV_OF_CV: Final = 0.8649776554
"""m3/h at 1 bar for each US gallon a minute at 1 psi."""
WATER_15C: Final = 999.10
"""kg/m3 of water at 15 degC, which the standard measures density against."""
WATER_TRIPLE: Final = 273.16
WATER_CRITICAL_TEMPERATURE: Final = 647.096
WATER_CRITICAL: Final = Absolute(22.064e6)
"""Pa, critical pressure of water (IAPWS, from memory)."""
_WAGNER_TERMS: Final = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)
"""(factor, power) of each term."""


class Flow(NamedTuple):
    """What a valve passes, and how."""

    choking_drop: float
    """Drop past which the flow grows no more, Pa."""
    counted_drop: float
    """Drop that makes the flow: the one that is there, or the choking drop, Pa."""
    choked: bool
    flashing: bool
    """The liquid boils in the valve and goes on boiling downstream."""


def water_vapour_pressure(temperature: float) -> Absolute:
    """Pressure at which water boils at that temperature, Pa absolute. Holds from 273.16 to 647.096 K.

    ``temperature``: K. Source: Wagner & Pruss 1993.

    >>> round(water_vapour_pressure(373.124))
    101324
    """
    left = 1 - temperature / WATER_CRITICAL_TEMPERATURE
    total = sum(factor * left**power for factor, power in _WAGNER_TERMS)
    return Absolute(WATER_CRITICAL * math.exp(total * WATER_CRITICAL_TEMPERATURE / temperature))


def critical_ratio_factor(vapour: Absolute, critical: Absolute) -> float:
    """F_F: the pressure in a choked valve's throat over the vapour pressure, a bare number.

    ``vapour``, ``critical``: Pa absolute. Holds up to the critical pressure; above it the value there, 0.68.
    Source: IEC 60534-2-1.

    >>> round(critical_ratio_factor(Absolute(70_100.0), Absolute(22_120_000.0)), 3)
    0.944
    """
    return 0.96 - 0.28 * math.sqrt(min(vapour / critical, 1.0))


def flow_state(
    upstream: Absolute, downstream: Absolute, vapour: Absolute, critical: Absolute, f_l: float
) -> Flow:
    """How a liquid goes through an open valve.

    Pressures: Pa absolute; ``f_l``: the valve's recovery factor, a bare number to 1. Holds while ``vapour``
    is no more than ``upstream``. No drop, or one the wrong way, counts as nothing. Source: IEC 60534-2-1.

    >>> pressures = [Absolute(each) for each in (680e3, 220e3, 70.1e3, 22.12e6)]
    >>> state = flow_state(*pressures, f_l=0.9)
    >>> round(state.choking_drop), state.choked, state.flashing
    (497185, False, False)
    """
    choking = f_l**2 * (upstream - critical_ratio_factor(vapour, critical) * vapour)
    drop = max(upstream - downstream, 0.0)
    return Flow(choking, min(drop, choking), drop >= choking, drop > 0 and downstream < vapour)


def flow_through(cv: float, drop: float, density: float) -> float:
    """Flow through an open valve, m3/s.

    ``cv``: US gallons a minute at 1 psi; ``drop``: the counted drop of `flow_state`, Pa; ``density``: kg/m3.
    Holds for stirred flow: a thick oil passes less. Source: IEC 60534-2-1.

    >>> round(flow_through(10.0, 100_000.0, 999.10) * 3600, 3)
    8.65
    """
    return cv * KV_OF_CV * math.sqrt(drop / 1e5 * WATER_15C / density) / 3600


def cv_for(flow: float, drop: float, density: float) -> float:
    """Cv that passes a flow, in US gallons a minute at 1 psi: `flow_through` the other way round.

    ``flow``: m3/s; ``drop``: the counted drop of `flow_state`, Pa, above zero; ``density``: kg/m3.

    >>> round(cv_for(360 / 3600, 460_000.0, 965.4) * KV_OF_CV)
    165
    """
    return flow / flow_through(1.0, drop, density)


def dump_time(volume: float, outflow: float, inflow: float) -> float:
    """Time that a dump takes while liquid goes on coming in, s; infinite when as much comes in as goes out.

    ``volume``: m3 between the level where it opens and the one where it shuts; ``outflow``, ``inflow``: m3/s,
    both steady. Source: conservation of volume.

    >>> dump_time(0.3, 0.004, 0.001)
    100.0
    """
    return volume / (outflow - inflow) if outflow > inflow else math.inf


def cycle_time(volume: float, outflow: float, inflow: float) -> float:
    """Time from one dump to the next, s: filling and dumping; infinite when it never fills or never empties.

    Inputs and source as `dump_time`.

    >>> cycle_time(0.3, 0.004, 0.001)
    400.0
    """
    filling = volume / inflow if inflow > 0 else math.inf
    return filling + dump_time(volume, outflow, inflow)
