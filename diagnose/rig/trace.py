"""What a run leaves behind: everything over time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.rig.inflows import Floats
from diagnose.rig.plant import Plant
from diagnose.rig.state import State


@dataclass(frozen=True)
class Trace:
    """A run. Every array has one entry for each step, at its end; SI units, pressures gauge."""

    time: Floats
    lower_in: Floats
    upper_in: Floats
    columns: Mapping[str, Floats]
    """Every field of `State` by its name."""
    leaks: Mapping[str, Floats]
    """Gas lost by each leak that there is, by place, standard m3/s."""
    glass: Floats
    """Level that the glass shows."""
    readout: Floats
    supply_gauge: Floats
    output_gauge: Floats
    start: State
    end: State

    @property
    def level(self) -> Floats:
        """Top of all liquid, m."""
        return self.columns["top"]

    @property
    def interface(self) -> Floats | None:
        """Top of the lower liquid, m; None when there is one liquid."""
        return self.columns["level"] if self.start.upper or self.upper_in.any() else None

    @property
    def held(self) -> Floats:
        """What the controller is to hold: the interface or else the level, m."""
        return self.columns["level"]

    @property
    def supply(self) -> Floats:
        """Pressure at the pilot's supply port, Pa."""
        return self.columns["supply"]

    @property
    def output(self) -> Floats:
        """Pressure at the pilot's output, Pa."""
        return self.columns["output"]

    @property
    def case(self) -> Floats:
        """Pressure in the actuator's case, Pa."""
        return self.columns["case"]

    @property
    def stem(self) -> Floats:
        """How far open the stem stands, share of its travel."""
        return self.columns["stem"]

    @property
    def flow(self) -> Floats:
        """Liquid through valve and bypass, m3/s."""
        return self.columns["flow"]

    @property
    def vent(self) -> Floats:
        """Gas out of the pilot's vent, standard m3/s."""
        return self.columns["vent"]

    def dumps(self) -> list[tuple[float, float]]:
        """(Start, end) of each time that the stem left its shut end and came back to it, s.

        Counted when it passes a fifth of its travel, ended under a twentieth.
        """
        found: list[tuple[float, float]] = []
        opened: float | None = None
        for time, at in zip(self.time, self.stem, strict=True):
            if opened is None and at > 0.2:
                opened = float(time)
            elif opened is not None and at < 0.05:
                found.append((opened, float(time)))
                opened = None
        return found


def trace_of(
    plant: Plant,
    start: State,
    rows: Sequence[State],
    flows: tuple[Floats, Floats],
    times: Floats,
    leaks: Mapping[str, Floats],
) -> Trace:
    """The trace of the states after each step, read by the plant's own instruments."""
    columns = dict(zip(State._fields, np.array(rows, dtype=float).T, strict=True))
    sights, first = plant.sights, start.level
    shown = first + sights.glass_follows * (columns["level"] - first) + sights.glass_offset
    return Trace(
        time=times,
        lower_in=flows[0],
        upper_in=flows[1],
        columns=columns,
        leaks=leaks,
        glass=shown,
        readout=columns["level"] + sights.readout_offset,
        supply_gauge=columns["supply"] * sights.supply_gauge,
        output_gauge=columns["output"] * sights.output_gauge,
        start=start,
        end=rows[-1],
    )


def leak_conductances(plant: Plant) -> dict[str, tuple[str, float]]:
    """Every place where gas can leak: the pressure that drives it, and its conductance."""
    supply, pilot, line, actuator = plant.supply, plant.pilot, plant.output_line, plant.actuator
    return {
        "supply_line": ("supply", supply.leak),
        "supply_relief": ("supply", supply.relief),
        "regulator_bonnet": ("supply", supply.bonnet),
        "pilot_case": ("output", pilot.crack),
        "pilot_joint": ("output", pilot.body_leak),
        "spare_port": ("output", pilot.spare_port),
        "output_near": ("output", line.leak_near),
        "output_far": ("case", line.leak_far),
        "actuator_vent": ("case", actuator.tear),
        "actuator_rim": ("case", actuator.rim_leak),
        "actuator_stem": ("case", actuator.stem_leak),
    }
