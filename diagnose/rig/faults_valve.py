"""Faults of the actuator, the valve and the discharge."""

import math
from typing import Final

from diagnose.calculators.valve_flow import cv_for
from diagnose.rig.faulty import Change, Fault, all_of, bind, close, drop, grow, mix, narrow, put, scale
from diagnose.rig.plant import Plant, changed
from diagnose.rig.usual import SEAT


def _other_fail(plant: Plant, _: float) -> Plant:
    return changed(plant, "actuator", fails="open" if plant.actuator.fails == "closed" else "closed")


def _spring_set_wrong(plant: Plant, s: float) -> Plant:
    own = plant.actuator
    more = s * (1.1 * plant.pilot.full - own.bench_low)
    return changed(plant, "actuator", bench_low=own.bench_low + more, bench_high=own.bench_high + more)


def _spare(plant: Plant, flow: str) -> float:
    """Pressure on the diaphragm that the drop on the plug must undo to take the valve from its actuator, Pa.

    A drop that comes from under the plug keeps it from shutting, one from over it from opening.
    """
    own, closed = plant.actuator, plant.actuator.fails == "closed"
    if flow == "under":
        return own.bench_low if closed else plant.pilot.full - own.bench_high
    return plant.pilot.full - own.bench_low if closed else own.bench_high


def _pushed(plant: Plant, flow: str, share: float) -> Plant:
    """The flow on that side of a plug on which the drop pushes with so many times the spare pressure."""
    push = share * _spare(plant, flow) * plant.actuator.area
    seat = math.sqrt(4 / math.pi * push / max(drop(plant), 1e3))
    return changed(plant, "valve", flow=flow, seat=max(seat, plant.valve.seat))


def _too_weak(plant: Plant, s: float) -> Plant:
    return _pushed(plant, plant.valve.flow, 2.2 * s)


def _turned(plant: Plant, s: float) -> Plant:
    return _pushed(plant, "over" if plant.valve.flow == "under" else "under", 1.2 * s)


def _yoke_lifts(plant: Plant, s: float) -> Plant:
    """It opens less, and when it is worse than half-way the plug does not reach its seat either."""
    own = plant.actuator
    return changed(
        plant,
        "actuator",
        stop_high=min(own.stop_high, 1 - 0.5 * s),
        lost_way=max(own.lost_way, 0.3 * (s - 0.5)),
    )


def _wrong_shape(plant: Plant, _: float) -> Plant:
    quick = plant.valve.characteristic == "quick_opening"
    return changed(plant, "valve", characteristic="equal_percentage" if quick else "quick_opening")


def _weep(share: float) -> Change:
    return lambda plant, s: changed(plant, "valve", weep=share * s * plant.valve.cv)


def _back(least: float, most: float) -> Change:
    """More pressure at the end: at least and at most so many times the drop that there is."""

    def change(plant: Plant, s: float) -> Plant:
        more = mix(least, most, s) * drop(plant)
        return changed(plant, "discharge", back_pressure=plant.discharge.back_pressure + more)

    return change


def _surge(least: float) -> Change:
    """Another dump adds at least so many times the drop that there is."""
    return lambda plant, s: changed(plant, "discharge", surge=mix(least, 1.3, s) * drop(plant))


def _pinch(opening: str, cv: str) -> Change:
    """It closes until it passes a third of what comes in, from three times as much."""

    def change(plant: Plant, s: float) -> Plant:
        flow = 3 * max(plant.inflow.lower, 1e-6) * 10.0**-s
        left = cv_for(flow, max(drop(plant), 1e3), plant.liquids.lower) / getattr(plant.discharge, cv)
        return changed(plant, "discharge", **{opening: min(getattr(plant.discharge, opening), left)})

    return change


def _parted(plant: Plant, s: float) -> Plant:
    own = plant.discharge
    return changed(plant, "discharge", parted=s, back_pressure=mix(own.back_pressure, 0.0, s))


ACTUATOR: Final[dict[str, Fault]] = {
    "actuator_diaphragm_torn": Fault(
        "the case leaks into its other side", grow("actuator", "tear", 40 * SEAT), signs=("diaphragm_torn",)
    ),
    "actuator_diaphragm_pinhole": Fault(
        "the case leaks a little", grow("actuator", "tear", 0.25 * SEAT), signs=("diaphragm_torn",)
    ),
    "actuator_spring_broken": Fault(
        "less spring, at last nothing",
        scale("actuator", 0.0, "bench_low", "bench_high"),
        signs=("actuator_spring_broken",),
    ),
    "actuator_spring_wrong": Fault(
        "a stiffer spring",
        scale("actuator", 2.5, "bench_low", "bench_high"),
        signs=("actuator_spring_of_other_range", "recent_work", "ran_until_a_part_was_changed"),
    ),
    "actuator_spring_set_wrong": Fault("the spring wound up", _spring_set_wrong),
    "packing_tight": Fault("friction", bind(0.55, stick=1.3), signs=("packing_nut_hard_down",)),
    "stem_galled": Fault("friction, more at rest", bind(0.45, stick=2.0), signs=("stem_rough",)),
    "stem_bent": Fault("friction", bind(0.55, stick=1.3), signs=("stem_bent",)),
    "water_frozen_in_case": Fault(
        "the stem is held", bind(20.0), signs=("ice_in_case", "water_at_case_vent", "freezing")
    ),
    "liquid_in_case": Fault(
        "less room, which fills and empties slowly",
        all_of(scale("actuator", 0.5, "dead_volume"), narrow("output_line", "conductance", SEAT, 0.5)),
        signs=("liquid_in_case",),
    ),
    "actuator_vent_plugged": Fault(
        "gas shut in behind the diaphragm, that gets out slowly",
        all_of(grow("actuator", "vent_plugged", 1.0), scale("actuator", 20.0, "dead_volume")),
        signs=("case_vent_stopped_up",),
    ),
    "actuator_too_small": Fault("the drop on its plug is too much for it", _too_weak),
    "wrong_fail_assembly": Fault("the other fail position", _other_fail, signs=("recent_work",)),
    "pairing_wrong": Fault(
        "a valve of the other fail position",
        _other_fail,
        signs=("tags_of_controller_and_valve_disagree", "recent_work"),
    ),
    "tube_on_spring_side": Fault(
        "the gas pushes with the spring", put("actuator", pushes=-1.0), signs=("recent_work",)
    ),
    "travel_stop_left": Fault(
        "it opens less", scale("actuator", 0.0, "stop_high"), signs=("travel_stop_screwed_in",)
    ),
    "stem_uncoupled": Fault(
        "the plug lies on its seat", put("actuator", coupled=0.0), signs=("stem_clamp_open",)
    ),
    "stem_lock_nut_slipped": Fault(
        "the plug stops short of its seat",
        grow("actuator", "lost_way", 0.4),
        signs=("fresh_thread_at_stem",),
    ),
    "yoke_loose": Fault(
        "part of the way is lost at one end, then at both", _yoke_lifts, signs=("yoke_rocks",)
    ),
    "case_joint_leaks": Fault("the case leaks", grow("actuator", "rim_leak", 1.7 * SEAT)),
    "actuator_stem_seal_leaks": Fault("the case leaks", grow("actuator", "stem_leak", 1.7 * SEAT)),
}

VALVE: Final[dict[str, Fault]] = {
    "trash_under_seat": Fault(
        "the plug is held off its seat", grow("valve", "trash", 0.25), signs=("trash_on_seat",)
    ),
    "trim_washed_out": Fault("the shut seat passes", grow("valve", "seat_leak", 0.5), signs=("seat_cut",)),
    "seat_ring_loose": Fault(
        "the shut seat passes", grow("valve", "seat_leak", 0.3), signs=("seat_ring_loose",)
    ),
    "trim_soft_parts_wrong": Fault(
        "friction, the shut seat passes a little",
        all_of(grow("valve", "seat_leak", 0.01), bind(0.5, stick=1.3)),
        signs=("soft_parts_swollen",),
    ),
    "plug_stuck_in_cage": Fault("the stem is held", bind(5.0), signs=("plug_grips_cage",)),
    "plug_off_stem": Fault(
        "the plug lies on its seat", put("valve", plug_on=0.0), signs=("plug_loose_on_stem",)
    ),
    "valve_body_plugged": Fault("the body closes", close("valve", "body_open", 2), signs=("body_packed",)),
    "valve_body_frozen": Fault(
        "the stem is held, the body closes",
        all_of(bind(20.0), close("valve", "body_open", 2)),
        signs=("valve_body_iced", "freezing"),
    ),
    "trim_too_small": Fault("less Cv", scale("valve", 0.03, "cv")),
    "trim_too_large": Fault("more Cv", scale("valve", 5.0, "cv")),
    "trim_wrong_shape": Fault("another characteristic", _wrong_shape, signs=("recent_work",)),
    "valve_back_to_front": Fault(
        "the flow on the other side of a plug that its drop can move",
        _turned,
        signs=(
            "recent_work",
            "ran_until_a_part_was_changed",
        ),
    ),
    "packing_leaks": Fault("liquid is lost", _weep(0.002), signs=("wet_at_valve_stem",)),
    "bonnet_leaks": Fault("liquid is lost", _weep(0.01), signs=("wet_at_valve_cover",)),
    "valve_flange_leaks": Fault("liquid is lost", _weep(0.01), signs=("wet_at_valve_joint",)),
    "valve_body_cut_through": Fault("liquid is lost", _weep(0.1), signs=("hole_in_valve_body",)),
}

DISCHARGE: Final[dict[str, Fault]] = {
    "block_valve_shut": Fault(
        "no way through its block valves",
        put("discharge", block_open=0.0),
        signs=("block_valve_handle_across",),
    ),
    "block_valve_pinched": Fault(
        "little way through the one after it",
        _pinch("block_open", "block_cv"),
        signs=("block_valve_handle_part_across",),
    ),
    "gate_dropped": Fault(
        "no way through them", put("discharge", block_open=0.0), signs=("block_valve_turns_loose",)
    ),
    "tank_valve_shut": Fault(
        "no way through the line", put("discharge", line_open=0.0), signs=("tank_valve_handle_across",)
    ),
    "bypass_passing": Fault(
        "the bypass is open", grow("discharge", "bypass_open", 1.0), signs=("bypass_handle_along",)
    ),
    "bypass_seat_leaks": Fault("the bypass passes a little", grow("discharge", "bypass_open", 0.4)),
    "downstream_check_stuck": Fault(
        "the line closes", close("discharge", "line_open", 4), signs=("check_flapper_held_down",)
    ),
    "check_stuck_open": Fault(
        "liquid can come back, and another dump pushes",
        all_of(put("discharge", check_holds=False), _surge(1.05)),
    ),
    "strainer_plugged": Fault(
        "the line closes", close("discharge", "line_open", 4), signs=("strainer_packed",)
    ),
    "meter_jammed": Fault(
        "little gets past it", _pinch("line_open", "line_cv"), signs=("meter_rotor_stands",)
    ),
    "back_pressure_high": Fault(
        "more pressure at the end", _back(0.92, 1.05), signs=("pressure_up_at_battery",)
    ),
    "other_dump_pushes": Fault("more pressure at the end, at times", _surge(0.5)),
    "downstream_pump_off": Fault(
        "more pressure at the end", _back(0.85, 1.2), signs=("pump_at_battery_stands",)
    ),
    "discharge_frozen": Fault(
        "no way through the line",
        put("discharge", line_open=0.0),
        signs=("ice_on_dump_line", "freezing"),
    ),
    "paraffin_in_line": Fault("the line closes", _pinch("line_open", "line_cv"), signs=("wax_in_dump_line",)),
    "line_parted": Fault("lost on the way, less pressure at the end", _parted),
    "shutdown_holds_outlet": Fault(
        "no way out of the vessel",
        put("discharge", outlet_open=0.0),
        signs=("outlet_shutdown_valve_tripped",),
    ),
    "line_hammers": Fault(
        "the valve shuts faster than its long line bears",
        scale("actuator", 0.1, "dead_volume"),
        signs=("line_jumps",),
    ),
    "line_siphons": Fault("the line sucks", _back(0.0, -0.5), signs=("line_falls_without_vent",)),
}
