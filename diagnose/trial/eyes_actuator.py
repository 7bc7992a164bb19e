"""What a hand sees and feels of the actuator and its stem."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

import numpy as np

from diagnose.rig.trace import Trace
from diagnose.trial.case import Case
from diagnose.trial.eye import Eye
from diagnose.trial.eyes_pilot import CLEAR_OF_BAND
from diagnose.trial.levers import BUBBLES, FELT
from diagnose.trial.stroking import END, MARK, Bench, bench, benched, jerks, late, slow, without_drop
from diagnose.units import to_si

OFF_TAG: Final = to_si(2, "psi")
"""How far a bench mark may be off the tag: a pound or two; common practice, no source."""
STAMPED: Final = 1.75
"""Times the supply pressure up to which a case may be loaded by hand; common practice, no source."""
OWN_SHARE: Final = 0.1
"""Share of a healthy stem's friction that is the actuator's own; common practice, no source."""
LITTLE_WAY: Final = 0.2
"""Share of its usual way under which a stem has hardly moved; common practice, no source."""


def _stands(stem: float) -> str:
    return "open" if stem >= 1 - END else "shut" if stem <= END else "between"


def held_up(case: Case, stem: float) -> float:
    """Where the pointer stands: what lies under a plug that is on its stem holds the stem up too."""
    own = case.plant
    return max(stem, own.valve.trash * own.actuator.coupled * own.valve.plug_on)


def _mark(case: Case) -> str:
    """A plug that stops short of its seat leaves too much of its stem in sight."""
    own, end = case.plant, case.level_low.end
    if end.stem <= MARK and not own.valve.plug_on:
        return "past"
    return "short" if max(held_up(case, end.stem), own.actuator.lost_way) > MARK else "at_mark"


def _strokes(case: Case, high: Trace, low: Trace) -> str:
    ends = high.end.stem, low.end.stem
    if abs(ends[0] - ends[1]) < END:
        return "stays_shut" if max(ends) <= 2 * END else "stays_open"
    whole = max(ends) >= 1 - END and min(ends) <= END
    return "full" if whole and not (slow(case, high, low) or jerks(high) or jerks(low)) else "badly"


def _manner(case: Case) -> str:
    """Not at all: the level is out of its band, and the stem stands and is not where that asks it to be."""
    usual = case.usual.held
    ways = [np.ptp(late(trace)) for trace in (case.found, case.usual)]
    high = case.now.level > usual.max() + CLEAR_OF_BAND and case.now.stem < 1 - END
    low = case.now.level < usual.min() - CLEAR_OF_BAND and case.now.stem > END
    if (high or low) and ways[0] < LITTLE_WAY * ways[1]:
        return "none"
    strokes = case.lever_high, case.lever_back
    if max(abs(trace.end.stem - trace.start.stem) for trace in strokes) < MARK:
        return "none"
    if any(jerks(trace) for trace in strokes):
        return "jerks"
    return "slow" if slow(case, *strokes) else "smooth"


def _vent_feel(case: Case) -> str:
    return "blows" if case.up.leaks["actuator_vent"].max() > FELT else "silent"


def _vent_look(case: Case) -> str:
    if case.sees("case_vent_stopped_up"):
        return "plugged"
    return "wet" if case.sees("water_at_case_vent") else "clear"


def _soap(case: Case) -> str:
    rim, rod = (case.up.leaks[place].max() for place in ("actuator_rim", "actuator_stem"))
    if max(rim, rod) < BUBBLES:
        return "dry"
    return "rim" if rim >= rod else "rod"


def _turned(case: Case) -> bool:
    """The other way round than its tag says; a valve of another kind says so on its tag."""
    tags_differ = case.sees("tags_of_controller_and_valve_disagree")
    return (case.plant.actuator.fails != case.healthy.actuator.fails) != tags_differ


def _halves(case: Case) -> str:
    if case.plant.actuator.pushes < 0:
        return "same_half"
    return "turned" if _turned(case) else "as_sheet"


def _stem_look(case: Case) -> str:
    if case.sees("stem_bent"):
        return "bent"
    if case.sees("stem_rough"):
        return "rough"
    return "hard_down" if case.sees("packing_nut_hard_down") else "good"


def _coupling(case: Case) -> str:
    if case.sees("stem_clamp_open"):
        return "loose"
    return "nut" if case.sees("fresh_thread_at_stem") else "tight"


def _unloaded(case: Case) -> str:
    stands = _stands(benched(case, case.healthy.pilot.full)[0].unloaded)
    if stands == "between":
        return stands
    fails = case.plant.actuator.fails if not _turned(case) else case.healthy.actuator.fails
    return "as_sheet" if (stands == "open") == (fails == "open") else "other"


def _loaded(case: Case) -> str:
    """What stands over from the start is put back first, to see whether it can go at all."""
    own, full = case.plant, case.healthy.pilot.full
    found, off = benched(case, full)
    back = bench(own.actuator, own.valve, full, float(own.actuator.fails == "open"))
    if np.ptp(back.up) < END:
        return "no_move"
    if found.down[0] > 1 - 2 * END:
        return "no_return"
    return "late" if found.leaps or not (np.abs(off) <= OFF_TAG).all() else "right"


def _bench_set(case: Case) -> str:
    _, off = benched(case, STAMPED * case.healthy.pilot.full)
    if (np.abs(off) <= OFF_TAG).all():
        return "both_right"
    return "shifted" if np.isfinite(off).all() and np.ptp(off) <= 2 * OFF_TAG else "stretched"


def _drained(case: Case) -> str:
    if case.sees("ice_in_case"):
        return "ice"
    return "liquid" if case.sees("liquid_in_case") else "dry"


def _alone(case: Case) -> str:
    """Undone, the stem's own packing and plug hold nothing any more, and a yoke has nothing to lift."""
    own = case.plant.actuator
    if not case.sees("ice_in_case"):
        own = replace(own, friction=OWN_SHARE * case.healthy.actuator.friction, stick=1.0)
    if case.sees("yoke_rocks"):
        own = replace(own, stop_high=1.0)
    found = bench(own, replace(case.plant.valve, plug_on=0.0), case.healthy.pilot.full, case.now.stem)
    return "top_free" if _whole(found) else "top_bad"


def _whole(found: Bench) -> bool:
    goes = found.up[0] <= END and found.up[-1] >= 1 - END and found.down[0] <= END
    return bool(goes) and not found.leaps


def _opened(case: Case) -> str:
    found: tuple[tuple[str, bool], ...] = (
        ("torn", case.sees("diaphragm_torn")),
        ("spring", case.sees("actuator_spring_broken", "actuator_spring_of_other_range")),
        ("turned", _turned(case)),
        ("wet", case.sees("ice_in_case", "liquid_in_case")),
    )
    return next((outcome for outcome, there in found if there), "sound")


def _sign(sign: str, there: str, otherwise: str) -> Callable[[Case], str]:
    return lambda case: there if case.sees(sign) else otherwise


EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        "stem_watch_high": lambda case: _stands(case.level_high.end.stem),
        "stem_watch_low": lambda case: _stands(held_up(case, case.level_low.end.stem)),
        "shut_mark_look": _mark,
        "stem_on_lever": lambda case: _strokes(case, case.lever_high, case.lever_back),
        "stroke_manner": _manner,
        "stroke_no_drop": lambda case: "strokes" if _strokes(case, *without_drop(case)) == "full" else "same",
        "actuator_vent_feel": _vent_feel,
        "actuator_vent_look": _vent_look,
        "soap_case": _soap,
        "case_side_look": _halves,
        "yoke_look": _sign("yoke_rocks", "loose", "firm"),
        "stem_look": _stem_look,
        "stop_look": _sign("travel_stop_screwed_in", "engaged", "clear"),
        "coupling_look": _coupling,
        "fail_position_look": _unloaded,
        "test_load": _loaded,
        "bench_set_read": _bench_set,
        "case_drain": _drained,
        "uncoupled_stroke": _alone,
        "case_open": _opened,
    }
)
