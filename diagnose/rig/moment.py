"""One step of a plant: section after section, in the order in which the signal goes round."""

import math
from typing import Final

from diagnose.calculators.valve_flow import flow_through
from diagnose.calculators.vessel_volume import volume_at
from diagnose.rig import displacing, gas, linkage, pilot, stem
from diagnose.rig.levels import level_in, level_table
from diagnose.rig.outlet import cv_share, flow_out, way_out
from diagnose.rig.plant import Plant
from diagnose.rig.state import State

WAVE_PERIOD: Final = 4.0
"""s, waves round the displacer (common practice, no source)."""


class Moment:
    """A plant made ready for many steps of the same length."""

    def __init__(self, plant: Plant, step: float) -> None:
        """``step``: s."""
        self.plant, self.step = plant, step
        self.table = level_table(plant.vessel.shape)
        self.brim = volume_at(plant.vessel.shape, plant.vessel.weir)
        self.exchange = 1 - math.exp(-plant.displacer.exchange * step)
        self.slack = linkage.slack(plant.shaft, plant.linkage, plant.displacer.rub)
        self.gas = gas.gas_way(plant.supply, plant.pilot, plant.output_line, plant.actuator, plant.hand)
        self.way = way_out(
            plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere
        )
        self.felt = stem.balance(plant.actuator, plant.valve, max(self.way.drop, 0.0), plant.hand)
        self.swept = plant.actuator.area * plant.actuator.travel
        line = plant.output_line
        self.case_volume = plant.actuator.dead_volume + line.volume / 2 + line.extra_volume
        pushed = max(plant.vessel.pressure, 0.0)
        self.weep = flow_through(plant.valve.weep, pushed, plant.liquids.lower) + plant.shaft.seal_leak

    def after(self, now: State, time: float, lower_in: float, upper_in: float) -> State:
        """The state a step later; ``time``: s, flows: m3/s."""
        plant = self.plant
        seen, seen_top = self._round_displacer(now, time)
        pull = displacing.pull(plant.displacer, plant.liquids, seen, seen_top)
        lever = self._lever(now, pull)
        load = linkage.loading(plant.linkage, plant.pilot.ports, lever)
        position = pilot.position(plant.pilot, now.pilot, load)
        loaded = pilot.snapped(plant.pilot, now.loaded, position)
        goal = pilot.target(plant.pilot, loaded, position)
        before = gas.Pressures(now.supply, now.output, now.case)
        volume = self._case_volume(now)
        draw = gas.drawn(plant.supply, time)
        pressures = gas.step(self.gas, before, goal, volume, draw, self.step)
        at = stem.move(self.felt, now.stem, pressures.case)
        plug = stem.plug_at(plant.actuator, plant.valve, at)
        lower, upper, flow, over, spilled, gas_by = self._liquid(now, plug, time, lower_in, upper_in)
        return State(
            lower,
            upper,
            level_in(self.table, lower),
            level_in(self.table, lower + upper),
            seen,
            seen_top,
            pull,
            lever,
            position,
            loaded,
            pressures.supply,
            pressures.output,
            pressures.case,
            at,
            plug,
            at - now.stem,
            flow,
            over,
            spilled,
            gas.vented(self.gas, pressures, goal),
            gas_by,
        )

    def _round_displacer(self, now: State, time: float) -> tuple[float, float]:
        """(Level, top of all liquid) round the displacer, m."""
        displacer, tilt = self.plant.displacer, self.plant.vessel.tilt
        seen = now.seen + self.exchange * (now.level + tilt - now.seen)
        seen_top = now.seen_top + self.exchange * (now.top + tilt - now.seen_top)
        if displacer.wave:
            wave = displacer.wave * math.cos(2 * math.pi * time / WAVE_PERIOD)
            return seen + wave, seen_top + wave
        return seen, seen_top

    def _lever(self, now: State, pull: float) -> float:
        if self.plant.hand.lever is not None:
            return self.plant.hand.lever
        wanted = linkage.drawn_to(self.plant.shaft, self.plant.linkage, pull)
        return linkage.follow(now.lever, wanted, self.slack)

    def _case_volume(self, now: State) -> float:
        """What the case's gas fills, m3; while the stem moves, also what more pressure opens up for it."""
        filled = now.stem if self.felt.fails_closed else 1 - now.stem
        volume = self.case_volume + self.swept * filled
        if now.stem_moved and self.felt.held is None:
            stiffness = abs(self.felt.wide - self.felt.shut)
            volume += (now.case + gas.STANDARD) * self.swept / stiffness
        return volume

    def _liquid(
        self, now: State, plug: float, time: float, lower_in: float, upper_in: float
    ) -> tuple[float, float, float, float, float, float]:
        """(Lower and upper volume, flow out, over and spilled, share through which gas goes)."""
        step, way = self.step, self.way
        wish = flow_out(way, plug, time)
        lower, upper = now.lower + lower_in * step, now.upper + upper_in * step
        flow = wish * (1 - self.plant.liquids.gas_under) if wish > 0 else wish
        gas_by = 0.0
        out = (flow + self.weep) * step
        if out > lower + upper and out > 0:
            gas_by = 1 - (lower + upper) / out
            out = lower + upper
        scale = out / ((flow + self.weep) * step) if flow + self.weep > 0 else 1.0
        from_lower = min(out, lower)
        lower, upper = lower - from_lower, upper - (out - from_lower)
        excess = max(lower + upper - self.brim, 0.0)
        from_upper = min(excess, upper)
        lower, upper = lower - (excess - from_upper), upper - from_upper
        share = gas_by * max(cv_share(way.valve.characteristic, plug), way.valve.seat_leak)
        return lower, upper, flow * scale, excess / step, self.weep * scale, share
