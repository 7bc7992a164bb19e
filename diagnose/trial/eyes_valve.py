"""What a hand hears, feels and sees of the dump valve."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from diagnose.calculators.valve_flow import flow_through
from diagnose.rig.faulty import capacity
from diagnose.rig.plant import changed
from diagnose.rig.stem import plug_at
from diagnose.rig.trace import Trace
from diagnose.trial.case import Case
from diagnose.trial.eye import Eye
from diagnose.trial.stroking import END, healthy_strokes, late, stops_at, through

FLOWS: Final = 0.3
"""Share of what a healthy valve passes wide open that a hand calls flow; common practice, no source."""
HEARD: Final = 0.01
"""Share of it under which a valve is silent; common practice, no source."""
RUNS: Final = 0.003
"""Share of it that runs out of an open bleed and does not go dry; common practice, no source."""
LIFTED_CLEAR: Final = 0.2
"""Share of the travel up to which trash is washed out from under a plug lifted clear; common practice, no
source."""
LONG, SHORT = 1.4, 0.65
"""Times the usual dump that is much longer or much shorter; common practice, no source."""
OTHER_SIZE: Final = 1.3
"""Times the sheet's Cv, or the sheet's over it, that is another trim and not another batch (no source)."""
SLAM: Final = 1.5
"""Times as hard as a healthy flow that a flow is stopped with a slam; common practice, no source."""
COOLS: Final = 0.02
"""Share of the valve's Cv with gas blowing through that chills its body; common practice, no source."""


def _sound(case: Case, flow: float) -> str:
    share = flow / capacity(case.healthy)
    return "flows" if share >= FLOWS else "little" if share >= HEARD else "silent"


def _driven_open(case: Case) -> str:
    """The lever is moved the way that opens it; what it is worked with is held while somebody listens."""
    plug = max(case.lever_high.end.plug, case.lever_back.end.plug)
    return _sound(case, through(case.plant, plug))


def _high(case: Case) -> str:
    return _sound(case, through(case.plant, case.level_high.end.plug, pushed=True))


def _shut(case: Case) -> str:
    share = through(case.plant, case.level_low.end.plug) / capacity(case.healthy)
    return "passes" if share >= HEARD else "silent"


def _flushed(case: Case) -> str:
    """A few full strokes wash away what the plug is lifted well clear of; then the level falls low."""
    plant, ends = case.plant, (case.lever_high.end.stem, case.lever_back.end.stem)
    if max(ends) - min(ends) > 1 - 2 * END and plant.valve.trash <= LIFTED_CLEAR:
        plant = changed(plant, "valve", trash=0.0)
    plug = plug_at(plant.actuator, plant.valve, case.level_low.end.stem)
    share = through(plant, plug, bypass=True) / capacity(case.healthy)
    return "still_passes" if share >= HEARD else "shuts"


def _blocked_in(case: Case) -> str:
    """What leaves with its hand valve shut, against what comes in."""
    plant = changed(case.plant, "discharge", block_open=0.0)
    weep = flow_through(plant.valve.weep, plant.vessel.pressure, plant.liquids.lower)
    leaves = through(plant, 0.0, bypass=True) + weep + plant.shaft.seal_leak
    return "goes_on" if leaves > plant.inflow.lower else "stops"


def _bleed_after(case: Case) -> str:
    """The hand valve after it shut and the bleed open: what the plug lets by, wherever the line goes."""
    plant = changed(case.plant, "discharge", line_open=1.0, block_open=1.0, back_pressure=0.0, height=0.0)
    share = through(plant, case.level_low.end.plug) / capacity(case.healthy)
    return "runs" if share >= RUNS else "dry"


def _bleed_before(case: Case) -> str:
    if case.plant.discharge.outlet_open < HEARD:
        return "nothing"
    return "solids" if case.sees("sand_at_bleed") else "runs"


def _closing(high: Trace, back: Trace) -> Trace:
    return back if back.end.stem <= back.start.stem else high


def _knock(case: Case) -> str:
    """Something lands where the stem comes to its shut end and has the plug with it."""
    own, stroke = case.plant, _closing(case.lever_high, case.lever_back)
    comes = stroke.start.stem - stroke.end.stem > 2 * END and stroke.end.stem <= END
    return "lands" if comes and own.actuator.coupled and own.valve.plug_on else "nothing"


def _rattle(case: Case) -> str:
    """Flow from over a plug sucks it onto its seat at the end; a throttle is else too slow to slam."""
    if case.sees("plug_loose_on_stem", "seat_ring_loose"):
        return "rattles"
    own, tag = case.plant, case.healthy
    usual = stops_at(tag, _closing(*healthy_strokes(tag)))
    now = stops_at(own, _closing(case.lever_high, case.lever_back))
    sucked = own.valve.flow == "over" != tag.valve.flow and now > HEARD * capacity(tag)
    hard = own.set_up.action == "snap" and now > SLAM * usual
    return "slams" if sucked or hard or case.sees("line_jumps") else "smooth"


def _lasts(trace: Trace) -> float:
    """s that the longest of its dumps takes, one that goes on at its end too; 0 where there is none."""
    ended = trace.dumps()
    lasted = [end - start for start, end in ended]
    after = trace.time > (ended[-1][1] if ended else 0.0)
    still_open = trace.stem[after] > 0.2
    if still_open.any() and trace.end.stem > 0.05:
        lasted.append(float(trace.time[-1] - trace.time[after][still_open.argmax()]))
    return max(lasted, default=0.0)


def _dump_time(case: Case) -> str:
    """A throttle is never done: it takes long when it stands wide open and did not use to."""
    if case.plant.set_up.action == "throttle":
        wide = [np.median(late(trace)) >= 1 - END for trace in (case.found, case.usual)]
        return "long" if wide[0] and not wide[1] else "usual"
    now, usual = _lasts(case.found), _lasts(case.usual)
    if not now or not usual:
        return "usual"
    return "long" if now > LONG * usual else "short" if now < SHORT * usual else "usual"


def _trim(case: Case) -> str:
    """The trim against the sheet's, and both against what comes in today."""
    own, tag = case.plant, case.healthy
    if own.valve.characteristic != tag.valve.characteristic:
        return "other_kind"
    share = own.valve.cv / tag.valve.cv
    asked = own.inflow.lower > share * capacity(tag)
    if share < 1 / OTHER_SIZE or asked:
        return "smaller"
    return "larger" if share > OTHER_SIZE else "agrees"


def _arrow(case: Case) -> str:
    return "with_flow" if case.plant.valve.flow == case.healthy.valve.flow else "against"


def _cold(case: Case) -> str:
    if case.sees("valve_body_iced"):
        return "iced"
    return "colder" if case.now.gas_by > COOLS else "alike"


def _first(otherwise: str, **found: str) -> Callable[[Case], str]:
    """The first of some outcomes whose sign is seen."""
    return lambda case: next((name for name, sign in found.items() if case.sees(sign)), otherwise)


EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        "valve_listen_open": _driven_open,
        "valve_listen_high": _high,
        "valve_listen_shut": _shut,
        "flush_strokes": _flushed,
        "block_in_test": _blocked_in,
        "bleed_after": _bleed_after,
        "bleed_before": _bleed_before,
        "seat_knock": _knock,
        "valve_rattle": _rattle,
        "dump_time": _dump_time,
        "trim_tag_look": _trim,
        "arrow_look": _arrow,
        "leak_where": _first(
            "dry",
            body="hole_in_valve_body",
            cover="wet_at_valve_cover",
            joint="wet_at_valve_joint",
            stem="wet_at_valve_stem",
        ),
        "body_cold_look": _cold,
        "trim_pull": _first(
            "sound",
            plug_off="plug_loose_on_stem",
            packed="body_packed",
            washed="seat_cut",
            trash="trash_on_seat",
        ),
        "trim_fit_pull": _first(
            "fit", stuck="plug_grips_cage", ring_loose="seat_ring_loose", swollen="soft_parts_swollen"
        ),
        "trim_measure": _trim,
    }
)
