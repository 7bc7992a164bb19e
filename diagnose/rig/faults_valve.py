"""Faults of the actuator, the valve and the discharge."""

from typing import Final

from diagnose.rig.faulty import Change, Fault, all_of, bind, close, drop, grow, mix, put, scale
from diagnose.rig.plant import Plant, changed
from diagnose.rig.usual import SEAT


def _other_fail(plant: Plant, _: float) -> Plant:
    return changed(plant, "actuator", fails="open" if plant.actuator.fails == "closed" else "closed")


def _spring_set_wrong(plant: Plant, s: float) -> Plant:
    own = plant.actuator
    more = s * (1.1 * plant.pilot.full - own.bench_low)
    return changed(plant, "actuator", bench_low=own.bench_low + more, bench_high=own.bench_high + more)


def _turned(plant: Plant, _: float) -> Plant:
    return changed(plant, "valve", flow="over" if plant.valve.flow == "under" else "under")


def _wrong_shape(plant: Plant, _: float) -> Plant:
    quick = plant.valve.characteristic == "quick_opening"
    return changed(plant, "valve", characteristic="equal_percentage" if quick else "quick_opening")


def _weep(share: float) -> Change:
    return lambda plant, s: changed(plant, "valve", weep=share * s * plant.valve.cv)


def _back(share: float) -> Change:
    return lambda plant, s: changed(
        plant, "discharge", back_pressure=plant.discharge.back_pressure + share * s * drop(plant)
    )


def _surge(plant: Plant, s: float) -> Plant:
    return changed(plant, "discharge", surge=1.3 * s * drop(plant))


def _parted(plant: Plant, s: float) -> Plant:
    own = plant.discharge
    return changed(plant, "discharge", parted=s, back_pressure=mix(own.back_pressure, 0.0, s))


ACTUATOR: Final[dict[str, Fault]] = {
    "actuator_diaphragm_torn": Fault(
        "the case leaks into its other side", grow("actuator", "tear", 15 * SEAT)
    ),
    "actuator_diaphragm_pinhole": Fault("the case leaks a little", grow("actuator", "tear", 0.6 * SEAT)),
    "actuator_spring_broken": Fault(
        "less spring, at last nothing", scale("actuator", 0.0, "bench_low", "bench_high")
    ),
    "actuator_spring_wrong": Fault("a stiffer spring", scale("actuator", 2.5, "bench_low", "bench_high")),
    "actuator_spring_set_wrong": Fault("the spring wound up", _spring_set_wrong),
    "packing_tight": Fault("friction", bind(1.5)),
    "stem_galled": Fault("friction, more at rest", bind(0.8, stick=3.0)),
    "stem_bent": Fault("friction", bind(1.0)),
    "water_frozen_in_case": Fault("the stem is held", bind(20.0)),
    "liquid_in_case": Fault(
        "less room, a slow line",
        all_of(scale("actuator", 0.2, "dead_volume"), scale("output_line", 0.01, "conductance")),
    ),
    "actuator_vent_plugged": Fault("gas shut in behind the diaphragm", grow("actuator", "vent_plugged", 1.0)),
    "actuator_too_small": Fault("less area", scale("actuator", 0.1, "area")),
    "wrong_fail_assembly": Fault("the other fail position", _other_fail),
    "pairing_wrong": Fault("a valve of the other fail position", _other_fail),
    "tube_on_spring_side": Fault("the gas pushes with the spring", put("actuator", pushes=-1.0)),
    "travel_stop_left": Fault("it opens less", scale("actuator", 0.0, "stop_high")),
    "stem_uncoupled": Fault("the plug lies on its seat", put("actuator", coupled=0.0)),
    "stem_lock_nut_slipped": Fault("the plug stops short of its seat", grow("actuator", "lost_way", 0.4)),
    "yoke_loose": Fault("the plug stops short of its seat", grow("actuator", "lost_way", 0.25)),
    "case_joint_leaks": Fault("the case leaks", grow("actuator", "rim_leak", 1.7 * SEAT)),
    "actuator_stem_seal_leaks": Fault("the case leaks", grow("actuator", "stem_leak", 1.7 * SEAT)),
}

VALVE: Final[dict[str, Fault]] = {
    "trash_under_seat": Fault("the plug is held off its seat", grow("valve", "trash", 0.5)),
    "trim_washed_out": Fault("the shut seat passes", grow("valve", "seat_leak", 0.5)),
    "seat_ring_loose": Fault("the shut seat passes", grow("valve", "seat_leak", 0.3)),
    "trim_soft_parts_wrong": Fault(
        "the shut seat passes, friction", all_of(grow("valve", "seat_leak", 0.15), bind(0.3))
    ),
    "plug_stuck_in_cage": Fault("the stem is held", bind(5.0)),
    "plug_off_stem": Fault("the plug lies on its seat", put("valve", plug_on=0.0)),
    "valve_body_plugged": Fault("the body closes", close("valve", "body_open", 2)),
    "valve_body_frozen": Fault(
        "the stem is held, the body closes", all_of(bind(20.0), close("valve", "body_open", 2))
    ),
    "trim_too_small": Fault("less Cv", scale("valve", 0.03, "cv")),
    "trim_too_large": Fault("more Cv", scale("valve", 5.0, "cv")),
    "trim_wrong_shape": Fault("another characteristic", _wrong_shape),
    "valve_back_to_front": Fault("the flow on the other side of the plug", _turned),
    "packing_leaks": Fault("liquid is lost", _weep(0.002)),
    "bonnet_leaks": Fault("liquid is lost", _weep(0.01)),
    "valve_flange_leaks": Fault("liquid is lost", _weep(0.01)),
    "valve_body_cut_through": Fault("liquid is lost", _weep(0.1)),
}

DISCHARGE: Final[dict[str, Fault]] = {
    "block_valve_shut": Fault("no way through its block valves", put("discharge", block_open=0.0)),
    "block_valve_pinched": Fault("little way through them", close("discharge", "block_open", 4)),
    "gate_dropped": Fault("no way through them", put("discharge", block_open=0.0)),
    "tank_valve_shut": Fault("no way through the line", put("discharge", line_open=0.0)),
    "bypass_passing": Fault("the bypass is open", grow("discharge", "bypass_open", 1.0)),
    "bypass_seat_leaks": Fault("the bypass passes a little", grow("discharge", "bypass_open", 0.25)),
    "downstream_check_stuck": Fault("the line closes", close("discharge", "line_open", 4)),
    "check_stuck_open": Fault(
        "liquid can come back, and another dump pushes",
        all_of(put("discharge", check_holds=False), _surge),
    ),
    "strainer_plugged": Fault("the line closes", close("discharge", "line_open", 4)),
    "meter_jammed": Fault("the line closes", close("discharge", "line_open", 4)),
    "back_pressure_high": Fault("more pressure at the end", _back(1.05)),
    "other_dump_pushes": Fault("more pressure at the end, at times", _surge),
    "downstream_pump_off": Fault("more pressure at the end", _back(1.2)),
    "discharge_frozen": Fault("the line closes", close("discharge", "line_open", 4)),
    "paraffin_in_line": Fault("the line closes", close("discharge", "line_open", 4)),
    "line_parted": Fault("lost on the way, less pressure at the end", _parted),
    "shutdown_holds_outlet": Fault("no way out of the vessel", put("discharge", outlet_open=0.0)),
    "line_siphons": Fault("the line sucks", _back(-0.5)),
}
