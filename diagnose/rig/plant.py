"""A whole plant, and how a healthy one is made from a unit sheet."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from diagnose.calculators.actuator import USUAL_FRICTION, plug_force, stroke
from diagnose.calculators.buoyancy import GRAVITY, Hanging
from diagnose.calculators.vessel_volume import top_of
from diagnose.loop import (
    LEGEND,
    Acting,
    Action,
    Fails,
    Side,
    as_found_of,
    lever_belongs,
    other,
    suits,
    will_do,
)
from diagnose.rig import parts, usual
from diagnose.rig.gas import tube
from diagnose.rig.outlet import flow_out, way_out
from diagnose.units import Gauge, from_si

Values = Mapping[str, float | str]
MIDDLE_SHARE: Final = 0.5
"""Share of the displacer's lift that full stroke takes when the sheet does not tell (no source)."""

FRICTION: Final = 0.02
"""Friction of a free shaft, a share of the force that full stroke takes (no source)."""
MARGIN: Final = 0.1
"""Lift at which the stroke begins, a share of what it takes, so that a bare displacer ends it (no source)."""


class CannotBuild(ValueError):
    """No such unit can be built right; the message says why, for people."""


@dataclass(frozen=True)
class Plant:
    """Everything that the simulation needs to know of a unit; a fault is another plant."""

    vessel: parts.Vessel
    liquids: parts.Liquids
    inflow: parts.Inflow
    displacer: parts.Displacer
    shaft: parts.Shaft
    linkage: parts.Linkage
    pilot: parts.Pilot
    supply: parts.Supply
    output_line: parts.OutputLine
    actuator: parts.Actuator
    valve: parts.Valve
    discharge: parts.Discharge
    set_up: parts.SetUp
    atmosphere: float
    """Pa absolute."""
    sights: parts.Sights = field(default_factory=parts.Sights)
    hand: parts.ByHand = field(default_factory=parts.ByHand)
    signs: frozenset[str] = frozenset()
    """What can be seen on its parts that shows in no pressure and no flow, as ``tube_kinked``."""


def changed(plant: Plant, section: str, **fields: Any) -> Plant:
    """The plant with other values in the fields of one of its sections."""
    return replace(plant, **{section: replace(getattr(plant, section), **fields)})


def plant_of(values: Values) -> Plant:
    """A healthy plant from a unit sheet's values, by field in SI; what they leave out is taken as usual.

    Raises `CannotBuild` when such a unit cannot work as it should.
    """
    given = usual.filled(values)
    set_up, fails, lever, home = _set_up(given)
    vessel, liquids = _vessel(given), usual.liquids_of(given)
    displacer, linkage = _displacer(given, vessel, liquids, set_up, lever, home)
    pilot, supply, line = _gas(given)
    plant = Plant(
        vessel=vessel,
        liquids=liquids,
        inflow=usual.inflow_of(given),
        displacer=displacer,
        shaft=parts.Shaft(friction=FRICTION * linkage.needed),
        linkage=linkage,
        pilot=replace(pilot, ports=set_up.action),
        supply=supply,
        output_line=line,
        actuator=_actuator(given, fails),
        valve=parts.Valve(
            cv=given["valve.cv"],
            f_l=given["valve.f_l"],
            seat=given["valve.seat"],
            flow=given["valve.flow"],
            characteristic=given["valve.characteristic"],
        ),
        discharge=usual.discharge_of(given),
        set_up=set_up,
        atmosphere=given["place.atmosphere"],
    )
    _refuse_outlet(plant)
    return plant


def _set_up(given: Mapping[str, Any]) -> tuple[parts.SetUp, Fails, Side, Side]:
    """(What it is meant to do, the valve's fail position, the lever's side, the displacer's side)."""
    found = as_found_of(given)
    action: Action = found.action or "snap"
    fails: Fails = found.fails or ("open" if found.acting == "indirect" else "closed")
    acting: Acting = found.acting or ("direct" if fails == "closed" else "indirect")
    home: Side = found.displacer_side or found.spring_side or "left"
    where = lever_belongs(action, acting)
    lever: Side = home if where == "spring_side" else other(home, Side)
    whole = replace(
        found,
        action=action,
        acting=acting,
        fails=fails,
        spring_side=found.spring_side or home,
        displacer_side=home,
        lever_side=found.lever_side or lever,
        ports=found.ports or action,
    )
    does = will_do(whole)
    if not suits(acting, fails) or does.does != "as_meant":
        raise CannotBuild(" ".join(text for text in does.sentences if text != LEGEND))
    return parts.SetUp(action, acting), fails, lever, home


def _vessel(given: Mapping[str, Any]) -> parts.Vessel:
    shape = usual.shape_in(given)
    top, level = top_of(shape), given.get("vessel.level", top_of(shape) / 2)
    if level >= top:
        raise CannotBuild(f"The level that it is meant to hold is above the vessel's top, {_inch(top)}.")
    interface = given["service.liquid"] == "interface"
    high = given.get("vessel.high_trip", level + (0.4 if interface else 0.6) * (top - level))
    low = given.get("vessel.low_trip", 0.4 * level)
    if not low < level < high <= top:
        raise CannotBuild("Low trip, level, high trip and the vessel's top must follow in that order.")
    weir = min(high + 0.3 * (top - high), top) if interface else top
    return parts.Vessel(shape, given["vessel.pressure"], level, high, low, weir)


def _displacer(
    given: Mapping[str, Any],
    vessel: parts.Vessel,
    liquids: parts.Liquids,
    set_up: parts.SetUp,
    lever: Side,
    home: Side,
) -> tuple[parts.Displacer, parts.Linkage]:
    """The displacer hung so that its band has the level in its middle, and the linkage set for it bare."""
    diameter, length, hung = (given[f"displacer.{name}"] for name in ("diameter", "length", "hung"))
    bare = Hanging(diameter, length, hung, liquids.lower, liquids.upper, None)
    mass = given.get("displacer.weight", given.get("displacer.density", 1.5 * liquids.lower) * bare.volume)
    hanging = replace(bare, mass=mass)
    if hanging.floats:
        raise CannotBuild("The displacer floats: it is lighter than the liquid that it moves aside.")
    if hanging.lift <= 0:
        raise CannotBuild("The upper liquid is no lighter than the lower one: the displacer cannot feel it.")
    needed = usual.needed_force(given, hanging, MIDDLE_SHARE)
    spare = min(MARGIN * needed, (hanging.lift - needed) / 2)
    if spare < 2 * FRICTION * needed:
        raise CannotBuild(
            f"The displacer is too weak: full stroke takes {from_si(needed, 'lbf'):.3g} lbf, and its lift "
            f"changes by {from_si(hanging.lift, 'lbf'):.3g} lbf from bare to covered."
        )
    low, high = (hanging.height_at(force / hanging.lift) for force in (spare, spare + needed))
    bottom = vessel.level - (low + high) / 2
    if bottom < 0 or bottom + hanging.height > vessel.weir:
        raise CannotBuild("The displacer does not fit into the vessel with the level in its band.")
    if bottom + low < vessel.low_trip or bottom + high > vessel.high_trip:
        raise CannotBuild(f"Its band of {_inch(high - low)} is wider than the space between the trips.")
    carry = mass * GRAVITY - liquids.upper * GRAVITY * hanging.volume - spare
    linkage = parts.Linkage(carry, needed, spring_side=home, displacer_side=home, lever_side=lever)
    return parts.Displacer(diameter, length, hung, mass, bottom), linkage


def _gas(given: Mapping[str, Any]) -> tuple[parts.Pilot, parts.Supply, parts.OutputLine]:
    full, header = given["controller.supply_set"], given["supply.upstream"]
    if header <= full:
        raise CannotBuild("The pressure before the regulator is no more than the supply pressure wanted.")
    pilot = parts.Pilot("snap", full, usual.SEAT, usual.SEAT, usual.VENT_PATH)
    size, length = given["output_line.size"], given["output_line.length"]
    line = parts.OutputLine(tube(size, length, full / 2), usual.bore(size) * length, 0.0)
    return pilot, usual.supply_of(given, full, header), line


def _actuator(given: Mapping[str, Any], fails: Fails) -> parts.Actuator:
    area = given["valve.actuator_area"]
    low, high = given["valve.bench_low"], given["valve.bench_high"]
    if high <= low:
        raise CannotBuild("The bench set ends below where it starts.")
    return parts.Actuator(
        fails, area, low, high, given["valve.travel"], area * usual.CASE_DEPTH, USUAL_FRICTION
    )


def _refuse_outlet(plant: Plant) -> None:
    """Refuse a valve that cannot be worked, or that cannot pass what comes in."""
    way = way_out(plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere)
    if way.drop <= 0:
        raise CannotBuild("The vessel's pressure is too low to lift the liquid against the back pressure.")
    flow = flow_out(way, 1.0)
    if flow <= plant.inflow.lower:
        raise CannotBuild(
            f"Wide open the valve passes {from_si(flow, 'bbl/d'):.4g} bbl/d, and "
            f"{from_si(plant.inflow.lower, 'bbl/d'):.4g} bbl/d come in."
        )
    actuator, full = plant.actuator, plant.pilot.full
    push = plug_force(way.drop, plant.valve.seat, plant.valve.flow)
    bench = Gauge(actuator.bench_low), Gauge(actuator.bench_high)
    marks = stroke(actuator.fails, actuator.area, *bench, push, actuator.friction)
    closed = actuator.fails == "closed"
    opens = marks.starts_to_open <= full if closed else marks.starts_to_open >= 0
    shuts = marks.fully_shut >= 0 if closed else marks.fully_shut <= full
    if not (opens and shuts):
        weak = "supply" if closed != opens else "spring"
        raise CannotBuild(f"The actuator cannot {'shut' if opens else 'open'} the valve: its {weak} is weak.")


def _inch(length: float) -> str:
    return f"{from_si(length, 'in'):.3g} in"
