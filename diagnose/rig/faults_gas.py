"""Faults of the supply, the pilot and the output line."""

from typing import Final

from diagnose.rig.faulty import Change, Fault, all_of, close, force, grow, mix, narrow, put, scale
from diagnose.rig.plant import Plant, changed
from diagnose.rig.usual import BLEED, SEAT


def _header(over: float, lost: float) -> Change:
    """A header at so many times what the regulator is set to, less so much of that at severity 1."""

    def change(plant: Plant, s: float) -> Plant:
        left = over * (1 - lost * s) * plant.supply.set_to
        return changed(plant, "supply", header=min(plant.supply.header, left))

    return change


def _regulator_high(plant: Plant, s: float) -> Plant:
    most = min(3 * plant.supply.set_to, mix(plant.supply.set_to, plant.supply.header, 0.7))
    return changed(plant, "supply", set_to=mix(plant.supply.set_to, most, s))


def _ports(plant: Plant, _: float) -> Plant:
    return changed(plant, "pilot", ports="throttle" if plant.pilot.ports == "snap" else "snap")


def _crossed(plant: Plant, _: float) -> Plant:
    """What should vent the valve vents the supply, and the valve keeps what it has."""
    crossed = changed(plant, "supply", leak=plant.supply.leak + plant.pilot.vent_seat)
    return changed(crossed, "pilot", vent_path=0.0)


def _back_pressure(plant: Plant, s: float) -> Plant:
    narrow_line = narrow("pilot", "vent_path", 0.3 * SEAT, 0.4)
    return narrow_line(changed(plant, "pilot", vent_back=0.05 * s * plant.actuator.bench_high), s)


def _worn_seat(plant: Plant, s: float) -> Plant:
    """It leaks a little while it wears, and at last more than it passes when it is open."""
    return changed(plant, "pilot", supply_leak=plant.pilot.supply_leak + 1.3 * SEAT * 10 ** (-2.6 * (1 - s)))


def _half_set(plant: Plant, s: float) -> Plant:
    return changed(plant, "pilot", band=1 - 0.9 * s)


def _supply_leak(plant: Plant, s: float) -> Plant:
    """A hiss at first, and at last as much as the regulator passes."""
    return changed(plant, "supply", leak=plant.supply.leak + 1.5e-7 * 10 ** (-1.5 * (1 - s)))


_PINCHED: Final[Change] = narrow("supply", "path", 0.5 * SEAT, 1.8)
"""Enough at rest, and the less when the pilot asks for more."""
_WRONG_LINE: Final[Change] = put("output_line", conductance=0.0, leak_far=25 * SEAT)

SUPPLY: Final[dict[str, Fault]] = {
    "supply_shut": Fault(
        "the way to the regulator is shut", put("supply", path=0.0), signs=("supply_valve_shut",)
    ),
    "supply_valve_pinched": Fault("a thin way to the regulator", _PINCHED, signs=("supply_valve_pinched",)),
    "header_down": Fault(
        "no header pressure", put("supply", header=0.0), signs=("neighbours_short_of_supply",)
    ),
    "source_pressure_low": Fault("header below the setting", _header(1.0, 0.6)),
    "regulator_low": Fault(
        "a lower setting", scale("supply", 0.2, "set_to"), signs=("regulator_screw_turned",)
    ),
    "regulator_high": Fault("a higher setting", _regulator_high, signs=("regulator_screw_turned",)),
    "regulator_creeps": Fault("its shut seat passes", grow("supply", "creep", 4 * BLEED)),
    "regulator_diaphragm_torn": Fault(
        "gas out of its bonnet, less setting",
        all_of(grow("supply", "bonnet", 2e-7), scale("supply", 0.5, "set_to")),
    ),
    "regulator_dead": Fault(
        "it passes less than a tight supply loses", narrow("supply", "capacity", BLEED, 1.6)
    ),
    "filter_plugged": Fault("a thin way to the regulator", _PINCHED, signs=("filter_packed",)),
    "drip_pot_full": Fault(
        "a thin way to the regulator",
        _PINCHED,
        signs=("drip_pot_full", "water_in_supply", "filter_wet"),
    ),
    "ice_in_supply": Fault(
        "regulator and tube close",
        all_of(close("supply", "capacity", 9), close("supply", "tail", 6)),
        signs=("frost_on_supply", "freezing"),
    ),
    "supply_starved": Fault(
        "a thin way to the regulator",
        narrow("supply", "path", 0.25 * SEAT, 1.0),
        signs=("supply_tube_thin",),
    ),
    "supply_tube_kinked": Fault("a thin way to the regulator", _PINCHED, signs=("supply_tube_kinked",)),
    "supply_low_leg": Fault(
        "liquid comes along in slugs, and the pilot sticks",
        grow("pilot", "stick", 0.6),
        signs=("supply_low_loop", "water_in_supply", "filter_wet"),
    ),
    "supply_leaks": Fault("gas is lost", _supply_leak),
    "pump_draws_supply": Fault(
        "gas is drawn in strokes",
        lambda plant, s: changed(plant, "supply", draw=5e-7 * s, draw_period=3.0),
    ),
    "supply_dirty_gas": Fault(
        "it sticks and its seat closes",
        all_of(grow("pilot", "stick", 0.6), scale("pilot", 0.1, "supply_seat")),
        signs=("dirt_in_pilot", "water_in_supply", "filter_packed"),
    ),
    "supply_oil_glycol": Fault(
        "the pilot sticks", grow("pilot", "stick", 1.5), signs=("gum_in_pilot", "oil_in_supply")
    ),
    "air_wet": Fault(
        "the pilot sticks",
        grow("pilot", "stick", 0.8),
        signs=("water_in_air_tank", "water_in_supply", "filter_wet"),
    ),
    "supply_wrong_point": Fault(
        "the pilot sticks",
        grow("pilot", "stick", 0.8),
        signs=("takeoff_at_wet_point", "dirt_in_pilot", "water_in_supply", "filter_wet"),
    ),
    "supply_relief_lifting": Fault("gas is lost", grow("supply", "relief", 2e-7)),
    "supply_gauge_broken": Fault(
        "the gauge shows less",
        scale("sights", 0.0, "supply_gauge"),
        signs=("supply_gauge_needle_stuck",),
    ),
}

PILOT: Final[dict[str, Fault]] = {
    "pilot_gummed": Fault("it sticks", grow("pilot", "stick", 2.0), signs=("gum_in_pilot",)),
    "pilot_seat_worn": Fault("supply leaks into the output", _worn_seat, signs=("pilot_seat_cut",)),
    "pilot_diaphragm_cracked": Fault(
        "the output leaks out", grow("pilot", "crack", 1.7 * SEAT), signs=("pilot_diaphragm_cracked",)
    ),
    "vent_blocked": Fault("the vent closes", close("pilot", "vent_path", 9), signs=("vent_stopped_up",)),
    "ports_swapped": Fault("piped for the other action", _ports, signs=("recent_work",)),
    "shipping_plug_left": Fault(
        "no supply into the pilot",
        put("pilot", supply_seat=0.0),
        signs=("shipping_plug_in_port", "recent_work"),
    ),
    "spare_port_open": Fault(
        "the output leaks out",
        grow("pilot", "spare_port", 5 * SEAT),
        signs=("port_without_plug", "recent_work"),
    ),
    "pilot_pin_bad": Fault("it is pressed late", grow("linkage", "offset", -2.0), signs=("pin_bent",)),
    "wrong_pilot_parts": Fault(
        "it never loads fully",
        scale("pilot", 0.3, "reach"),
        signs=("parts_of_another_pilot", "recent_work", "ran_until_a_part_was_changed"),
    ),
    "lines_crossed": Fault(
        "the valve cannot vent, the supply does", _crossed, signs=("supply_on_output_port", "recent_work")
    ),
    "pilot_vent_seat_worn": Fault(
        "the output leaks into the vent", grow("pilot", "vent_leak", 1.7 * SEAT), signs=("pilot_seat_cut",)
    ),
    "pilot_rubber_bad": Fault("it sticks", grow("pilot", "stick", 1.2), signs=("pilot_rubber_spoilt",)),
    "vent_plug_fitted": Fault("the vent is shut", put("pilot", vent_path=0.0), signs=("plug_in_vent",)),
    "vent_line_back_pressure": Fault(
        "a thin vent line with a little pressure in it", _back_pressure, signs=("vent_into_header",)
    ),
    "snap_half_set": Fault("its band gets narrow", _half_set),
    "pilot_spring_weak": Fault(
        "nothing holds its supply seat shut",
        grow("pilot", "supply_leak", 3 * SEAT),
        signs=("pilot_spring_rusted",),
    ),
    "pilot_loose": Fault(
        "it gives way before it is pressed", force("shaft", "play", 0.4), signs=("pilot_screws_loose",)
    ),
    "pilot_screen_plugged": Fault(
        "its supply seat closes", close("pilot", "supply_seat", 2), signs=("pilot_screen_packed",)
    ),
    "pilot_body_leaks": Fault("the output leaks out", grow("pilot", "body_leak", 1.7 * SEAT)),
    "output_gauge_lies": Fault("the gauge shows less", scale("sights", 0.0, "output_gauge")),
}

OUTPUT: Final[dict[str, Fault]] = {
    "output_fitting_leaks": Fault("a leak at the near end", grow("output_line", "leak_near", 3 * SEAT)),
    "output_tube_chafed": Fault(
        "a leak at the far end", grow("output_line", "leak_far", 3 * SEAT), signs=("tube_rubbed_through",)
    ),
    "volume_bottle_leaks": Fault(
        "a bottle that leaks",
        all_of(grow("output_line", "extra_volume", 1e-3), grow("output_line", "leak_far", 1.7 * SEAT)),
        signs=("bottle_rusted_through",),
    ),
    "output_line_plugged": Fault("it closes", close("output_line", "conductance", 6)),
    "output_line_frozen": Fault(
        "it closes", close("output_line", "conductance", 12), signs=("ice_on_output_tube", "freezing")
    ),
    "output_line_kinked": Fault(
        "it closes", close("output_line", "conductance", 6), signs=("output_tube_kinked",)
    ),
    "output_cock_shut": Fault(
        "it is shut", put("output_line", conductance=0.0), signs=("cock_handle_across_tube",)
    ),
    "output_device_stuck": Fault(
        "it closes", close("output_line", "conductance", 12), signs=("small_valve_in_tube_hangs",)
    ),
    "output_device_leaks": Fault(
        "a leak at the far end", grow("output_line", "leak_far", 4 * SEAT), signs=("small_valve_in_tube_cut",)
    ),
    "output_shutdown_acts": Fault(
        "shut, and vented at the valve", _WRONG_LINE, signs=("shutdown_valve_tripped",)
    ),
    "output_restriction_shut": Fault(
        "it closes", close("output_line", "conductance", 6), signs=("speed_needle_shut",)
    ),
    "restriction_lost": Fault(
        "nothing slows the gas to the valve and back",
        scale("pilot", 5.0, "supply_seat", "vent_seat"),
        signs=("speed_needle_missing",),
    ),
    "booster_wrong": Fault(
        "what it hands on comes slowly",
        narrow("output_line", "conductance", 0.6 * SEAT, 0.8),
        signs=("booster_beside_valve",),
    ),
    "line_to_wrong_valve": Fault(
        "this valve's case is open and alone",
        _WRONG_LINE,
        signs=("output_tube_on_other_valve", "recent_work", "ran_until_a_part_was_changed"),
    ),
    "output_line_small": Fault("a thin, long line", narrow("output_line", "conductance", 2 * SEAT, 1.0)),
}
