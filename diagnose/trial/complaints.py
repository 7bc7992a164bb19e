"""What people call about: the complaints that a simulated plant gives ground for, from what it does.

The margins are common practice, no source: what somebody who knows the unit would remark.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Final

import numpy as np

from diagnose.rig.trace import Trace
from diagnose.trial.case import Case

MARGIN: Final = 0.02
"""m, about 3/4 in, that a level must be out before anybody says so."""
LAST: Final = 0.4
"""Share of the time watched, at its end, in which things have come to be as they stay."""
SHUT, OPEN = 0.05, 0.5
"""Share of the travel under which a stem counts as shut, over which as open."""
GAS: Final = 3.0
"""Times the usual use of gas that is heard."""
LEAST_GAS: Final = 2e-6
"""Standard m3/s, some 0.25 scf/min: less is not noticed."""
SAG: Final = 0.7
"""Share of the supply pressure wanted under which somebody says that it is low."""
SWING: Final = 0.25
"""Share of the travel that a throttling stem swings when people call it hunting."""
LIQUID: Final = 1e-7
"""m3/s, a drop every second or so."""


def _end(trace: Trace, column: str) -> np.ndarray:
    values = np.asarray(trace.columns[column])
    return values[-round(LAST * len(values)) :]


def _readings(trace: Trace) -> tuple[np.ndarray, ...]:
    """What glass and readout show at the end: people call about whichever looks odd."""
    return tuple(values[-round(LAST * len(values)) :] for values in (trace.readout, trace.glass))


def _reads_high(case: Case) -> bool:
    """Whether the level is read higher than it ever is when all is well."""
    most = case.usual.readout.max() + MARGIN
    return any(seen.max() > most for seen in _readings(case.found))


def _reads_low(case: Case) -> bool:
    least = case.usual.readout.min() - MARGIN
    return any(seen.min() < least for seen in _readings(case.found))


def _passes(case: Case) -> float:
    """Liquid that leaves at the end, a share of what comes in."""
    inflow = float(case.usual.lower_in.mean())
    return float(_end(case.found, "flow").mean()) / inflow if inflow > 0 else 0.0


def _wont_open(case: Case) -> bool:
    """The level is high and hardly anything leaves, or nothing was seen to dump while two dumps were due."""
    dry = _passes(case) < 0.1
    still = dry or float(_end(case.found, "stem").max()) < SHUT
    asleep = float(np.ptp(case.found.glass)) < 0.1 * float(np.ptp(case.usual.glass))
    quiet = asleep and len(case.found.dumps()) <= len(case.usual.dumps())
    unseen = (quiet or (dry and not case.found.dumps())) and len(case.usual.dumps()) > 1
    return (_reads_high(case) and still) or (unseen and not _reads_low(case))


def _slow(case: Case) -> bool:
    return _reads_high(case) and not _wont_open(case) and not _comes_back(case)


def _late(case: Case) -> bool:
    return _reads_high(case) and not _wont_open(case) and _comes_back(case)


def _comes_back(case: Case) -> bool:
    """Whether the level comes down again after a dump, or stands below the high trip with the flows even."""
    level = _end(case.found, "level")
    settled = _passes(case) > 0.9 and float(level.max()) < case.healthy.vessel.high_trip
    return settled or float(level.min()) < float(case.usual.held.mean()) + MARGIN


def _wont_close(case: Case) -> bool:
    """Liquid goes on leaving with the level below where the valve should be shut, or gas blows through."""
    level, flow = _end(case.found, "level"), _end(case.found, "flow")
    inflow = max(float(case.usual.lower_in.mean()), LIQUID)
    below = level < float(case.usual.held.min()) - MARGIN
    drains = float((below & (flow > 0.2 * inflow)).mean()) > 0.5
    return drains or float(_end(case.found, "gas_by").max()) > 0


def _too_low(case: Case) -> bool:
    return _reads_low(case) and not _wont_close(case)


def _short(case: Case) -> bool:
    return len(case.found.dumps()) > 3 * len(case.usual.dumps()) + 3


def _hunts(case: Case) -> bool:
    if case.plant.set_up.action != "throttle" or _short(case):
        return False
    swing, usual = (float(np.ptp(_end(trace, "stem"))) for trace in (case.found, case.usual))
    return swing > usual + SWING and not _reads_high(case) and not _wont_close(case)


def _gas(trace: Trace) -> float:
    """Gas lost by vent and leaks, standard m3/s."""
    lost = sum(float(leak[-round(LAST * len(leak)) :].mean()) for leak in trace.leaks.values())
    return lost + float(_end(trace, "vent").mean())


def _wastes(case: Case) -> bool:
    return _gas(case.found) > GAS * _gas(case.usual) + LEAST_GAS


def _poor(case: Case) -> bool:
    gauge = case.found.supply_gauge[-round(LAST * len(case.found.supply_gauge)) :]
    return float(gauge.min()) < SAG * case.healthy.supply.set_to


def _mixed(case: Case) -> bool:
    """Two liquids that do not part."""
    apart = case.plant.liquids.emulsion == 0 and not case.sees("liquids_do_not_part")
    return bool(case.plant.liquids.upper) and not apart


def _astray(case: Case) -> bool:
    """Two liquids that leave by each other's way."""
    vessel, level = case.healthy.vessel, _end(case.found, "level")
    out = float(level.max()) > vessel.high_trip or float(level.min()) < min(vessel.low_trip, 0.05)
    return bool(case.plant.liquids.upper) and out


def _leaks(case: Case) -> bool:
    return float(_end(case.found, "spilled").mean()) > LIQUID or case.plant.discharge.parted > 0


UPSET: Final = "interface_upset"
SHOWN: Final[Mapping[str, Callable[[Case], bool]]] = MappingProxyType(
    {
        "leaks_outside": _leaks,
        "wont_close": _wont_close,
        "wont_open": _wont_open,
        "slow_or_partial": _slow,
        "opens_late": _late,
        "short_cycles": _short,
        "level_too_low": _too_low,
        "hunts": _hunts,
        UPSET: lambda case: _mixed(case) or _astray(case),
        "supply_poor": _poor,
        "wastes_gas": _wastes,
    }
)
"""By complaint: whether the plant gives ground for it; what is worse comes first."""
NEVER_WORKED: Final = "never_worked"


@lru_cache(maxsize=8)
def complaints(case: Case) -> tuple[str, ...]:
    """What there is ground to complain of, the worst first; empty for a plant that seems well.

    A unit on which work was just done, and whose level is not held, is called one that never worked; but one
    that ran until a part was changed is called about by what it does now. Where two liquids do not part,
    people see that first.
    """
    found = [name for name, ground in SHOWN.items() if ground(case)]
    if UPSET in found and _mixed(case):
        found = [UPSET, *(name for name in found if name != UPSET)]
    level = {"wont_close", "wont_open", "slow_or_partial", "level_too_low"}
    new = case.sees("recent_work") and not case.sees("ran_until_a_part_was_changed")
    return (NEVER_WORKED, *found) if new and level.intersection(found) else tuple(found)
