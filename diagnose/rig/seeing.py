"""A healthy plant and the same with faults in it, played side by side, in units for people."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.rig.faults import FAULTS, with_fault
from diagnose.rig.plant import Plant, Values, plant_of
from diagnose.rig.run import run
from diagnose.rig.trace import Trace
from diagnose.units import from_si
from knowledge.problems import InputProblems, Problem, nearest

POINTS: Final = 240
"""Points of a curve that is shown."""
CURVES: Final = {
    "level": ("Level", "in", "held"),
    "output": ("Controller's output", "psi", "output"),
    "stem": ("Stem, share open", "", "stem"),
    "flow": ("Liquid leaving", "bbl/d", "flow"),
}
"""By name: title, unit, and what of a trace it shows."""


@dataclass(frozen=True)
class Curve:
    """One thing over time."""

    name: str
    title: str
    unit: str
    """Empty for a share."""
    healthy: tuple[float, ...]
    faulted: tuple[float, ...]
    """Empty without a fault."""


@dataclass(frozen=True)
class Seen:
    """What was played."""

    minutes: float
    seed: int
    faults: tuple[str, ...]
    severity: float
    dumps: tuple[int, ...]
    """Dumps that came to their end: of the healthy plant, and of the faulted one."""
    curves: tuple[Curve, ...]


def played(
    values: Values, faults: Sequence[str] = (), severity: float = 1.0, minutes: float = 30.0, seed: int = 0
) -> Seen:
    """Play a unit of these sheet values (SI), healthy and with faults; the same for the same seed.

    Raises `InputProblems` for an unknown fault or a number out of range, `CannotBuild` for no such unit.
    """
    problems = [
        Problem("--fault", "", f"the rig has no fault {name!r}", nearest(name, FAULTS))
        for name in faults
        if name not in FAULTS
    ]
    if not 0 < severity <= 1:
        problems.append(Problem("--severity", "", f"{severity:g} is not above 0 and at most 1"))
    if not 1 <= minutes <= 600:
        problems.append(Problem("--minutes", "", f"{minutes:g} is not from 1 to 600"))
    if problems:
        raise InputProblems(problems)
    plant = plant_of(values)
    traces = [run(plant, 60 * minutes, seed)]
    if faults:
        traces.append(run(_faulted(plant, faults, severity), 60 * minutes, seed, start=traces[0].start))
    curves = tuple(_curve(name, traces) for name in CURVES)
    return Seen(minutes, seed, tuple(faults), severity, tuple(len(t.dumps()) for t in traces), curves)


def fault_table() -> Mapping[str, str]:
    """What each fault does to the plant, by name."""
    return {name: fault.about for name, fault in FAULTS.items()}


def _faulted(plant: Plant, faults: Sequence[str], severity: float) -> Plant:
    for name in faults:
        plant = with_fault(plant, name, severity)
    return plant


def _curve(name: str, traces: Sequence[Trace]) -> Curve:
    title, unit, field = CURVES[name]
    shown = [_thinned(getattr(trace, field), unit) for trace in traces]
    return Curve(name, title, unit, shown[0], shown[1] if len(shown) > 1 else ())


def _thinned(values: np.ndarray, unit: str) -> tuple[float, ...]:
    """The lowest and the highest of each stretch, in turn: a short dump still shows."""
    parts = np.array_split(values, POINTS // 2)
    ends = [float(end) for part in parts if len(part) for end in (part.min(), part.max())]
    return tuple(round(from_si(end, unit) if unit else end, 6) for end in ends)
