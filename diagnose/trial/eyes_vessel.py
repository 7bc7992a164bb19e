"""What a hand sees of the level, the liquid, the glass and the vessel."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from diagnose.rig.faulty import capacity
from diagnose.rig.inflows import Floats
from diagnose.rig.run import STEP
from diagnose.rig.trace import Trace
from diagnose.trial.case import Case
from diagnose.trial.eye import Eye
from diagnose.trial.eyes_pilot import CLEAR_OF_BAND
from diagnose.trial.eyes_valve import HEARD
from diagnose.trial.stroking import through

WATCHED: Final = 900.0
"""s at the end of what is found that a hand looks at, a cycle of most vessels; common practice, no source."""
FREELY: Final = 0.7
"""Share of the level's change that a glass which fills back freely shows; common practice, no source."""
OFF: Final = 0.05
"""m, two inches, by which two readings of a level differ; common practice, no source."""
RHYTHM: Final = 1200.0
"""s over which dumps are counted, twice what is asked so that a slow cycle is in it (no source)."""
FAR_TOO_MANY: Final = 2.5
"""Times the usual number of dumps that is far too many; common practice, no source."""
SOME: Final = 6
"""Openings under which nobody speaks of too many; common practice, no source."""
UNEVEN: Final = 0.35
"""Standard deviation over the mean of the times between dumps that are at odd times (no source)."""
TURN: Final = 0.1
"""Share of the travel that a stem goes back for a turn that is written down; common practice, no source."""
FOAM: Final = 0.03
"""m of foam that a sample brings up; common practice, no source."""
OFF_DENSITY: Final = 0.02
"""Share by which a density is off the sheet's, some three degrees API; common practice, no source."""
ALIKE: Final = 0.7
"""Share of the sheet's difference of two densities under which they are nearly alike (no source)."""
BARE: Final = 0.03
"""m of the lower liquid under which the upper one leaves with it; common practice, no source."""
GURGLES: Final = 0.1
"""Share of gas in what leaves that is heard to gurgle; common practice, no source."""
SAGS: Final = 0.9
"""Share of the usual vessel pressure under which it is called low; common practice, no source."""
MORE: Final = 1.2
"""Times the usual inflow that is called more; common practice, no source."""
GULPS: Final = 2.0
"""Times the inflow before that a slug is; common practice, no source."""
LEANS: Final = 0.03
"""m over the vessel, about a quarter bubble; common practice, no source."""


def tail(values: Floats, seconds: float) -> Floats:
    """The last so many s of a column."""
    return values[-round(seconds / STEP) :]


def _level(case: Case) -> str:
    """The furthest out that it comes in a cycle; where it is out both ways, what it is at the moment.

    A glass that is stopped up shows after a blow what it showed before; any other the real level.
    """
    plugged = case.plant.sights.glass_follows < FREELY and not case.sees("glass_cock_handle_shut")
    read = case.found.glass if plugged else case.found.held
    usual, read = case.usual.held, tail(read, WATCHED)
    above, below = read.max() - usual.max(), usual.min() - read.min()
    if max(above, below) <= CLEAR_OF_BAND:
        return "normal"
    if min(above, below) > CLEAR_OF_BAND:
        above, below = read[-1], usual.mean()
    return "high" if above > below else "low"


def _glass_fills(case: Case) -> str:
    return "free" if case.plant.sights.glass_follows >= FREELY else "sluggish"


def _wall(case: Case) -> str:
    return "agrees" if abs(case.found.glass[-1] - case.now.level) <= OFF else "differs"


def _readout(case: Case) -> str:
    return "agrees" if abs(case.found.readout[-1] - case.found.glass[-1]) <= OFF else "differs"


def moves_out(case: Case) -> bool:
    """Whether liquid leaves by the dump line when the level asks for it, or did so all the while."""
    plant, least = case.plant, HEARD * capacity(case.healthy)
    if tail(case.found.flow, WATCHED).max() > least:
        return True
    overdue = case.now.level > case.usual.held.max() + CLEAR_OF_BAND
    return not overdue and through(plant, case.level_high.end.plug, bypass=True) > least


def _dumped(case: Case) -> str:
    """By the tank: what is lost on the way does not count."""
    return "dumped" if moves_out(case) and case.plant.discharge.parted < 1 - HEARD else "not_dumped"


def openings(trace: Trace) -> Floats:
    """Times at which the stem begins to open after it had gone at least `TURN` the other way, s."""
    found, low, high, opening = [], 1.0, 0.0, False
    for time, at in zip(trace.time, trace.stem, strict=True):
        low, high = min(low, at), max(high, at)
        if not opening and at > low + TURN:
            opening, high = True, at
            found.append(time)
        elif opening and at < high - TURN:
            opening, low = False, at
    since = float(trace.time[-1]) - RHYTHM
    return np.array([time for time in found if time > since])


def _rhythm(case: Case) -> str:
    now, usual = openings(case.found), openings(case.usual)
    if len(now) < max(SOME, FAR_TOO_MANY * len(usual)):
        return "usual"
    apart = np.diff(now)
    if case.plant.displacer.wave:  # played as an even wave; no liquid makes one
        return "odd"
    return "odd" if apart.std() > UNEVEN * apart.mean() else "even"


def _sample(case: Case) -> str:
    if case.plant.liquids.foam > FOAM:
        return "foam"
    if case.sees("milky_liquid"):
        return "emulsion"
    return "sand" if case.sees("sand_in_bottom") else "clean"


def _weighed(case: Case) -> str:
    """At an interface both are weighed."""
    own, sheet = case.plant.liquids, case.healthy.liquids
    by = own.lower / sheet.lower - 1
    if abs(by) > OFF_DENSITY:
        return "lighter" if by < 0 else "heavier"
    alike = sheet.upper > 0 and own.lower - own.upper < ALIKE * (sheet.lower - sheet.upper)
    return "alike" if alike else "as_set"


def _jar(case: Case) -> str:
    """Where the interface is down at the outlet, both leave together."""
    if case.sees("milky_liquid"):
        return "slow"
    bare = case.plant.liquids.upper > 0 and tail(case.found.held, WATCHED).min() < BARE
    return "quick" if case.sees("jar_parts_at_once") or (bare and moves_out(case)) else "clean"


def _sand_drain(case: Case) -> str:
    if not case.sees("sand_in_bottom"):
        return "clean"
    return "nothing" if case.plant.discharge.outlet_open < HEARD else "sandy"


def _gurgle(case: Case) -> str:
    return "gassy" if case.plant.liquids.gas_under > GURGLES else "solid"


def _pressure(case: Case) -> str:
    return "low" if case.plant.vessel.pressure < SAGS * case.healthy.vessel.pressure else "normal"


def _inflow(case: Case) -> str:
    """Those who see to the wells know of slugs also when none has come for half an hour."""
    own = case.plant.inflow
    if own.slug_every and own.slug_size > GULPS:
        return "slugs"
    return "more" if case.found.lower_in.mean() > MORE * case.usual.lower_in.mean() else "usual"


def _bob(case: Case) -> str:
    """A jump is what comes in with a gulp, as far as the glass follows it."""
    if case.plant.sights.glass_follows < FREELY:
        return "still"
    if case.sees("waves_in_glass"):
        return "bobs"
    came = tail(case.found.lower_in, WATCHED)
    gulps = came.max() > GULPS * max(case.usual.lower_in.max(), came.min())
    return "jumps" if gulps else "still"


def _leans(case: Case) -> str:
    return "leans" if abs(case.plant.vessel.tilt) > LEANS else "level"


def _sign(sign: str, there: str, otherwise: str) -> Callable[[Case], str]:
    return lambda case: there if case.sees(sign) else otherwise


EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        "level_glass": _level,
        "glass_cocks": _glass_fills,
        "glass_handles_look": _sign("glass_cock_handle_shut", "shut", "open"),
        "glass_liquid_look": _sign("other_liquid_in_glass", "other", "same"),
        "shell_level": _wall,
        "readout_against_glass": _readout,
        "dump_count": _dumped,
        "dump_rhythm": _rhythm,
        "sample_look": _sample,
        "sample_weigh": _weighed,
        "jar_from_dump": _jar,
        "chemical_look": _sign("chemical_tank_empty", "stopped", "as_usual"),
        "vessel_temperature": _sign("vessel_cold", "colder", "usual"),
        "weir_look": _sign("liquid_over_plate", "over", "own"),
        "water_leg_look": _sign("water_leg_moved", "wrong", "right"),
        "sand_drain": _sand_drain,
        "dump_gurgle": _gurgle,
        "vessel_pressure": _pressure,
        "inflow_look": _inflow,
        "glass_bob": _bob,
        "vessel_level_look": _leans,
    }
)
