"""What a hand sees and feels of the shaft, the range spring, the fulcrum and the lever."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from diagnose.rig.faulty import capacity
from diagnose.rig.hands import Hand
from diagnose.rig.state import State
from diagnose.rig.trace import Trace
from diagnose.trial.case import Case
from diagnose.trial.eye import Eye
from diagnose.trial.eyes_pilot import CLEAR_OF_BAND
from diagnose.trial.eyes_supply import first_sign, later
from diagnose.trial.eyes_valve import FLOWS, HEARD
from diagnose.trial.levers import sign
from diagnose.trial.stroking import through

LITTLE: Final = 0.5
"""Strokes that an arm is moved each way by somebody who moves it a little; common practice, no source."""
SLACK: Final = 0.03
"""Strokes of play that a hand feels; common practice, no source."""
SLIPS: Final = 0.6
"""Share of the torque under which an arm slips under a hand; common practice, no source."""
DRAGS: Final = 0.3
"""Friction, as a share of the force that full stroke takes, that a hand feels; common practice, no source."""
HOLDS: Final = 1.0
"""The same of what stops a hand that does not force it; common practice, no source."""
TWO_TURNS: Final = 1.0
"""What two turns of the knob carry, as a share of that force; common practice, no source."""
MISSES: Final = -0.5
"""Strokes by which a lever presses late whose contact is off the pilot; common practice, no source."""
SQUIRTS: Final = 1.5e-5
"""m3/s, a litre in a minute, from which a wet shaft does not weep any more; common practice, no source."""
WIDE, NARROW = 1.3, 0.65
"""Times its usual swing that is much more, or hardly any; common practice, no source."""
SEEN: Final = 0.01
"""m by which a swing differs so that it is seen in the glass."""
ARM_TO_LEVER: Final = ("fulcrum_loose", "shaft_bearing_oval")
"""Where play is between the arm and the lever; other play is at the displacer or at the pilot."""
SHUT_IN: Final = (
    Hand("stop_inflow", 0),
    Hand("open_block_valve", 0, amount=0.0),
    Hand("open_bypass", 0, amount=0.0),
)
"""What keeps the level where it is put."""


def _play(case: Case) -> float:
    """Play between the arm and the lever, in strokes."""
    plant = case.plant
    return plant.shaft.play / plant.linkage.needed if case.sees(*ARM_TO_LEVER) else 0.0


def _lever_follows(case: Case) -> str:
    return "stays" if case.plant.shaft.grip < SLIPS or _play(case) >= LITTLE else "follows"


def _slack(case: Case) -> str:
    return "slack" if case.plant.shaft.grip < SLIPS or _play(case) > SLACK else "tight"


def _stiff(case: Case) -> str:
    """What touches the displacer does so in one place; the shaft rubs all the way."""
    plant, force = case.plant, case.healthy.linkage.needed
    if plant.displacer.rub > DRAGS * force or plant.linkage.rub > HOLDS * force:
        return "stop"
    return "drag" if plant.shaft.friction + plant.linkage.rub > DRAGS * force else "free"


def _share(case: Case, state: State) -> float:
    """What goes through the valve in a state, as a share of what a healthy one passes wide open."""
    return through(case.plant, state.plug) / capacity(case.healthy)


def _turned(case: Case, start: State, turns: int) -> float:
    """The same share when the knob is turned two turns up or down, and the level kept where it is."""
    knob = Hand("turn_knob", 0, amount=turns * TWO_TURNS * case.healthy.linkage.needed)
    # An empty vessel can hold a rounding error less than nothing, and nothing comes in.
    kept = start._replace(lower=max(start.lower, 0.0), upper=max(start.upper, 0.0))
    return _share(case, case.tried(*SHUT_IN, knob, start=kept).end)


def _knob(case: Case) -> str:
    """A sound one dumps without turning, where the level is made high."""
    if case.now.level > case.usual.held.max() + CLEAR_OF_BAND:
        before = case.now
        if _share(case, before) >= FLOWS:
            return "no_change"
    else:
        before = case.level_high.end
        if _share(case, before) >= FLOWS:
            return "dumps"
    return "dumps" if _turned(case, before, 1) >= FLOWS else "no_change"


def _knob_up(case: Case) -> str:
    """A sound one shuts without turning, where the level is made low."""
    if case.now.level < case.usual.held.min() - CLEAR_OF_BAND:
        before = case.now
        if _share(case, before) < HEARD:
            return "no_change"
    else:
        before = case.level_low.end
        if _share(case, before) < HEARD:
            return "shuts"
    return "shuts" if _turned(case, before, -1) < HEARD else "no_change"


def _swings(trace: Trace) -> float:
    """How far the glass goes down through its last dump, m; 0 where there is none."""
    ended = trace.dumps()
    if not ended:
        return 0.0
    first, last = (int(np.argmax(trace.time >= at)) for at in ended[-1])
    return float(abs(trace.glass[first] - trace.glass[last]))


def _swing(case: Case) -> str:
    """From where it begins to dump to where it stops; a throttle is never done: it swings with its inflow."""
    ended = case.found.dumps()
    if case.plant.set_up.action == "throttle":
        if _out(case) and _stuck(case):
            return "no_dump"
        now, usual = (float(np.ptp(trace.glass[later(trace)])) for trace in (case.found, case.usual))
    elif not ended:
        return "no_dump" if _stuck(case) else "as_set"
    elif ended[-1][1] < case.found.time[-1] / 2 and _out(case) and _stuck(case):
        return "no_dump"
    else:
        now, usual = _swings(case.found), _swings(case.usual)
    if abs(now - usual) < SEEN:
        return "as_set"
    return "wide" if now > WIDE * usual else "narrow" if now < NARROW * usual else "as_set"


def _out(case: Case) -> bool:
    """Whether the level is out of where it goes in good health."""
    usual = case.usual.held
    return not usual.min() - CLEAR_OF_BAND < case.now.level < usual.max() + CLEAR_OF_BAND


def _stuck(case: Case) -> bool:
    """Whether less leaves than comes in at a high level, or more at a low one."""
    leaves = [through(case.plant, trace.end.plug, bypass=True) for trace in (case.level_high, case.level_low)]
    return leaves[0] <= case.plant.inflow.lower or leaves[1] > case.plant.inflow.lower


def _seal(case: Case) -> str:
    leak = case.plant.shaft.seal_leak
    return "dry" if not leak else "blows" if leak > SQUIRTS else "seeps"


def _off(case: Case) -> tuple[bool, bool]:
    """(Spring, lever) not on the side that the legend gives for where the displacer is now."""
    own, right = case.plant.linkage, case.healthy.linkage
    same = right.lever_side == right.displacer_side
    return own.spring_side != own.displacer_side, (own.lever_side == own.displacer_side) != same


def _lever_side(case: Case) -> str:
    return "other_side" if _off(case)[1] else "as_legend"


def _mount(case: Case) -> str:
    """One part on the wrong side is no picture of the other side."""
    return "other_side" if all(_off(case)) else "as_legend"


def _contact(case: Case) -> str:
    if case.sees("lever_upside_down", "lever_bent") and case.plant.linkage.offset <= MISSES:
        return "misses"
    return "worn" if case.sees("lever_tip_flat") else "meets"


def _spring(case: Case) -> str:
    found: tuple[tuple[str, bool], ...] = (
        ("broken", case.sees("range_spring_broken")),
        ("unhooked", case.sees("range_spring_off_its_hook")),
        ("other_side", _off(case)[0]),
        ("fouled", case.sees("coils_caked")),
    )
    return next((outcome for outcome, there in found if there), "right")


def _box(case: Case) -> str:
    """In the cold what fills the box is ice."""
    if not case.sees("nest_in_box"):
        return "clean"
    return "wet" if case.sees("freezing") else "nest"


EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        "lever_follows_arm": _lever_follows,
        "lever_play": _slack,
        "arm_stiff_where": _stiff,
        "knob_turn": _knob,
        "knob_turn_up": _knob_up,
        "knob_mark": sign("knob_turned", "turned", "at_mark"),
        "knob_travel": sign("knob_at_end_of_thread", "end", "middle"),
        "level_swing": _swing,
        "torque_mark": sign("torque_arm_off_its_mark", "slipped", "in_line"),
        "shaft_seal_look": _seal,
        "lever_side_look": _lever_side,
        "mount_look": _mount,
        "lever_contact_look": _contact,
        "lever_straight": sign("lever_bent", "bent", "straight"),
        "adjuster_look": sign("adjuster_moved", "moved", "at_mark"),
        "fulcrum_look": first_sign(
            "at_mark",
            loose="fulcrum_loose",
            out="fulcrum_out_of_its_mark",
            **{"in": "fulcrum_in_of_its_mark"},
        ),
        "spring_look": _spring,
        "spring_rate_look": sign("range_spring_of_other_rate", "other", "as_sheet"),
        "enclosure_look": sign("box_leans", "bent", "plumb"),
        "box_inside_look": _box,
    }
)
