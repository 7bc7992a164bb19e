"""Faults of the vessel, its liquids, the displacer, the shaft and the linkage."""

from typing import Final

from diagnose.calculators.buoyancy import GRAVITY, cylinder_volume
from diagnose.calculators.valve_flow import cv_for
from diagnose.loop import Side, other
from diagnose.rig.faulty import Change, Fault, all_of, capacity, drop, force, grow, mix, put, scale
from diagnose.rig.plant import Plant, changed

MIDDLE_DENSITY: Final = 930.0
"""kg/m3, oil and water well mixed; common practice, no source."""
SCALE_DENSITY: Final = 2000.0
"""kg/m3, scale, sand and paraffin together; common practice, no source."""


def _emulsion(plant: Plant, s: float) -> Plant:
    if not plant.liquids.upper:
        return changed(plant, "liquids", lower=mix(plant.liquids.lower, MIDDLE_DENSITY, s))
    return changed(plant, "liquids", emulsion=3 * s * _height(plant))


def _foam(plant: Plant, s: float) -> Plant:
    foam = s * _height(plant)
    return changed(plant, "liquids", foam=foam, foam_density=0.2 * plant.liquids.lower)


def _other_liquid(plant: Plant, s: float) -> Plant:
    """At an interface most of what comes over is the upper liquid."""
    liquids = plant.liquids
    other_one = 0.84 * 999 if liquids.lower > MIDDLE_DENSITY else 1.05 * 999
    if liquids.upper:
        other_one = mix(liquids.lower, liquids.upper, 0.9)
    return changed(plant, "liquids", lower=mix(liquids.lower, other_one, s))


def _lighter(plant: Plant, s: float) -> Plant:
    """Oil down to condensate; brine down to hot fresh water."""
    lower = plant.liquids.lower
    return changed(plant, "liquids", lower=lower * mix(1.0, 0.92 if lower > MIDDLE_DENSITY else 0.7, s))


def _alike(plant: Plant, s: float) -> Plant:
    return changed(plant, "liquids", upper=mix(plant.liquids.upper, 0.99 * plant.liquids.lower, s))


def _more_inflow(plant: Plant, s: float) -> Plant:
    most = max(2 * capacity(plant), 2 * plant.inflow.lower)
    return changed(plant, "inflow", lower=mix(plant.inflow.lower, most, s))


def _slugs(plant: Plant, s: float) -> Plant:
    size = mix(1.0, max(3 * capacity(plant) / plant.inflow.lower, 3.0), s) if plant.inflow.lower else 1.0
    return changed(plant, "inflow", slug_every=30.0 * size, slug_size=size, slug_seconds=50.0)


def _low_pressure(plant: Plant, s: float) -> Plant:
    """Nearly all of the drop is gone before anybody feels it: a dump valve passes much more than comes in."""
    return changed(plant, "vessel", pressure=plant.vessel.pressure - mix(0.95, 1.02, s) * drop(plant))


def _solids(plant: Plant, s: float) -> Plant:
    """The outlet closes until it passes a third of what comes in, and then altogether."""
    own, flow = plant.discharge, 3 * max(plant.inflow.lower, 1e-6) * 10.0**-s
    left = cv_for(flow, max(drop(plant), 1e3), plant.liquids.lower) / own.block_cv if s < 1 else 0.0
    return changed(plant, "discharge", outlet_open=min(own.outlet_open, left))


def _coated(plant: Plant, s: float) -> Plant:
    """At last with twice the weight of the liquid that it moves aside, half-way with a quarter of that."""
    own = plant.displacer
    mass = 2 * s**2 * plant.liquids.lower * cylinder_volume(own.diameter, own.length)
    return changed(plant, "displacer", coat_mass=mass, coat_volume=mass / SCALE_DENSITY)


def _floats(plant: Plant, s: float) -> Plant:
    own = plant.displacer
    held_up = plant.liquids.lower * cylinder_volume(own.diameter, own.length)
    return changed(plant, "displacer", mass=mix(0.8, 0.5, s) * held_up)


def _too_small(plant: Plant, s: float) -> Plant:
    """A thinner displacer of the same stuff, its knob set for it bare."""
    own, left = plant.displacer, 1 - 0.6 * s
    bare = own.mass - plant.liquids.upper * cylinder_volume(own.diameter, own.length)
    carry = plant.linkage.carry - (1 - left) * bare * GRAVITY
    smaller = changed(plant, "displacer", diameter=own.diameter * left**0.5, mass=own.mass * left)
    return changed(smaller, "linkage", carry=carry)


def _hung_wrong(plant: Plant, _: float) -> Plant:
    own = plant.displacer
    flat = own.hung == "upright"
    shift = (own.length - own.diameter) / 2
    bottom = max(own.bottom + (shift if flat else -shift), 0.0)
    return changed(plant, "displacer", hung="flat" if flat else "upright", bottom=bottom)


def _wrong_height(plant: Plant, s: float) -> Plant:
    return changed(plant, "displacer", bottom=plant.displacer.bottom + 1.5 * s * _height(plant))


def _waves(share: float) -> Change:
    return lambda plant, s: changed(plant, "displacer", wave=share * s * _height(plant))


def _other_side(name: str) -> Change:
    return lambda plant, _: changed(plant, "linkage", **{name: other(getattr(plant.linkage, name), Side)})


def _geared(factor: float) -> Change:
    """So many times the force works the pilot, at severity 1."""
    return lambda plant, s: changed(plant, "linkage", needed=plant.linkage.needed * factor**s)


def _height(plant: Plant) -> float:
    own = plant.displacer
    return own.length if own.hung == "upright" else own.diameter


_MILKY: Final = ("liquids_do_not_part", "milky_liquid")
_HASTY: Final = ("liquids_do_not_part", "jar_parts_at_once")

PROCESS: Final[dict[str, Fault]] = {
    "glass_plugged": Fault(
        "the glass follows less, from another level",
        all_of(scale("sights", 0.0, "glass_follows"), grow("sights", "glass_offset", 0.15)),
    ),
    "glass_cocks_shut": Fault(
        "the glass stands still, half drained",
        put("sights", glass_follows=0.0, glass_offset=-0.15),
        signs=("glass_cock_handle_shut",),
    ),
    "glass_other_liquid": Fault(
        "the glass shows too low",
        grow("sights", "glass_offset", -0.15),
        signs=("other_liquid_in_glass",),
    ),
    "level_readout_wrong": Fault("the readout is off", grow("sights", "readout_offset", 0.2)),
    "nothing_wrong": Fault("little comes in", scale("inflow", 0.1, "lower", "upper")),
    "foam": Fault("light stuff on top of the liquid", _foam, only="gas"),
    "emulsion_tight": Fault("the liquids do not part", _emulsion, signs=_MILKY),
    "chemical_wrong": Fault("the liquids do not part", _emulsion, signs=(*_MILKY, "chemical_tank_empty")),
    "treater_cold": Fault("the liquids do not part", _emulsion, signs=(*_MILKY, "vessel_cold")),
    "retention_short": Fault(
        "more comes in than has time to part",
        all_of(_emulsion, scale("inflow", 1.5, "lower", "upper")),
        signs=_HASTY,
    ),
    "weir_swamped": Fault(
        "the other liquid is in the bucket", _other_liquid, signs=(*_HASTY, "liquid_over_plate")
    ),
    "water_leg_off": Fault(
        "water goes by its leg past the controller, as by a bypass",
        grow("discharge", "bypass_open", 0.5),
        only="interface",
        signs=("water_leg_moved",),
    ),
    "solids_in_vessel": Fault(
        "the outlet closes",
        _solids,
        signs=("sand_in_bottom", "sand_at_bleed"),
    ),
    "gas_carried_under": Fault("gas leaves with the liquid", grow("liquids", "gas_under", 0.9)),
    "inflow_too_big": Fault("more comes in than the valve passes", _more_inflow),
    "inflow_slugs": Fault("it comes in slugs larger than the valve passes", _slugs),
    "wave_at_displacer": Fault("waves", _waves(0.5), signs=("waves_in_glass",)),
    "vessel_out_of_level": Fault("less deep at the displacer", grow("vessel", "tilt", -0.15)),
    "vessel_pressure_low": Fault("no pressure is left for the way out", _low_pressure),
    "liquid_lighter": Fault("less density", _lighter),
    "liquid_heavier": Fault("more density", scale("liquids", 1.15, "lower")),
    "interface_too_alike": Fault("the upper liquid nearly as heavy", _alike, only="interface"),
}

DISPLACER: Final[dict[str, Fault]] = {
    "displacer_coated": Fault("more weight, some volume", _coated),
    "displacer_lost": Fault("no pull", put("displacer", attached=0.0)),
    "displacer_flooded": Fault(
        "it holds liquid, half full or more",
        lambda plant, s: changed(plant, "displacer", flooded=mix(0.5, 1.0, s)),
    ),
    "displacer_floats": Fault("less mass than the liquid that it moves aside", _floats),
    "displacer_too_small": Fault("less volume and mass, set bare", _too_small),
    "displacer_strikes": Fault("it rubs", force("displacer", "rub", 1.5), signs=("displacer_rubbed_bright",)),
    "displacer_hung_wrong": Fault("upright for flat, or the other way", _hung_wrong, signs=("recent_work",)),
    "displacer_wrong_height": Fault(
        "it hangs higher", _wrong_height, signs=("rod_of_other_length_on_job_paper", "recent_work")
    ),
    "displacer_swings": Fault("its cover goes up and down", _waves(0.3)),
    "rod_bent": Fault(
        "it rubs and leans",
        all_of(force("displacer", "rub", 0.6), force("shaft", "offset", -0.4)),
        signs=("displacer_rod_bent", "displacer_rubbed_bright"),
    ),
    "hanger_pin_worn": Fault("it catches", force("displacer", "rub", 0.5), signs=("hanger_pin_grooved",)),
    "shipping_tie_left": Fault(
        "it is held",
        put("displacer", rub=1e6),
        signs=("displacer_tied", "no_ties_on_job_paper", "recent_work"),
    ),
    "arm_length_wrong": Fault(
        "a longer arm",
        grow("shaft", "arm_ratio", 0.3),
        signs=("arm_of_other_length_on_job_paper", "recent_work"),
    ),
    "arm_not_level": Fault("some torque too little", force("shaft", "offset", -0.9)),
    "nozzle_not_plumb": Fault(
        "it rubs",
        force("displacer", "rub", 0.7),
        signs=("nozzle_crooked", "displacer_rubbed_bright"),
    ),
    "stilling_well_plugged": Fault(
        "the level round it follows slowly",
        lambda plant, s: changed(plant, "displacer", exchange=0.02 * (1 - s) ** 2),
        signs=("stilling_well_holes_packed",),
    ),
    "cage_valves_shut": Fault(
        "the level round it stands still",
        put("displacer", exchange=0.0),
        signs=("displacer_in_side_pot", "side_pot_valve_shut"),
    ),
    "cage_taps_plugged": Fault(
        "the level round it follows slowly",
        lambda plant, s: changed(plant, "displacer", exchange=0.01 * (1 - s) ** 2),
        signs=("displacer_in_side_pot",),
    ),
}

LINKAGE: Final[dict[str, Fault]] = {
    "set_point_high": Fault(
        "the spring carries less", force("linkage", "carry", -1.0), signs=("knob_turned",)
    ),
    "set_point_low": Fault("the spring carries more", force("linkage", "carry", 1.0), signs=("knob_turned",)),
    "torque_arm_slipped": Fault(
        "less of the pull is handed on, at last nothing",
        scale("shaft", 0.0, "grip"),
        signs=("torque_arm_off_its_mark",),
    ),
    "shaft_stiff": Fault("friction", force("shaft", "friction", 1.5)),
    "shaft_seal_leaks": Fault("liquid is lost", grow("shaft", "seal_leak", 2e-5)),
    "bearing_worn": Fault("dead play", force("shaft", "play", 0.07), signs=("shaft_bearing_oval",)),
    "lever_wrong_side": Fault(
        "the lever on the other side", _other_side("lever_side"), signs=("recent_work",)
    ),
    "lever_upside_down": Fault(
        "it misses the pilot", put("linkage", offset=-2.0), signs=("lever_upside_down", "recent_work")
    ),
    "lever_bent": Fault("it presses late", grow("linkage", "offset", -0.7), signs=("lever_bent",)),
    "lever_contact_off": Fault(
        "it presses late", grow("linkage", "offset", -0.5), signs=("lever_tip_flat", "adjuster_moved")
    ),
    "box_turned": Fault(
        "some torque too little, and it rubs",
        all_of(force("shaft", "offset", -0.6), force("shaft", "friction", 0.5)),
        signs=("box_leans",),
    ),
    "fulcrum_in": Fault(
        "less force works the pilot",
        _geared(0.12),
        signs=("fulcrum_in_of_its_mark",),
    ),
    "fulcrum_out": Fault(
        "more force works the pilot",
        _geared(3.0),
        signs=("fulcrum_out_of_its_mark",),
    ),
    "fulcrum_loose": Fault("dead play", force("shaft", "play", 1.0), signs=("fulcrum_loose",)),
    "range_spring_broken": Fault(
        "the spring carries less, at last nothing",
        scale("linkage", 0.0, "carry"),
        signs=("range_spring_broken",),
    ),
    "spring_unhooked": Fault(
        "the spring carries nothing",
        put("linkage", carry=0.0),
        signs=("range_spring_off_its_hook",),
    ),
    "range_spring_wrong_rate": Fault(
        "more force works the pilot",
        _geared(3.0),
        signs=(
            "range_spring_of_other_rate",
            "knob_at_end_of_thread",
            "recent_work",
            "ran_until_a_part_was_changed",
        ),
    ),
    "range_spring_fouled": Fault(
        "more force works the pilot",
        _geared(1.8),
        signs=("coils_caked",),
    ),
    "range_spring_wrong_side": Fault(
        "the spring on the other side", _other_side("spring_side"), signs=("recent_work",)
    ),
    "mount_side_not_converted": Fault(
        "the displacer on the other side", _other_side("displacer_side"), signs=("recent_work",)
    ),
    "nest_in_box": Fault("the lever is held", force("linkage", "rub", 1.5), signs=("nest_in_box",)),
}
