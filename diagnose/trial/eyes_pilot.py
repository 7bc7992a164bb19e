"""What a hand sees, feels and reads of the pilot, its ports and its vent."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from diagnose.calculators.vessel_volume import volume_at
from diagnose.rig.hands import Hand
from diagnose.rig.inflows import Floats
from diagnose.rig.plant import Plant, changed
from diagnose.rig.run import run
from diagnose.rig.trace import Trace
from diagnose.rig.usual import VENT_PATH
from diagnose.trial.case import FOUND, HIGH, LOW, NOTHING, TRIED, Case
from diagnose.trial.eye import Eye
from diagnose.trial.levers import (
    APART,
    BUBBLES,
    FELT,
    FULL,
    HARDLY,
    SLOW,
    STAYS,
    healthy_seconds,
    levers,
    read,
    seconds_to,
    shown_ends,
    sign,
)
from diagnose.units import to_si

CLEAR_OF_BAND: Final = 0.02
"""m by which the level is out of where it goes in good health, so that it is seen in the glass."""
STICKY: Final = 0.3
"""Share of a pilot's stroke that a finger feels it stay behind; common practice, no source."""
SWEEP: Final = tuple(np.linspace(LOW, HIGH, 10).tolist())
"""Where a lever that is moved slowly is held, in strokes."""
HELD: Final = 20.0
"""s at each of them, time for a healthy output to come to rest."""
CREEPS: Final = to_si(0.4, "psi")
"""Change over the last third of that time that a hand calls creeping; common practice, no source."""
OFTEN: Final = 1 / 3
"""Share of those places at which it creeps that is more than one slow move to the other end."""


def vent_flow(case: Case, trace: Trace) -> Floats:
    """Gas that comes out of the pilot's vent, standard m3/s.

    Behind a cracked diaphragm is the vented side. With supply and output crossed the pilot lets the supply
    out where it should let the output out.
    """
    flow = trace.vent + trace.leaks["pilot_case"]
    lets_out = case.sees("supply_on_output_port") and trace is levers(case)[1]
    return flow + trace.leaks["supply_line"] if lets_out else flow


def _at(case: Case, level: float) -> float:
    """The output gauge with the level kept at a height (m) for half an hour and then looked at, Pa."""
    plant, now = case.plant, case.now
    vessel = plant.vessel
    lower = volume_at(vessel.shape, level)
    upper = max(volume_at(vessel.shape, vessel.weir) - lower, 0.0) if plant.liquids.upper else 0.0
    top = vessel.weir if upper else level
    follows = 1 - np.exp(-plant.displacer.exchange * FOUND)
    put = now._replace(
        lower=lower,
        upper=upper,
        level=level,
        top=top,
        seen=now.seen + follows * (level + vessel.tilt - now.seen),
        seen_top=now.seen_top + follows * (top + vessel.tilt - now.seen_top),
    )
    shut_in = Hand("open_block_valve", 0, amount=0.0), Hand("stop_inflow", 0)
    return float(case.tried(*shut_in, start=put).output_gauge[-1])


def _gauge_high(case: Case) -> float:
    if case.now.level > case.usual.held.max() + CLEAR_OF_BAND:
        return float(case.found.output_gauge[-1])
    return _at(case, case.plant.vessel.high_trip)


def _gauge_low(case: Case) -> float:
    if case.now.level < case.usual.held.min() - CLEAR_OF_BAND:
        return float(case.found.output_gauge[-1])
    return _at(case, case.plant.vessel.low_trip)


def _second_gauge(case: Case) -> str:
    there = levers(case)[0].output[-1:]
    return "differs" if abs(float((read(case, there) - there)[0])) > APART else "same"


def _lever(case: Case) -> str:
    full, least = shown_ends(case)
    nothing = NOTHING / case.healthy.pilot.full
    if full >= FULL and least < nothing:
        return "both"
    if full < nothing:
        return "stays_low"
    return "stays_high" if least > STAYS else "part"


def _half_way(case: Case) -> str:
    hands = [Hand("hold_lever", HELD * i, HELD * (i + 1), at) for i, at in enumerate(SWEEP)]
    trace = case.tried(*hands, seconds=HELD * len(SWEEP), start=case.lever_back.end)
    held = read(case, trace.output).reshape(len(SWEEP), -1)
    ends, creeps = held[:, -1], np.ptp(held[:, -held.shape[1] // 3 :], axis=1) > CREEPS
    way = np.ptp(ends)
    if way < APART:
        return "dead"
    between = np.abs(ends - (ends.max() + ends.min()) / 2) < way / 3
    if (between & ~creeps).any():
        return "stands"
    return "wanders" if creeps.mean() > OFTEN else "jumps"


def _time(case: Case) -> str:
    full, least = shown_ends(case)
    if full < HARDLY:
        return "slow_up"
    if least > STAYS:
        return "slow_down"
    usual_up, usual_down = healthy_seconds(case.healthy)
    up, down = levers(case)
    if seconds_to(up, up.output, down.end.output) > SLOW * usual_up:
        return "slow_up"
    return "slow_down" if seconds_to(down, down.output, up.end.output) > SLOW * usual_down else "quick"


def _which_way(case: Case) -> str:
    """On the other side than the displacer the spring has drawn the arm as far as it goes."""
    links, rising = case.plant.linkage, case.lever_high
    if links.spring_side != links.displacer_side:
        return "stays"
    first, last = read(case, np.array([rising.start.output, rising.end.output]))
    return "stays" if abs(last - first) < NOTHING else "up" if last > first else "down"


def _vent_listen(case: Case) -> str:
    flows = [vent_flow(case, trace) for trace in (case.lever_high, case.lever_back)]
    if any(flow[-1] > FELT for flow in flows):
        return "steady"
    return "puff" if any(flow.max() > FELT for flow in flows) else "silent"


def _vent_by_state(case: Case) -> str:
    up, down = (vent_flow(case, trace)[-1] > FELT for trace in levers(case))
    return "both" if up and down else "up" if up else "down" if down else "neither"


def _vent_light(case: Case) -> str:
    if case.sees("plug_in_vent"):
        return "plug"
    return "blocked" if case.sees("vent_stopped_up") else "clear"


def _vent_line(case: Case) -> str:
    return "header" if case.sees("vent_into_header") else "open_air"


def _vent_line_off(case: Case) -> str:
    if not case.sees("vent_into_header"):
        return "same"
    own = case.plant.pilot
    free = changed(case.plant, "pilot", vent_back=0.0, vent_path=max(own.vent_path, VENT_PATH))
    with_line = levers(case)[1]
    lever = Hand("hold_lever", 0, amount=LOW if with_line is case.lever_back else HIGH)
    without = run(free, TRIED, case.seed, hands=[lever], start=with_line.start)
    slow, quick = (seconds_to(each, each.output, each.start.output) for each in (with_line, without))
    lower = with_line.end.output - without.end.output > APART
    return "better" if lower or slow > SLOW * quick else "same"


def _after(case: Case, plant: Plant, seconds: float = 10.0) -> float:
    """What the gauge shows a little later when the plant is like this from now on, Pa."""
    return float(run(plant, seconds, case.seed, start=case.now).output_gauge[-1])


def _tap(case: Case) -> str:
    """A tap frees for a moment what sticks in the pilot, and moves it where it is loose."""
    plant = changed(case.plant, "pilot", stick=0.0)
    if case.sees("pilot_screws_loose"):
        plant = changed(plant, "shaft", play=0.0)
    return "jumps" if abs(_after(case, plant) - _after(case, case.plant)) > APART else "nothing"


def _warm(case: Case) -> str:
    """Warmth takes ice away and makes stiff rubber soft; it does nothing where it does not freeze."""
    cold = case.sees("freezing") and case.sees("pilot_rubber_spoilt", "vent_stopped_up")
    return "better" if cold else "same"


def _pin(case: Case) -> str:
    if case.sees("pilot_spring_rusted"):
        return "limp"
    return "sticks" if case.sees("pin_bent") or case.plant.pilot.stick > STICKY else "springs"


def _soap(case: Case) -> str:
    up = levers(case)[0]
    if up.leaks["spare_port"][-1] > BUBBLES:
        return "port"
    return "joint" if up.leaks["pilot_joint"][-1] > BUBBLES else "tight"


def _ports(case: Case) -> str:
    if case.sees("supply_on_output_port"):
        return "crossed"
    if case.sees("shipping_plug_in_port"):
        return "plug_left"
    return "open_port" if case.sees("port_without_plug") else "as_legend"


def _port_roles(case: Case) -> str:
    return "as_legend" if case.plant.pilot.ports == case.plant.set_up.action else "swapped"


def _pulled(case: Case) -> str:
    found: tuple[tuple[str, str], ...] = (
        ("pilot_diaphragm_cracked", "diaphragm"),
        ("pilot_seat_cut", "seat"),
        ("pin_bent", "pin"),
        ("parts_of_another_pilot", "parts"),
        ("gum_in_pilot", "gummed"),
        ("dirt_in_pilot", "gummed"),
    )
    return next((outcome for sign, outcome in found if case.sees(sign)), "sound")


def _rubber(case: Case) -> str:
    """Cold makes it hard; in the warm it is what the gas brings along that spoils it."""
    if not case.sees("pilot_rubber_spoilt"):
        return "soft"
    return "hard" if case.sees("freezing") else "swollen"


EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        "output_gauge": _gauge_high,
        "output_gauge_low": _gauge_low,
        "second_gauge": _second_gauge,
        "lever_by_hand": _lever,
        "lever_half_way": _half_way,
        "output_time": _time,
        "which_way": _which_way,
        "vent_listen": _vent_listen,
        "vent_by_state": _vent_by_state,
        "vent_flashlight": _vent_light,
        "vent_line_look": _vent_line,
        "vent_line_off": _vent_line_off,
        "pilot_tap": _tap,
        "pilot_warm": _warm,
        "pilot_shake": sign("pilot_screws_loose", "loose", "tight"),
        "pin_push": _pin,
        "pilot_soap": _soap,
        "ports_look": _ports,
        "port_roles_look": _port_roles,
        "pair_look": sign("tags_of_controller_and_valve_disagree", "does_not", "suits"),
        "parts_ask": sign("parts_of_another_pilot", "wrong", "right"),
        "screen_look": sign("pilot_screen_packed", "plugged", "clean"),
        "pilot_pull": _pulled,
        "pilot_rubber_look": _rubber,
    }
)
