"""What a hand sees, hears and reads of the dump line, its valves and its bypass."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from diagnose.calculators.lift import valve_drop
from diagnose.rig.faults_vessel import MIDDLE_DENSITY
from diagnose.rig.faulty import capacity, drop
from diagnose.rig.outlet import after_valve, cv_share, flow_out, way_out
from diagnose.rig.plant import Plant, changed
from diagnose.trial.case import Case
from diagnose.trial.eye import Eye
from diagnose.trial.eyes_valve import EYES as VALVE_EYES
from diagnose.trial.eyes_vessel import WATCHED, moves_out, tail
from diagnose.trial.stroking import END, through
from diagnose.units import to_si

CRACKED: Final = 0.1
"""How far a bypass is cracked, as a share of its way."""
GOES: Final = 0.1
"""Share of what a healthy line takes from it that is seen to go; common practice, no source."""
PASSES: Final = 0.01
"""Share of a bypass's way that is heard and felt when it is shut; common practice, no source."""
APART: Final = to_si(10, "psi")
"""By which vessel and dump line should be apart; on a vessel with little pressure half of the usual drop."""
NEAR: Final = 0.2
"""Share of the usual drop that is left where a line stands near the vessel's pressure (no source)."""
JUMPS: Final = to_si(3, "psi")
"""By which a needle jumps so that it is seen; common practice, no source."""
COMES_BACK: Final = 0.02
"""Share of the valve's flow that runs back so that it is heard; common practice, no source."""


def _turns(case: Case) -> str:
    return "loose" if case.sees("block_valve_turns_loose") else "bites"


def _handles(case: Case) -> str:
    found = {
        "block_valve_handle_across": "shut",
        "tank_valve_handle_across": "far",
        "block_valve_handle_part_across": "part",
    }
    return next((outcome for sign, outcome in found.items() if case.sees(sign)), "open")


def _by_bypass(plant: Plant) -> float:
    """What goes with the bypass cracked and the dump shut, m3/s."""
    return through(changed(plant, "discharge", bypass_open=CRACKED), 0.0, bypass=True)


def _bypass_cracked(case: Case) -> str:
    return "goes" if _by_bypass(case.plant) > GOES * _by_bypass(case.healthy) else "nothing"


def _bypass(case: Case) -> str:
    if case.sees("bypass_handle_along"):
        return "open"
    passes = case.plant.discharge.bypass_open > PASSES and not case.sees("water_leg_moved")
    return "passes" if passes else "shut"


def _push(case: Case) -> float:
    """What another dump adds at the moment of the look, Pa: during half of the time."""
    return case.plant.discharge.surge if case.draw("another dump") < 0.5 else 0.0


def _apart(case: Case) -> str:
    left = drop(case.plant) - _push(case)
    return "enough" if left >= min(APART, drop(case.healthy) / 2) else "too_little"


def _after(case: Case) -> float:
    """Pressure at the gauge after the dump valve with the level high, Pa.

    With the block valve after the gauge pinched, all that is lost before the gauge is lost in the dump valve.
    """
    plant, plug = case.plant, case.level_high.end.plug
    way = way_out(plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere)
    flow = max(flow_out(way, plug), 0.0)
    if case.sees("block_valve_handle_part_across"):
        own = plant.valve.cv * max(cv_share(plant.valve.characteristic, plug), plant.valve.seat_leak)
        return plant.vessel.pressure - valve_drop(flow, own, way.density) if own else way.end
    return after_valve(way, flow) + _push(case)


def _line_gauge(case: Case) -> str:
    """A stem that stays shut tells nothing, and a line behind it that is shut is not filled."""
    if case.level_high.end.plug < END:
        return "low"
    left = case.plant.vessel.pressure - _after(case)
    return "high" if left < NEAR * drop(case.healthy) else "low"


def _needle(case: Case) -> str:
    return "jumps" if case.plant.discharge.surge > JUMPS else "steady"


def _battery(case: Case) -> str:
    if case.sees("pump_at_battery_stands"):
        return "pump_off"
    changes = case.sees("tank_valve_handle_across", "pressure_up_at_battery")
    return "changed" if changes else "usual"


def _meter(case: Case) -> str:
    """One is there; it stands where nothing goes through it."""
    return "stands" if case.sees("meter_rotor_stands") or not moves_out(case) else "counts"


def _check(case: Case) -> str:
    held = case.sees("check_flapper_held_down") or not case.plant.discharge.check_holds
    return "stuck" if held or not moves_out(case) else "works"


def _runs_back(case: Case) -> str:
    back = -float(tail(case.found.flow, WATCHED).min())
    return "back" if back > COMES_BACK * capacity(case.healthy) else "still"


def _wax(case: Case) -> str:
    """In oil what cakes is wax as a rule."""
    oil = case.healthy.liquids.lower < MIDDLE_DENSITY
    caked = case.plant.displacer.coat_mass > 0 or case.sees("body_packed")
    return "wax" if case.sees("wax_in_dump_line") or (oil and caked) else "clean"


def _bangs(case: Case) -> str:
    """What slams the valve is heard in the line."""
    slams = case.sees("line_jumps") or VALVE_EYES["valve_rattle"](case) == "slams"
    return "bangs" if slams else "quiet"


def _sign(there: str, otherwise: str, *signs: str) -> Callable[[Case], str]:
    return lambda case: there if case.sees(*signs) else otherwise


EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        "block_valves_look": _handles,
        "block_valve_turn": _turns,
        "bypass_crack": _bypass_cracked,
        "bypass_feel": _bypass,
        "pressures_look": _apart,
        "dump_line_gauge": _line_gauge,
        "line_gauge_watch": _needle,
        "battery_ask": _battery,
        "strainer_drop": _sign("high", "normal", "strainer_packed"),
        "meter_look": _meter,
        "check_valve_listen": _check,
        "after_dump_listen": _runs_back,
        "line_frost_look": _sign("frozen", "none", "ice_on_dump_line"),
        "wax_look": _wax,
        "line_leak_walk": lambda case: "leak" if case.plant.discharge.parted > 0 else "dry",
        "trip_look": _sign("tripped", "clear", "outlet_shutdown_valve_tripped", "shutdown_valve_tripped"),
        "hammer_listen": _bangs,
        "siphon_look": _sign("pulls", "broken", "line_falls_without_vent"),
    }
)
