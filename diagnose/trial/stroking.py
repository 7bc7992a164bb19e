"""How a stem strokes, on the plant and on a test regulator, and what the valve passes then."""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from diagnose.rig import stem
from diagnose.rig.faulty import drop
from diagnose.rig.hands import Hand
from diagnose.rig.inflows import Floats
from diagnose.rig.outlet import flow_out, way_out
from diagnose.rig.parts import Actuator, ByHand, Valve
from diagnose.rig.plant import Plant, changed
from diagnose.rig.run import STEP, run
from diagnose.rig.state import start_of
from diagnose.rig.trace import Trace
from diagnose.rig.usual import SEAT
from diagnose.trial.case import HIGH, LOW, TRIED, Case
from diagnose.units import to_si

END: Final = 0.15
"""Share of the travel off an end that a glance still calls there; common practice, no source."""
MARK: Final = 0.04
"""Share of the travel, under a millimetre, that is seen by who looks for it; common practice, no source."""
SLOW: Final = 2.5
"""Times what a healthy stroke takes that a hand calls slow; common practice, no source."""
STILL: Final = 1e-3
"""Share of the travel in a step under which a stem seems to stand still; common practice, no source."""
TEST_LINE: Final = 10 * SEAT
"""Conductance of a small test regulator and its tubing; common practice, no source."""
BENCH_STEP: Final = to_si(0.1, "psi")


@dataclass(frozen=True)
class Bench:
    """The stem on a test regulator that is raised from nothing and let down, with nothing over the plug."""

    unloaded: float
    """How far open it stands before any pressure, share of its travel."""
    pressures: Floats
    """In the case, going up, Pa."""
    up: Floats
    """How far it has gone the way that pressure moves it at each of them, share of its travel."""
    down: Floats
    """The same coming down, at the same pressures."""

    @property
    def leaps(self) -> bool:
        """Whether it goes by leaps."""
        return bool(max(np.abs(np.diff(way)).max() for way in (self.up, self.down)) > MARK)

    @property
    def marks(self) -> Floats:
        """Pressures at which it starts, arrives, starts back and is back, Pa; infinite where it does not."""
        started, arrived = self.up > self.up[0] + MARK, self.up > 1 - MARK
        left, back = self.down < self.down[-1] - MARK, self.down < MARK
        firsts = [self.pressures[seen.argmax()] if seen.any() else np.inf for seen in (started, arrived)]
        lasts = [self.pressures[seen][-1] if seen.any() else np.inf for seen in (left, back)]
        return np.array(firsts + lasts)


def bench(actuator: Actuator, valve: Valve, most: float, at: float = 0.0) -> Bench:
    """Load an actuator, whose stem stood at ``at``, up to ``most`` (Pa at the test regulator).

    What leaks out of its case is lost in the test regulator's own tubing.

    >>> small = Actuator("closed", 0.01, 20e3, 100e3, 0.02, 1e-4, 0.0)
    >>> told = bench(small, Valve(9, 0.9, 0.0, "under", "linear"), 140e3)
    >>> [round(mark / 1e3) for mark in told.marks]
    [23, 97, 97, 23]
    """
    felt = stem.balance(actuator, valve, 0.0, ByHand())
    leaks = actuator.tear + actuator.rim_leak + actuator.stem_leak
    pressures: Floats = np.arange(0.0, most, BENCH_STEP) * TEST_LINE / (TEST_LINE + leaks)
    at = unloaded = stem.move(felt, at, 0.0)
    seen: list[float] = []
    for pressure in (*pressures, *pressures[::-1]):
        at = stem.move(felt, at, float(pressure))
        seen.append(at)
    way = np.array(seen) if felt.fails_closed else 1 - np.array(seen)
    return Bench(unloaded, pressures, way[: len(pressures)], way[len(pressures) :][::-1])


def benched(case: Case, most: float) -> tuple[Bench, Floats]:
    """The bench test up to ``most`` Pa, and how far each of its marks is off the tag's, Pa."""
    own, tag = case.plant, case.healthy
    found = bench(own.actuator, own.valve, most, case.now.stem)
    return found, found.marks - bench(tag.actuator, tag.valve, most).marks


def without_drop(case: Case) -> tuple[Trace, Trace]:
    """The lever held high and then low with as much pressure after the valve as before it."""
    plant = case.plant
    even = changed(plant, "discharge", back_pressure=plant.discharge.back_pressure + drop(plant))
    low, high = Hand("hold_lever", 0, amount=LOW), Hand("hold_lever", 0, amount=HIGH)
    first = run(even, TRIED, case.seed, hands=[low], start=case.now)
    second = run(even, TRIED, case.seed, hands=[high], start=first.end)
    return second, run(even, TRIED, case.seed, hands=[low], start=second.end)


@lru_cache(maxsize=64)
def healthy_strokes(healthy: Plant) -> tuple[Trace, Trace]:
    """The lever held high and then low on a healthy plant."""
    case, rest = Case({}, healthy, {}), start_of(healthy)
    low = case.tried(Hand("hold_lever", 0, amount=LOW), start=rest)
    high = case.tried(Hand("hold_lever", 0, amount=HIGH), start=low.end)
    return high, case.tried(Hand("hold_lever", 0, amount=LOW), start=high.end)


def late(trace: Trace) -> Floats:
    """Where the stem stood in the second half of a run."""
    return np.asarray(trace.stem[trace.time > trace.time[-1] / 2])


def takes(trace: Trace) -> float:
    """s until a stem has come near to where it ends; 0 where it stands there already."""
    away = np.abs(trace.stem - trace.stem[-1]) > END
    return float(trace.time[away][-1]) if away.any() else 0.0


def slow(case: Case, *strokes: Trace) -> bool:
    """Whether one of some strokes takes much longer than a healthy one."""
    usual = max(takes(each) for each in healthy_strokes(case.healthy))
    return max(takes(each) for each in strokes) > SLOW * usual


def jerks(trace: Trace) -> bool:
    """Whether the stem stops on its way and goes on with a start."""
    moved = np.abs(np.diff(trace.stem, prepend=trace.start.stem))
    going = np.flatnonzero(moved > STILL)
    starts = going[1:][np.diff(going) > 1]
    return bool((moved[starts] > MARK).any())


def through(plant: Plant, plug: float, bypass: bool = False, pushed: bool = False) -> float:
    """What goes through the valve with its plug so far open, m3/s, as long as there is liquid.

    ``bypass``: with what goes through its bypass; ``pushed``: while another dump pushes against it.
    """
    discharge = plant.discharge
    still = replace(
        discharge,
        bypass_open=discharge.bypass_open if bypass else 0.0,
        surge=discharge.surge if pushed else 0.0,
    )
    way = way_out(plant.valve, still, plant.liquids, plant.vessel.pressure, plant.atmosphere)
    return max(flow_out(way, plug), 0.0)


def stops_at(plant: Plant, trace: Trace) -> float:
    """How much the flow through the valve falls in the last second of a stroke that shuts it, m3/s."""
    plug = trace.columns["plug"]
    shut = int(plug.argmin())
    before = through(plant, float(plug[max(shut - round(1 / STEP), 0)]))
    return before - through(plant, float(plug[shut]))
