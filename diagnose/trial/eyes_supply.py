"""What a hand sees, reads and feels of the supply."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

import numpy as np

from diagnose.rig.hands import Hand
from diagnose.rig.plant import Plant, changed
from diagnose.rig.run import run
from diagnose.rig.trace import Trace
from diagnose.trial.case import HIGH, LOW, NOTHING, TRIED, Case
from diagnose.trial.eye import Eye
from diagnose.trial.levers import APART, BUBBLES, FELT, levers, sign
from diagnose.units import to_si

FALLS: Final = 0.8
"""Share of the pressure at rest under which a gauge has fallen well away; common practice, no source."""
BACK: Final = 2.0
"""s in which a needle that dips a little is back: the check's own words."""
LOW_SUPPLY: Final = 0.8
"""Share of the supply pressure wanted under which it is low; common practice, no source."""
ABOVE: Final = to_si(10, "psi")
"""Pressure that a source has above the regulator's setting; common practice, no source."""
QUARTER_TURN: Final = to_si(3, "psi")
"""What a quarter turn of the regulator's screw gives; common practice, no source."""
MOVES: Final = to_si(0.5, "psi")
"""Change of a gauge that is seen; common practice, no source."""
SETTLED: Final = 90.0
"""s in which even a starved supply is at rest and has followed its regulator."""
AT_REST: Final = 120.0
"""s that a hand watches a supply at rest."""
STROKES: Final = 10
"""Strokes of a pump through which the gauge is watched."""
BETWEEN: Final = 75
"""Percentile of a gauge's readings at which it stands between the dips of a dump or a pump."""
LIQUID: Final = ("oil_in_supply", "water_in_supply", "rust_in_supply")
IN_THE_WAY: Final = ("supply_valve_shut", "supply_valve_pinched", "filter_packed", "supply_tube_kinked")
"""What holds the gas back up to the regulator, besides a full drip pot and a tube too thin."""


def later(trace: Trace) -> np.ndarray:
    """Which of a trace's steps are in its second half, when things have come to be as they stay."""
    return np.asarray(trace.time > trace.time[-1] / 2)


def _gauge(case: Case) -> float:
    """At rest: where it stands between dumps."""
    return float(np.percentile(case.found.supply_gauge[later(case.found)], BETWEEN))


def _there(case: Case) -> float:
    """The pressure that is really there at rest, Pa."""
    return float(np.percentile(case.found.supply[later(case.found)], BETWEEN))


def _sags(up: Trace, rest: float) -> str:
    """How the gauge takes a load that it starts at ``rest`` (Pa shown) with."""
    shown = up.supply_gauge
    if max(shown.max(), rest) < NOTHING:
        return "dead"
    low = np.count_nonzero(shown < FALLS * rest) * float(up.time[0])
    return "sags" if low > BACK else "holds"


def _rest(case: Case, before: Trace) -> float:
    """What the gauge showed before a load: where it stood at the end of a trace, or between dumps."""
    return max(float(np.percentile(before.supply_gauge, BETWEEN)), _gauge(case))


def _load(case: Case) -> str:
    up, down = levers(case)
    return _sags(up, _rest(case, down))


def _source(case: Case) -> float:
    """Pressure at the gauge before the regulator, that stands just after the supply valve, Pa."""
    return 0.0 if case.sees("supply_valve_shut") else case.plant.supply.header


def _source_gauge(case: Case) -> str:
    """As much above the setting as it should be, or half of what the unit sheet gives it."""
    pressure, full = _source(case), case.healthy.pilot.full
    if pressure < NOTHING:
        return "none"
    margin = min(ABOVE, (case.healthy.supply.header - full) / 2)
    return "enough" if pressure >= full + margin else "low"


def _second_gauge(case: Case) -> str:
    return "differs" if abs(_gauge(case) - _there(case)) > APART else "same"


def _valve(case: Case) -> str:
    if case.sees("supply_valve_shut"):
        return "shut"
    return "part" if case.sees("supply_valve_pinched") else "open"


def _drain(case: Case) -> str:
    """A pot that is full runs; nothing comes of one that has no pressure behind it."""
    if case.sees("drip_pot_full") or _source(case) < NOTHING:
        return "full"
    return "wet" if case.sees(*LIQUID) else "clean"


def _blown(case: Case) -> Plant:
    """The plant with its drip pot blown dry."""
    own = case.plant
    if not case.sees("drip_pot_full") or case.sees(*IN_THE_WAY, "supply_tube_thin"):
        return own
    return changed(own, "supply", path=case.healthy.supply.path)


def _after_blow(case: Case) -> str:
    up, down = levers(case)
    plant, lever = _blown(case), LOW if up is case.lever_back else HIGH
    rest = _rest(case, down)
    if plant is not case.plant:
        low = Hand("hold_lever", 0, amount=HIGH if lever == LOW else LOW)
        first = run(plant, TRIED, case.seed, hands=[low], start=case.now)
        up = run(plant, TRIED, case.seed, hands=[Hand("hold_lever", 0, amount=lever)], start=first.end)
        rest = _rest(case, first)
    low_at_rest = rest < LOW_SUPPLY * case.healthy.pilot.full
    return "sags" if low_at_rest or _sags(up, rest) != "holds" else "holds"


def _filter(case: Case) -> str:
    if case.sees("filter_packed"):
        return "packed"
    return "soaked" if case.sees("filter_wet", "oil_in_supply") else "sound"


def _turn(case: Case) -> str:
    """A quarter turn in, against the same time without it, from the pressure at rest on."""
    rest = case.now._replace(supply=_there(case))
    more = changed(case.plant, "supply", set_to=case.plant.supply.set_to + QUARTER_TURN)
    shown = [
        np.percentile(run(plant, SETTLED, case.seed, start=rest).supply_gauge[-40:], BETWEEN)
        for plant in (case.plant, more)
    ]
    return "follows" if shown[1] - shown[0] > MOVES else "no_change"


def _at_rest(case: Case) -> str:
    """Watched from just after a dump, when it has come back to the regulator's setting, and not moved."""
    supply = case.plant.supply
    set_back = case.now._replace(supply=min(supply.set_to, supply.header))
    hold = Hand("hold_lever", 0, amount=case.now.lever)
    shown = run(case.plant, AT_REST, case.seed, hands=[hold], start=set_back).supply_gauge
    return "creeps" if shown[-1] - set_back.supply * case.plant.sights.supply_gauge > APART else "still"


def _blows(place: str) -> Callable[[Case], str]:
    return lambda case: "blows" if case.found.leaks[place][-1] > FELT else "silent"


def _soap(case: Case) -> str:
    """A sound supply side loses a little at the pilot; with its ports crossed the pilot loses more."""
    own, usual = case.plant.supply.leak, case.healthy.supply.leak
    if case.sees("supply_on_output_port"):
        usual += case.healthy.pilot.vent_seat
    return "leaks" if (own - usual) * case.now.supply > BUBBLES else "tight"


def _pump(case: Case) -> str:
    own = case.plant.supply
    if not (own.draw and own.draw_period):
        return "steady"
    watched = case.found.time > case.found.time[-1] - STROKES * own.draw_period
    return "dips" if np.ptp(case.found.supply_gauge[watched]) > MOVES else "steady"


def first_sign(otherwise: str, **found: str) -> Callable[[Case], str]:
    """The first of some outcomes whose sign is seen."""
    return lambda case: next((name for name, sign in found.items() if case.sees(sign)), otherwise)


EYES: Final[Mapping[str, Eye]] = MappingProxyType(
    {
        "supply_gauge": _gauge,
        "supply_gauge_dump": _load,
        "supply_gauge_tap": sign("supply_gauge_needle_stuck", "stuck", "lively"),
        "supply_gauge_second": _second_gauge,
        "supply_valve_look": _valve,
        "source_gauge": _source_gauge,
        "header_look": sign("neighbours_short_of_supply", "has_not", "has"),
        "frost_feel": sign("frost_on_supply", "frost", "none"),
        "drip_pot": _drain,
        "supply_rag": first_sign(
            "dry", slick="oil_in_supply", rusty="rust_in_supply", watery="water_in_supply"
        ),
        "after_blow": _after_blow,
        "filter_pull": _filter,
        "regulator_turn": _turn,
        "regulator_look": sign("regulator_screw_turned", "turned", "as_left"),
        "regulator_rest": _at_rest,
        "regulator_bonnet": _blows("regulator_bonnet"),
        "relief_listen": _blows("supply_relief"),
        "supply_leak_look": _soap,
        "trace_supply": first_sign(
            "good", kinked="supply_tube_kinked", low="supply_low_loop", thin="supply_tube_thin"
        ),
        "pump_timing": _pump,
        "takeoff_look": sign("takeoff_at_wet_point", "wrong", "right"),
        "air_tank_drain": sign("water_in_air_tank", "water", "dry"),
    }
)
