"""One simulated unit with something wrong, and the traces of all that can be tried on it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from hashlib import blake2b
from typing import Final

from diagnose.calculators.vessel_volume import volume_at
from diagnose.rig.faults import FAULTS
from diagnose.rig.hands import Hand
from diagnose.rig.plant import Plant, Values
from diagnose.rig.run import run
from diagnose.rig.state import State, start_of
from diagnose.rig.trace import Trace
from diagnose.units import to_si

FOUND: Final = 1800.0
"""s of plant time that somebody watches before anything is tried."""
TRIED: Final = 90.0
"""s that a hand holds what is tried, long enough for a healthy output and stem to come to rest."""
LOW, HIGH = -0.4, 1.4
"""Where a hand holds the lever, in strokes: as for a low level, as for a high one."""
NOTHING: Final = to_si(1.5, "psi")
"""Pressure below which a hand calls a gauge at nothing."""


@dataclass(eq=False)
class Case:
    """A plant as it is found; every trace is made when it is first looked at, and kept.

    The same for the same unit, faults and seed.
    """

    values: Values
    """The unit sheet's values (SI)."""
    healthy: Plant
    faults: Mapping[str, float]
    """Severity of each fault that is in it."""
    seed: int = 0
    before: Trace | None = None
    """The healthy plant's trace, where somebody has it already."""

    @cached_property
    def plant(self) -> Plant:
        """The plant with its faults."""
        plant = self.healthy
        for name, severity in self.faults.items():
            plant = FAULTS[name].put_into(plant, severity)
        return plant

    @cached_property
    def usual(self) -> Trace:
        """The healthy plant over the time that the faulted one is watched."""
        return self.before or run(self.healthy, FOUND, self.seed)

    @cached_property
    def found(self) -> Trace:
        """The plant as it is found: it was healthy at the start, and nobody touches it."""
        if not self.faults:
            return self.usual
        return run(self.plant, FOUND, self.seed, start=self.usual.start)

    @property
    def now(self) -> State:
        """The plant at the moment at which somebody starts to look at it."""
        return self.found.end

    def tried(self, *hands: Hand, seconds: float = TRIED, start: State | None = None) -> Trace:
        """What it does while hands are on it, from now or from another state on."""
        return run(self.plant, seconds, self.seed, hands=hands, start=start or self.now)

    @cached_property
    def lever_low(self) -> Trace:
        """The lever held as for a low level."""
        return self.tried(Hand("hold_lever", 0, amount=LOW))

    @cached_property
    def lever_high(self) -> Trace:
        """The lever then held as for a high level: a healthy valve opens."""
        return self.tried(Hand("hold_lever", 0, amount=HIGH), start=self.lever_low.end)

    @cached_property
    def lever_back(self) -> Trace:
        """The lever then held low again: a healthy valve shuts."""
        return self.tried(Hand("hold_lever", 0, amount=LOW), start=self.lever_high.end)

    @cached_property
    def up(self) -> Trace:
        """Of `lever_high` and `lever_back` the one in which the output is to go up."""
        return self.lever_high if self.plant.set_up.acting == "direct" else self.lever_back

    @cached_property
    def down(self) -> Trace:
        """Of `lever_high` and `lever_back` the one in which the output is to go to nothing."""
        return self.lever_back if self.plant.set_up.acting == "direct" else self.lever_high

    @cached_property
    def loaded(self) -> Trace:
        """The actuator on a test regulator at the supply pressure wanted."""
        return self.tried(Hand("load_actuator", 0, amount=self.healthy.pilot.full), start=self.unloaded.end)

    @cached_property
    def unloaded(self) -> Trace:
        """The actuator with its tube off."""
        return self.tried(Hand("load_actuator", 0, amount=0.0))

    @cached_property
    def bypass_open(self) -> Trace:
        """The bypass wide open and the stem held shut."""
        hands = Hand("open_bypass", 0), Hand("hold_stem", 0, amount=0.0)
        return self.tried(*hands, seconds=20.0, start=self.at_level)

    @cached_property
    def level_high(self) -> Trace:
        """The level kept at the high trip, or higher where it is so already, and nothing else touched."""
        return self._level_kept(max(self.now.level, self.plant.vessel.high_trip))

    @cached_property
    def level_low(self) -> Trace:
        """The level kept at the low trip, or lower where it is so already, and nothing else touched."""
        return self._level_kept(min(self.now.level, self.plant.vessel.low_trip))

    def _level_kept(self, level: float) -> Trace:
        vessel, now = self.plant.vessel, self.now
        lower = volume_at(vessel.shape, level)
        upper = max(volume_at(vessel.shape, vessel.weir) - lower, 0.0) if now.upper else 0.0
        put = now._replace(lower=lower, upper=upper, level=level, top=vessel.weir if upper else level)
        ways = ("open_block_valve", "open_bypass")
        shut_in = (Hand("stop_inflow", 0), *(Hand(way, 0, amount=0.0) for way in ways))
        return self.tried(*shut_in, start=put)

    @cached_property
    def at_level(self) -> State:
        """The plant at rest with the level where it is meant to be."""
        return start_of(self.plant)

    def sees(self, *signs: str) -> bool:
        """Whether one of these can be seen on the plant's parts by somebody who looks there."""
        return not self.plant.signs.isdisjoint(signs)

    def draw(self, *key: object) -> float:
        """A number from 0 to 1, always the same for the same case and key."""
        told = (sorted(self.faults.items()), self.seed, *key)
        return int.from_bytes(blake2b(repr(told).encode(), digest_size=8).digest()) / 2**64
