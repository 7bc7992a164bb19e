"""From the vessel's outlet to where the liquid goes."""

import math
from dataclasses import dataclass
from typing import Final

from diagnose.calculators.lift import static_pressure, valve_drop
from diagnose.calculators.valve_flow import flow_state, flow_through
from diagnose.rig.parts import Discharge, Liquids, Valve
from diagnose.units import Absolute, Gauge, absolute

RANGEABILITY: Final = 50.0
"""Of an equal percentage trim (common practice, no source)."""
SHUT_CV: Final = 1e-9
"""Anything less counts as shut."""
SURGE_PERIOD: Final = 300.0
"""s from one dump of another vessel to its next (common practice, no source)."""


def cv_share(characteristic: str, opening: float) -> float:
    """Share of its Cv that a valve has at an opening from 0 to 1.

    Linear; quick opening as the square root; equal percentage with the share of the shut valve taken off, so
    that it shuts. Source: common practice.

    >>> cv_share("linear", 0.3), cv_share("quick_opening", 0.25), cv_share("equal_percentage", 0.0)
    (0.3, 0.5, 0.0)
    """
    if characteristic == "quick_opening":
        return math.sqrt(opening)
    if characteristic == "equal_percentage":
        return float((RANGEABILITY**opening - 1) / (RANGEABILITY - 1))
    return opening


def series_cv(*cvs: float) -> float:
    """Cv of several things one after the other; 0 when one is shut. Source: their drops add up.

    >>> round(series_cv(3.0, 4.0), 6), series_cv(3.0, 0.0)
    (2.4, 0.0)
    """
    return 0.0 if min(cvs) < SHUT_CV else 1 / math.sqrt(sum(1 / cv**2 for cv in cvs))


@dataclass(frozen=True)
class Way:
    """The way out, put together once for a run; pressures in Pa, the drop from the vessel to the end."""

    valve: Valve
    discharge: Discharge
    density: float
    drop: float
    choking: float
    end: float
    """Pressure at the end of the line and for its height."""
    outlet: float
    """Cv from the vessel to valve and bypass."""
    line: float
    """Cv from the valve to the end."""
    at_valve: float
    """Cv of body and block valves."""


def way_out(
    valve: Valve, discharge: Discharge, liquids: Liquids, vessel_pressure: float, atmosphere: float
) -> Way:
    """The way out of a vessel; pressures: vessel Pa gauge, atmosphere Pa absolute.

    The liquid's own height in the vessel is left out, as the calculators do.
    """
    static = static_pressure(discharge.height, liquids.lower)
    upstream = absolute(Gauge(vessel_pressure), Absolute(atmosphere))
    vapour = Absolute(min(liquids.vapour, upstream))
    state = flow_state(upstream, Absolute(0.0), vapour, Absolute(liquids.critical), valve.f_l)
    return Way(
        valve=valve,
        discharge=discharge,
        density=liquids.lower,
        drop=vessel_pressure - static - discharge.back_pressure,
        choking=state.choking_drop,
        end=static + discharge.back_pressure,
        outlet=discharge.block_cv * discharge.outlet_open,
        line=discharge.line_cv * discharge.line_open,
        at_valve=min(discharge.block_cv * discharge.block_open, valve.cv * 20 * valve.body_open**2),
    )


def flow_out(way: Way, opening: float, time: float = 0.0) -> float:
    """Liquid that goes through valve and bypass with the plug so far open, m3/s; below zero: it comes back.

    The valve chokes at the drop of the liquid formula; what then is left is eaten after it. Source: IEC
    60534-2-1 by `diagnose.calculators.valve_flow`; the line eats with the square of the flow.
    """
    valve, discharge = way.valve, way.discharge
    own = valve.cv * max(cv_share(valve.characteristic, opening), valve.seat_leak)
    drop = way.drop
    if discharge.surge and time % SURGE_PERIOD < SURGE_PERIOD / 2:
        drop -= discharge.surge
    if drop <= 0 and discharge.check_holds:
        return 0.0
    past = series_cv(own, way.at_valve) + discharge.bypass_cv * discharge.bypass_open
    flow = flow_through(series_cv(past, way.line, way.outlet), abs(drop), way.density)
    return min(flow, flow_through(past, way.choking, way.density)) if drop > 0 else -flow


def after_valve(way: Way, flow: float) -> float:
    """Pressure between valve and line at a flow (m3/s), Pa gauge: the end's, and what the line eats.

    A line that is shut holds what the vessel has.
    """
    if way.line < SHUT_CV:
        return way.end + max(way.drop, 0.0)
    return way.end + valve_drop(flow, way.line, way.density)
