"""Faults of the vessel, its liquids, the displacer, the shaft and the linkage."""

from typing import Final

from diagnose.calculators.buoyancy import GRAVITY, cylinder_volume
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
    foam = 2 * s * _height(plant)
    return changed(plant, "liquids", foam=foam, foam_density=0.4 * plant.liquids.lower)


def _other_liquid(plant: Plant, s: float) -> Plant:
    liquids = plant.liquids
    heavy = liquids.lower > MIDDLE_DENSITY
    return changed(plant, "liquids", lower=mix(liquids.lower, 0.84 * 999 if heavy else 1.05 * 999, s))


def _lighter(plant: Plant, s: float) -> Plant:
    liquids = plant.liquids
    lightest = mix(liquids.lower, liquids.upper, 0.8) if liquids.upper else 0.7 * liquids.lower
    return changed(plant, "liquids", lower=mix(liquids.lower, lightest, s))


def _alike(plant: Plant, s: float) -> Plant:
    return changed(plant, "liquids", upper=mix(plant.liquids.upper, 0.99 * plant.liquids.lower, s))


def _more_inflow(plant: Plant, s: float) -> Plant:
    most = max(2 * capacity(plant), 2 * plant.inflow.lower)
    return changed(plant, "inflow", lower=mix(plant.inflow.lower, most, s))


def _slugs(plant: Plant, s: float) -> Plant:
    size = mix(1.0, max(3 * capacity(plant) / plant.inflow.lower, 3.0), s) if plant.inflow.lower else 1.0
    return changed(plant, "inflow", slug_every=60.0 * size, slug_size=size, slug_seconds=50.0)


def _low_pressure(plant: Plant, s: float) -> Plant:
    return changed(plant, "vessel", pressure=plant.vessel.pressure - 1.02 * s * drop(plant))


def _coated(plant: Plant, s: float) -> Plant:
    mass = 4 * s * plant.linkage.needed / GRAVITY
    return changed(plant, "displacer", coat_mass=mass, coat_volume=mass / SCALE_DENSITY)


def _floats(plant: Plant, s: float) -> Plant:
    own = plant.displacer
    light = 0.7 * plant.liquids.lower * cylinder_volume(own.diameter, own.length)
    return changed(plant, "displacer", mass=mix(own.mass, light, s))


def _too_small(plant: Plant, s: float) -> Plant:
    """A thinner displacer of the same stuff, its knob set for it bare."""
    own, left = plant.displacer, 1 - 0.8 * s
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


def _height(plant: Plant) -> float:
    own = plant.displacer
    return own.length if own.hung == "upright" else own.diameter


PROCESS: Final[dict[str, Fault]] = {
    "glass_plugged": Fault("the glass follows less", scale("sights", 0.0, "glass_follows")),
    "glass_cocks_shut": Fault("the glass stands still", put("sights", glass_follows=0.0)),
    "glass_other_liquid": Fault("the glass shows too low", grow("sights", "glass_offset", -0.15)),
    "level_readout_wrong": Fault("the readout is off", grow("sights", "readout_offset", 0.2)),
    "nothing_wrong": Fault("little comes in", scale("inflow", 0.1, "lower", "upper")),
    "foam": Fault("light stuff on top of the liquid", _foam, only="gas"),
    "emulsion_tight": Fault("the liquids do not part", _emulsion),
    "chemical_wrong": Fault("the liquids do not part", _emulsion),
    "treater_cold": Fault("the liquids do not part", _emulsion),
    "retention_short": Fault("the liquids do not part", _emulsion),
    "weir_swamped": Fault("the other liquid is in the bucket", _other_liquid),
    "solids_in_vessel": Fault(
        "the outlet closes", lambda plant, s: changed(plant, "discharge", outlet_open=(1 - s) ** 3)
    ),
    "gas_carried_under": Fault("gas leaves with the liquid", grow("liquids", "gas_under", 0.7)),
    "inflow_too_big": Fault("more comes in than the valve passes", _more_inflow),
    "inflow_slugs": Fault("it comes in slugs larger than the valve passes", _slugs),
    "wave_at_displacer": Fault("waves", _waves(0.5)),
    "vessel_out_of_level": Fault("less deep at the displacer", grow("vessel", "tilt", -0.15)),
    "vessel_pressure_low": Fault("no pressure is left for the way out", _low_pressure),
    "liquid_lighter": Fault("less density", _lighter),
    "liquid_heavier": Fault("more density", scale("liquids", 1.25, "lower")),
    "interface_too_alike": Fault("the upper liquid nearly as heavy", _alike, only="interface"),
}

DISPLACER: Final[dict[str, Fault]] = {
    "displacer_coated": Fault("more weight, some volume", _coated),
    "displacer_lost": Fault("no pull", put("displacer", attached=0.0)),
    "displacer_flooded": Fault("it holds liquid", grow("displacer", "flooded", 1.0)),
    "displacer_floats": Fault("less mass, down to less than its liquid's", _floats),
    "displacer_too_small": Fault("less volume and mass, set bare", _too_small),
    "displacer_strikes": Fault("it rubs", force("displacer", "rub", 1.5)),
    "displacer_hung_wrong": Fault("upright for flat, or the other way", _hung_wrong),
    "displacer_wrong_height": Fault("it hangs higher", _wrong_height),
    "displacer_swings": Fault("its cover goes up and down", _waves(0.3)),
    "rod_bent": Fault(
        "it rubs and leans", all_of(force("displacer", "rub", 0.4), force("shaft", "offset", -0.4))
    ),
    "hanger_pin_worn": Fault("dead play", force("shaft", "play", 0.08)),
    "shipping_tie_left": Fault("it is held", put("displacer", rub=1e6)),
    "arm_length_wrong": Fault("a longer arm", grow("shaft", "arm_ratio", 0.3)),
    "arm_not_level": Fault("some torque too much", force("shaft", "offset", 0.5)),
    "nozzle_not_plumb": Fault("it rubs", force("displacer", "rub", 0.7)),
    "stilling_well_plugged": Fault(
        "the level round it follows slowly",
        lambda plant, s: changed(plant, "displacer", exchange=0.02 * (1 - s) ** 2),
    ),
    "cage_valves_shut": Fault("the level round it stands still", put("displacer", exchange=0.0)),
    "cage_taps_plugged": Fault(
        "the level round it follows slowly",
        lambda plant, s: changed(plant, "displacer", exchange=0.01 * (1 - s) ** 2),
    ),
}

LINKAGE: Final[dict[str, Fault]] = {
    "set_point_high": Fault("the spring carries less", force("linkage", "carry", -1.0)),
    "set_point_low": Fault("the spring carries more", force("linkage", "carry", 1.2)),
    "torque_arm_slipped": Fault("less of the pull is handed on", scale("shaft", 0.6, "grip")),
    "shaft_stiff": Fault("friction", force("shaft", "friction", 1.5)),
    "shaft_seal_leaks": Fault("liquid is lost", grow("shaft", "seal_leak", 2e-5)),
    "bearing_worn": Fault("dead play", force("shaft", "play", 0.3)),
    "lever_wrong_side": Fault("the lever on the other side", _other_side("lever_side")),
    "lever_upside_down": Fault("it misses the pilot", put("linkage", offset=-2.0)),
    "lever_bent": Fault("it presses late", grow("linkage", "offset", -0.7)),
    "lever_contact_off": Fault("it presses early", grow("linkage", "offset", 0.7)),
    "box_turned": Fault("some torque too little", force("shaft", "offset", -0.6)),
    "fulcrum_in": Fault("less force works the pilot", scale("linkage", 0.12, "needed")),
    "fulcrum_out": Fault("more force works the pilot", scale("linkage", 4.0, "needed")),
    "fulcrum_loose": Fault("dead play", force("shaft", "play", 1.0)),
    "range_spring_broken": Fault("the spring carries less, at last nothing", scale("linkage", 0.0, "carry")),
    "spring_unhooked": Fault("the spring carries nothing", put("linkage", carry=0.0)),
    "range_spring_wrong_rate": Fault("more force works the pilot", scale("linkage", 3.0, "needed")),
    "range_spring_fouled": Fault(
        "stiff and rubbing", all_of(force("linkage", "rub", 0.7), scale("linkage", 1.6, "needed"))
    ),
    "range_spring_wrong_side": Fault("the spring on the other side", _other_side("spring_side")),
    "mount_side_not_converted": Fault("the displacer on the other side", _other_side("displacer_side")),
    "nest_in_box": Fault("the lever is held", force("linkage", "rub", 1.5)),
}
