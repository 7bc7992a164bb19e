"""What a hand sees, feels and reads of the tube from the controller to the valve."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from diagnose.rig.hands import Hand
from diagnose.rig.plant import changed
from diagnose.rig.run import run
from diagnose.rig.trace import Trace
from diagnose.rig.usual import SEAT
from diagnose.trial.case import HIGH, LOW, NOTHING, TRIED, Case
from diagnose.trial.eye import Eye
from diagnose.trial.levers import APART, BUBBLES, FELT, FULL, levers, seconds_to, shown_ends, sign
from diagnose.units import to_si

WATCHED: Final = 60.0
"""s that a needle is watched to see whether it holds."""
HALF_TURN: Final = 5 * SEAT
"""Conductance of a tube nut half a turn loose; common practice, no source."""
BLOWS: Final = 4e-5
"""Standard m3/s from it that is more than a little, some 5 scf/h; common practice, no source."""
BLOWN_WITH: Final = to_si(5, "psi")
"""Pressure that a tube is blown through with."""
AT_ONCE: Final = 3.0
"""s by which one gauge may be behind another and still go with it; common practice, no source."""
DEVICES: Final = (
    "cock_handle_across_tube",
    "small_valve_in_tube_hangs",
    "speed_needle_shut",
    "shutdown_valve_tripped",
    "booster_beside_valve",
)
"""Small valves in the tube that can stop it."""


def _lever(case: Case, trace: Trace) -> Hand:
    """The lever held as in one of the traces of it."""
    return Hand("hold_lever", 0, amount=HIGH if trace is case.lever_high else LOW)


def _follows(case: Case) -> str:
    """How a gauge at the actuator goes with the controller's while the output is pushed up."""
    up, down = levers(case)
    moves = up.end.output - down.end.output > NOTHING
    if up.end.case < NOTHING or (moves and up.end.case - down.end.case < NOTHING / 2):
        return "never"
    behind = seconds_to(up, up.case, down.end.case) - seconds_to(up, up.output, down.end.output)
    as_high = up.end.case > FULL * up.end.output
    return "at_once" if behind < AT_ONCE and as_high else "slow"


def _soap(case: Case) -> str:
    up = levers(case)[0]
    if up.leaks["output_near"][-1] > BUBBLES:
        return "bubbles"
    if up.leaks["output_far"][-1] > BUBBLES:
        if case.sees("tube_rubbed_through"):
            return "tube"
        if case.sees("bottle_rusted_through"):
            return "bottle"
    return "none"


def _blocked_in(case: Case) -> str:
    """The cock is beside the controller: the whole line and the actuator are behind it, and its gauge."""
    up, line = levers(case)[0], case.plant.output_line
    behind = changed(
        case.plant, "output_line", leak_near=0.0, leak_far=line.leak_far + line.leak_near, conductance=0.0
    )
    watched = run(behind, WATCHED, case.seed, start=up.end)
    before = min(up.end.output, up.end.case)
    fallen = (before - watched.end.case) * case.plant.sights.output_gauge
    return "falls" if fallen > min(APART, max(before, NOTHING) / 2) else "holds"


def _gas_at_valve(case: Case) -> str:
    up = levers(case)[0]
    loose = Hand("open_output_fitting", 0, amount=HALF_TURN)
    end = case.tried(_lever(case, up), loose, seconds=20.0, start=up.end).end
    return "comes" if HALF_TURN * end.case > BLOWS else "nothing"


def _trapped(case: Case) -> str:
    """The supply shut, and the output bled at the controller until its gauge is at nothing."""
    bled = changed(case.plant, "output_line", leak_near=case.plant.output_line.leak_near + HALF_TURN)
    shut = Hand("shut_supply", 0)
    end = run(bled, TRIED, case.seed, hands=[shut], start=case.now).end
    return "trapped" if end.case > NOTHING else "nothing"


def _blow(case: Case) -> str:
    if case.plant.output_line.conductance * BLOWN_WITH > FELT:
        return "free"
    return "device" if case.sees(*DEVICES) else "tube"


def _traced(case: Case) -> str:
    if case.sees("output_tube_on_other_valve"):
        return "wrong"
    if case.sees("cock_handle_across_tube"):
        return "cock"
    return "kinked" if case.sees("output_tube_kinked") else "whole"


def _other_stem(case: Case) -> str:
    """The other valve moves when what is sent to it goes up and down."""
    full, least = shown_ends(case)
    sent = full - least > 1 - FULL
    return "moves" if case.sees("output_tube_on_other_valve") and sent else "still"


def _device_tap(case: Case) -> str:
    return "lets_go" if case.sees("small_valve_in_tube_hangs") else "no_change"


def _device_vent(case: Case) -> str:
    leaves = levers(case)[0].leaks["output_far"][-1] > FELT
    return "blows" if leaves and case.sees("small_valve_in_tube_cut") else "silent"


def _restriction(case: Case) -> str:
    if case.sees("speed_needle_missing"):
        return "missing"
    return "shut" if case.sees("speed_needle_shut") else "right"


def _booster(case: Case) -> str:
    off = case.sees("booster_beside_valve") and _follows(case) != "at_once"
    return "differs" if off else "follows"


EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        "soap_output": _soap,
        "block_output": _blocked_in,
        "gas_at_valve": _gas_at_valve,
        "gauge_at_valve": _follows,
        "trapped_at_valve": _trapped,
        "blow_line": _blow,
        "output_frost": sign("ice_on_output_tube", "icy", "none"),
        "trace_line": _traced,
        "other_stem_watch": _other_stem,
        "output_device_look": sign("shutdown_valve_tripped", "tripped", "clear"),
        "device_tap": _device_tap,
        "device_vent_feel": _device_vent,
        "restriction_look": _restriction,
        "booster_gauges": _booster,
    }
)
