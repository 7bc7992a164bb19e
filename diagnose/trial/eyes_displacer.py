"""What a hand sees and feels of the displacer, its arm and what it hangs in."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

import numpy as np

from diagnose.calculators.buoyancy import Hanging
from diagnose.rig import displacing, linkage
from diagnose.rig.linkage import STOPS
from diagnose.rig.plant import Plant, changed
from diagnose.rig.run import STEP
from diagnose.trial.case import Case
from diagnose.trial.eye import Eye
from diagnose.trial.eyes_linkage import DRAGS
from diagnose.trial.eyes_vessel import WATCHED, tail

NO_WEIGHT: Final = 0.3
"""Share of the usual weight that is next to nothing; common practice, no source."""
SOMEWHAT, HEAVY, FAR = 1.1, 1.3, 1.6
"""Times the usual weight that a scale shows as more, that feels much too heavy, that is like a dead weight;
common practice, no source."""
HAND: Final = 0.1
"""m, a hand's width."""
RISING: Final = 300.0
"""s that the level takes for it."""
STANDS, LAGS = 0.25, 0.7
"""Share of a healthy arm's way under which one stays, of its own free way under which it comes late; common
practice, no source."""
TWITCH: Final = 0.1
"""Strokes that an arm goes to and fro so that it is seen; common practice, no source."""
WAVES: Final = 8.0
"""s, long enough for a wave and short enough that the level hardly goes on."""
CROOKED: Final = 0.4
"""Strokes off where a healthy arm stands that a glance sees; common practice, no source."""
LEAST_LIFT: Final = 1.2
"""Times the force for full stroke that a displacer must lift with; common practice, no source."""
FOLLOWS_AT_ONCE: Final = 0.05
"""1/s from which a chamber is back within seconds; common practice, no source."""
CAKED: Final = 0.05
"""Share of its own weight in scale from which a displacer looks caked; common practice, no source."""
WET_INSIDE: Final = 0.05
"""Share of its room with liquid in it that is heard when it is shaken; common practice, no source."""
MEASURED: Final = 0.02
"""m, or share of a length, by which a tape finds it wrong; common practice, no source."""
PULLS_NOZZLE: Final = 0.1
"""m over the vessel that it leans when its nozzles are seen to be crooked too; common practice, no source."""


def _pull(plant: Plant, level: float) -> float:
    """Pull of the displacer with the level there, N."""
    top = plant.vessel.weir if plant.liquids.upper else level
    return displacing.pull(plant.displacer, plant.liquids, level, top)


def _weight(case: Case) -> float:
    """Weight on the arm outside, on bypass and with the level where it is meant to be, over the usual one."""
    level, shaft = case.healthy.vessel.level, case.plant.shaft
    return _pull(case.plant, level) * shaft.grip * shaft.arm_ratio / _pull(case.healthy, level)


def _rub(plant: Plant) -> float:
    """Friction that the arm must overcome, N at the displacer."""
    return plant.displacer.rub + plant.shaft.friction + plant.linkage.rub


def _feel(case: Case) -> str:
    if _rub(case.plant) > DRAGS * case.healthy.linkage.needed:
        return "binds"
    weight = _weight(case)
    return "light" if weight < NO_WEIGHT else "heavy" if weight > HEAVY else "free"


def _weighed(case: Case) -> str:
    """Read as it starts to move: what rubs is lifted too."""
    rubs = (_rub(case.plant) - _rub(case.healthy)) / _pull(case.healthy, case.healthy.vessel.level)
    weight = _weight(case) + rubs
    if weight < NO_WEIGHT:
        return "none"
    return "much_more" if weight > FAR else "more" if weight > SOMEWHAT else "usual"


def _ways(plant: Plant, start: float) -> tuple[float, float]:
    """How far the arm goes while the level rises a hand's width from there, in strokes and as a force, N."""
    links, shaft = plant.linkage, plant.shaft
    slack = _rub(plant) / links.needed
    steps = 60
    share = 1 - np.exp(-plant.displacer.exchange * RISING / steps)
    seen = start
    at = first = linkage.drawn_to(shaft, links, _pull(plant, seen))
    for level in np.linspace(start, start + HAND, steps):
        seen += share * (level - seen)
        at = linkage.follow(at, linkage.drawn_to(shaft, links, _pull(plant, seen)), slack)
    return abs(at - first), abs(at - first) * links.needed


def _follows(case: Case) -> str:
    """Round the level that is meant or the one that is there, where it goes further.

    It lags where it goes further without what rubs on it and what keeps the level round it back. A stiffer
    spring, or a stop that is near, makes its way shorter and not later.
    """
    own, tag = case.plant, case.healthy
    prompt = changed(own, "displacer", rub=0.0, exchange=tag.displacer.exchange)
    prompt = changed(prompt, "shaft", friction=tag.shaft.friction)
    prompt = changed(prompt, "linkage", rub=0.0)
    usual = np.array(_ways(tag, tag.vessel.level - HAND / 2))
    starts = np.array([tag.vessel.level, case.now.level]) - HAND / 2
    ways, free = (np.max([_ways(plant, start) for start in starts], axis=0) for plant in (own, prompt))
    if (ways < STANDS * usual).all():
        return "stays"
    return "lags" if (ways < LAGS * free).all() else "follows"


def _twitches(case: Case) -> str:
    count = round(WAVES / STEP)
    lever = tail(case.found.columns["lever"], WATCHED)
    waves = lever[: len(lever) // count * count].reshape(-1, count)
    return "twitches" if np.median(np.ptp(waves, axis=1)) > TWITCH else "still"


def _slope(case: Case) -> str:
    """With the level where it covers as much of the displacer as at mid stroke."""
    own, tag = case.plant, case.healthy
    level = tag.vessel.level
    stands, usual = (
        linkage.drawn_to(plant.shaft, plant.linkage, _pull(plant, level)) for plant in (own, tag)
    )
    if not STOPS[0] < stands < STOPS[1]:
        return "at_stop"
    return "tilted" if abs(stands - usual) > CROOKED else "level"


def _hanging(plant: Plant) -> Hanging:
    own, liquids = plant.displacer, plant.liquids
    return Hanging(own.diameter, own.length, own.hung, liquids.lower, liquids.upper, own.mass)


def _fits(case: Case) -> str:
    """By the sheet's liquids, spring and fulcrum."""
    own, tag = case.plant, case.healthy
    hanging, right = _hanging(replace(own, liquids=tag.liquids)), _hanging(tag)
    if hanging.floats:
        return "floats"
    if own.displacer.hung != tag.displacer.hung:
        return "hung_wrong"
    weak = hanging.lift < LEAST_LIFT * tag.linkage.needed or hanging.lift < 0.8 * right.lift
    return "weak" if weak else "fits"


def _nozzle(case: Case) -> str:
    leans = abs(case.plant.vessel.tilt) > PULLS_NOZZLE
    return "crooked" if leans or case.sees("nozzle_crooked") else "straight"


def _job_paper(case: Case) -> str:
    if case.sees("rod_of_other_length_on_job_paper", "arm_of_other_length_on_job_paper"):
        return "length"
    return "ties" if case.sees("no_ties_on_job_paper") else "as_sheet"


def _side_pot(case: Case) -> str:
    slow = case.plant.displacer.exchange < FOLLOWS_AT_ONCE and case.sees("displacer_in_side_pot")
    return "slow" if slow else "back"


def _pulled(case: Case) -> str:
    own = case.plant.displacer
    found: tuple[tuple[str, bool], ...] = (
        ("gone", not own.attached),
        ("flooded", own.flooded > WET_INSIDE),
        ("coated", own.coat_mass > CAKED * own.mass),
        ("struck", case.sees("displacer_rubbed_bright")),
    )
    return next((outcome for outcome, there in found if there), "sound")


def _hangs(case: Case) -> str:
    own, tag = case.plant.displacer, case.healthy.displacer
    wrong = own.hung != tag.hung or abs(own.bottom - tag.bottom) > MEASURED
    found: tuple[tuple[str, bool], ...] = (
        ("tied", case.sees("displacer_tied")),
        ("bent", case.sees("displacer_rod_bent")),
        ("worn", case.sees("hanger_pin_grooved")),
        ("wrong", wrong or abs(case.plant.shaft.arm_ratio - 1) > MEASURED),
    )
    return next((outcome for outcome, there in found if there), "good")


EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        "arm_feel": _feel,
        "arm_weigh": _weighed,
        "arm_follows_level": _follows,
        "arm_twitch_look": _twitches,
        "arm_slope_look": _slope,
        "displacer_fits": _fits,
        "job_paper_look": _job_paper,
        "nozzle_plumb_look": _nozzle,
        "cage_valves_look": lambda case: "shut" if case.sees("side_pot_valve_shut") else "open",
        "cage_drain": _side_pot,
        "displacer_pull": _pulled,
        "hang_look": _hangs,
        "well_look": lambda case: "plugged" if case.sees("stilling_well_holes_packed") else "clear",
    }
)
