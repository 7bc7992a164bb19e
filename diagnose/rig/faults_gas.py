"""Faults of the supply, the pilot and the output line."""

from typing import Final

from diagnose.rig.faulty import Change, Fault, all_of, close, closing, force, grow, mix, narrow, put, scale
from diagnose.rig.plant import Plant, changed
from diagnose.rig.usual import SEAT


def _header(over: float, lost: float) -> Change:
    """A header at so many times what the regulator is set to, less so much of that at severity 1."""

    def change(plant: Plant, s: float) -> Plant:
        left = over * (1 - lost * s) * plant.supply.set_to
        return changed(plant, "supply", header=min(plant.supply.header, left))

    return change


def _regulator_high(plant: Plant, s: float) -> Plant:
    most = min(3 * plant.supply.set_to, plant.supply.header)
    return changed(plant, "supply", set_to=mix(plant.supply.set_to, most, s))


def _ports(plant: Plant, _: float) -> Plant:
    return changed(plant, "pilot", ports="throttle" if plant.pilot.ports == "snap" else "snap")


def _crossed(plant: Plant, _: float) -> Plant:
    """What should vent the valve vents the supply, and the valve keeps what it has."""
    crossed = changed(plant, "supply", leak=plant.supply.leak + plant.pilot.vent_seat)
    return changed(crossed, "pilot", vent_path=0.0)


def _back_pressure(plant: Plant, s: float) -> Plant:
    pilot = plant.pilot
    return changed(
        plant,
        "pilot",
        vent_back=0.8 * s * plant.actuator.bench_high,
        vent_path=closing(pilot.vent_path, s / 3, 4),
    )


def _half_set(plant: Plant, s: float) -> Plant:
    return changed(plant, "pilot", band=1 - 0.9 * s, reach=1 - 0.5 * s, rest=0.3 * s)


_WRONG_LINE: Final[Change] = put("output_line", conductance=0.0, leak_far=25 * SEAT)

SUPPLY: Final[dict[str, Fault]] = {
    "supply_shut": Fault("the way to the regulator is shut", put("supply", path=0.0)),
    "supply_valve_pinched": Fault("the way to the regulator closes", close("supply", "path", 6)),
    "header_down": Fault("less header pressure", _header(1.2, 1.0)),
    "source_pressure_low": Fault("header below the setting", _header(1.0, 0.6)),
    "regulator_low": Fault("a lower setting", scale("supply", 0.1, "set_to")),
    "regulator_high": Fault("a higher setting", _regulator_high),
    "regulator_creeps": Fault("its shut seat passes", grow("supply", "creep", 2e-8)),
    "regulator_diaphragm_torn": Fault(
        "gas out of its bonnet, less setting",
        all_of(grow("supply", "bonnet", 2e-7), scale("supply", 0.5, "set_to")),
    ),
    "regulator_dead": Fault(
        "it passes less", all_of(close("supply", "capacity", 6), close("supply", "regulator", 6))
    ),
    "filter_plugged": Fault("the way to the regulator closes", close("supply", "path", 6)),
    "drip_pot_full": Fault("the way to the regulator closes", close("supply", "path", 6)),
    "ice_in_supply": Fault(
        "regulator and tube close", all_of(close("supply", "capacity", 6), close("supply", "tail", 6))
    ),
    "supply_starved": Fault("a thin way to the regulator", narrow("supply", "path", 0.5 * SEAT, 1.0)),
    "supply_tube_kinked": Fault("the way to the regulator closes", close("supply", "path", 6)),
    "supply_low_leg": Fault("liquid in the way to the regulator", narrow("supply", "path", 0.5 * SEAT, 0.8)),
    "supply_leaks": Fault("gas is lost", grow("supply", "leak", 3e-7)),
    "pump_draws_supply": Fault(
        "gas is drawn in strokes",
        lambda plant, s: changed(plant, "supply", draw=5e-7 * s, draw_period=3.0),
    ),
    "supply_dirty_gas": Fault(
        "it sticks and its seat closes",
        all_of(grow("pilot", "stick", 0.6), scale("pilot", 0.1, "supply_seat")),
    ),
    "supply_oil_glycol": Fault("the pilot sticks", grow("pilot", "stick", 1.5)),
    "air_wet": Fault("water closes the output line", close("output_line", "conductance", 6)),
    "supply_wrong_point": Fault("the pilot sticks", grow("pilot", "stick", 0.8)),
    "supply_relief_lifting": Fault("gas is lost", grow("supply", "relief", 2e-7)),
    "supply_gauge_broken": Fault("the gauge shows less", scale("sights", 0.0, "supply_gauge")),
}

PILOT: Final[dict[str, Fault]] = {
    "pilot_gummed": Fault("it sticks", grow("pilot", "stick", 2.0)),
    "pilot_seat_worn": Fault("supply leaks into the output", grow("pilot", "supply_leak", 1.3 * SEAT)),
    "pilot_diaphragm_cracked": Fault("the output leaks out", grow("pilot", "crack", 1.7 * SEAT)),
    "vent_blocked": Fault("the vent closes", close("pilot", "vent_path", 5)),
    "ports_swapped": Fault("piped for the other action", _ports),
    "shipping_plug_left": Fault("no supply into the pilot", put("pilot", supply_seat=0.0)),
    "spare_port_open": Fault("the output leaks out", grow("pilot", "spare_port", 5 * SEAT)),
    "pilot_pin_bad": Fault("it is pressed late", grow("linkage", "offset", -1.2)),
    "wrong_pilot_parts": Fault("it never loads fully", scale("pilot", 0.3, "reach")),
    "lines_crossed": Fault("the valve cannot vent, the supply does", _crossed),
    "pilot_vent_seat_worn": Fault("the output leaks into the vent", grow("pilot", "vent_leak", 1.7 * SEAT)),
    "pilot_rubber_bad": Fault(
        "it sticks and leaks", all_of(grow("pilot", "stick", 0.7), grow("pilot", "supply_leak", 0.3 * SEAT))
    ),
    "vent_plug_fitted": Fault("the vent is shut", put("pilot", vent_path=0.0)),
    "vent_line_back_pressure": Fault("pressure in the vent, and it closes", _back_pressure),
    "snap_half_set": Fault("a narrow band, neither nothing nor full", _half_set),
    "pilot_spring_weak": Fault("it never loads fully", scale("pilot", 0.4, "reach")),
    "pilot_loose": Fault("it gives way before it is pressed", force("shaft", "play", 0.4)),
    "pilot_screen_plugged": Fault("its supply seat closes", close("pilot", "supply_seat", 2)),
    "pilot_body_leaks": Fault("the output leaks out", grow("pilot", "body_leak", 1.7 * SEAT)),
    "output_gauge_lies": Fault("the gauge shows less", scale("sights", 0.0, "output_gauge")),
}

OUTPUT: Final[dict[str, Fault]] = {
    "output_fitting_leaks": Fault("a leak at the near end", grow("output_line", "leak_near", 3 * SEAT)),
    "output_tube_chafed": Fault("a leak at the far end", grow("output_line", "leak_far", 3 * SEAT)),
    "volume_bottle_leaks": Fault(
        "a bottle that leaks",
        all_of(grow("output_line", "extra_volume", 1e-3), grow("output_line", "leak_far", 1.7 * SEAT)),
    ),
    "output_line_plugged": Fault("it closes", close("output_line", "conductance", 6)),
    "output_line_frozen": Fault("it closes", close("output_line", "conductance", 6)),
    "output_line_kinked": Fault("it closes", close("output_line", "conductance", 6)),
    "output_cock_shut": Fault("it is shut", put("output_line", conductance=0.0)),
    "output_device_stuck": Fault("it closes", close("output_line", "conductance", 6)),
    "output_device_leaks": Fault("a leak at the far end", grow("output_line", "leak_far", 4 * SEAT)),
    "output_shutdown_acts": Fault("shut, and vented at the valve", _WRONG_LINE),
    "output_restriction_shut": Fault("it closes", close("output_line", "conductance", 6)),
    "line_to_wrong_valve": Fault("this valve's case is open and alone", _WRONG_LINE),
    "output_line_small": Fault("a thin, long line", narrow("output_line", "conductance", 2 * SEAT, 1.3)),
}
