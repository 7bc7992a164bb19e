"""What of a plant changes with time, and where it starts."""

import math
from typing import NamedTuple

from diagnose.calculators.vessel_volume import volume_at
from diagnose.rig import displacing, linkage, pilot, stem
from diagnose.rig.outlet import way_out
from diagnose.rig.plant import Plant


class State(NamedTuple):
    """A plant at one time; heights in m, volumes in m3, pressures in Pa gauge, flows in m3/s."""

    lower: float
    """Volume of the lower liquid."""
    upper: float
    level: float
    """Top of the lower liquid: the interface when there are two."""
    top: float
    """Top of all liquid."""
    seen: float
    """The level round the displacer."""
    seen_top: float
    pull: float
    """Pull of the displacer on its arm, N."""
    lever: float
    """In strokes, see `linkage`."""
    pilot: float
    loaded: bool
    supply: float
    output: float
    case: float
    stem: float
    """How far open it stands, as a share of its travel."""
    plug: float
    stem_moved: float = 0.0
    flow: float = 0.0
    """Liquid that leaves by valve and bypass."""
    over: float = 0.0
    """Liquid that leaves over the weir, or is carried over by the gas."""
    spilled: float = 0.0
    """Liquid that leaves the vessel by leaks."""
    vent: float = 0.0
    """Gas that leaves by the pilot's vent, standard m3/s."""
    gas_by: float = 0.0
    """Share of the valve's Cv through which gas goes, with the outlet bare."""


def start_of(plant: Plant, level: float | None = None) -> State:
    """The plant at rest at a level (m, usually the one it is meant to hold), as if it had just got there.

    A snap pilot is as after a dump. Gas is at the pressure that the pilot asks for, and the stem where that
    puts it without friction.
    """
    level = plant.vessel.level if level is None else level
    shape = plant.vessel.shape
    lower = volume_at(shape, level)
    upper = max(volume_at(shape, plant.vessel.weir) - lower, 0.0) if plant.liquids.upper else 0.0
    top = plant.vessel.weir if upper else level
    pull = displacing.pull(plant.displacer, plant.liquids, level, top)
    lever = linkage.drawn_to(plant.shaft, plant.linkage, pull)
    load = linkage.loading(plant.linkage, plant.pilot.ports, lever)
    loaded = plant.set_up.acting == "indirect" if 0 < load < 1 else load >= 1
    supply = min(plant.supply.set_to, plant.supply.header)
    output = min(max(pilot.target(plant.pilot, loaded, load), 0.0), supply)
    way = way_out(plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere)
    felt = stem.balance(plant.actuator, plant.valve, max(way.drop, 0.0), plant.hand)
    free = stem.free_at(felt, output)
    at = min(max(free, felt.low), felt.high) if math.isfinite(free) else felt.low
    return State(
        lower=lower,
        upper=upper,
        level=level,
        top=top,
        seen=level,
        seen_top=top,
        pull=pull,
        lever=lever,
        pilot=load,
        loaded=loaded,
        supply=supply,
        output=output,
        case=output,
        stem=at,
        plug=stem.plug_at(plant.actuator, plant.valve, at),
    )
