"""What is taken for what a unit sheet leaves out. All of it is common practice, no source, but where said."""

import math
from collections.abc import Mapping
from typing import Any, Final

from diagnose.calculators.buoyancy import Hanging
from diagnose.calculators.displacer import lever_ratio
from diagnose.calculators.lift import STEEL, line_loss
from diagnose.calculators.valve import OIL_CRITICAL
from diagnose.calculators.valve_flow import (
    WATER_CRITICAL,
    WATER_TRIPLE,
    cv_for,
    water_vapour_pressure,
)
from diagnose.calculators.vessel_volume import Shape, shape_of
from diagnose.derived import derived
from diagnose.rig import parts
from diagnose.rig.gas import in_series, tube
from diagnose.units import WATER_60F, to_si

SEAT: Final = 4e-9
"""Conductance of a pilot's seat: some 50 scf/h at 15 psi, a small actuator filled in a few seconds."""
VENT_PATH: Final = 2e-7
FILTER: Final = 1e-6
REGULATOR: Final = 1.5e-7
"""It droops by 1 psi or so while the pilot passes all that it can."""
REGULATOR_WIDE: Final = 3e-7
BLEED: Final = 5e-11
"""What a tight supply side still loses: about 1 scf/h."""
CASE_DEPTH: Final = 0.01
"""m: the case's volume before the stem moves, over the diaphragm's area."""
OUTER_RATIO: Final = 3.0
"""Lever ratio at the outermost mark, as the displacer calculator takes it."""
NOISE: Final = 0.05
SWING: Final = 0.25
UPPER_SHARE: Final = 0.5
"""Flow of the upper liquid over the lower one's, at an interface."""
BLOCK_CV: Final = 2.0e4
"""Cv of a full-bore valve over the square of its bore in m, about 13 for each square inch."""

USUAL: Final[Mapping[str, float | str]] = {
    "vessel.orientation": "horizontal",
    "vessel.diameter": to_si(48, "in"),
    "vessel.length": to_si(10, "ft"),
    "vessel.heads": "ellipsoidal",
    "vessel.pressure": to_si(60, "psi"),
    "vessel.temperature": to_si(80, "degF"),
    "vessel.inflow": to_si(200, "bbl/d"),
    "service.liquid": "oil",
    "controller.supply_set": to_si(20, "psi"),
    "controller.fulcrum": 0.25,
    "displacer.diameter": to_si(3, "in"),
    "displacer.length": to_si(12, "in"),
    "displacer.hung": "upright",
    "supply.medium": "field_gas",
    "supply.tubing": to_si(0.305, "in"),
    "supply.tubing_length": to_si(20, "ft"),
    "output_line.size": to_si(0.18, "in"),
    "output_line.length": to_si(6, "ft"),
    "valve.actuator_area": to_si(35, "in2"),
    "valve.bench_low": to_si(5, "psi"),
    "valve.bench_high": to_si(15, "psi"),
    "valve.travel": to_si(0.75, "in"),
    "valve.seat": to_si(0.75, "in"),
    "valve.cv": 9.0,
    "valve.f_l": 0.9,
    "valve.flow": "under",
    "discharge.back_pressure": to_si(10, "psi"),
    "discharge.height": to_si(8, "ft"),
    "discharge.size": to_si(2, "in"),
    "discharge.length": to_si(100, "ft"),
    "place.atmosphere": 101_325.0,
}
DENSITY: Final = {
    "oil": to_si(35, "API"),
    "water": 1.05 * WATER_60F,
    "interface": 1.05 * WATER_60F,
}
LIGHTER: Final = to_si(35, "API")


def filled(values: Mapping[str, float | str]) -> dict[str, Any]:
    """A sheet's values with the usual ones where it tells nothing."""
    given: dict[str, Any] = {**USUAL, **derived(values)}
    given.setdefault("service.density", DENSITY[given["service.liquid"]])
    if given["service.liquid"] == "interface":
        given.setdefault("service.upper_density", LIGHTER)
    given.setdefault("supply.upstream", given["controller.supply_set"] + to_si(40, "psi"))
    quick = given.get("controller.action", "snap") == "snap"
    given.setdefault("valve.characteristic", "quick_opening" if quick else "linear")
    return given


def shape_in(given: Mapping[str, Any]) -> Shape:
    """The vessel of a sheet."""
    names = ("orientation", "diameter", "length", "heads")
    return shape_of(*(given[f"vessel.{name}"] for name in names))


def liquids_of(given: Mapping[str, Any]) -> parts.Liquids:
    """The liquids; oil is taken as ready to boil at the vessel's pressure, as the valve calculator does."""
    upper = given["service.upper_density"] if given["service.liquid"] == "interface" else 0.0
    if given["service.liquid"] == "oil":
        vapour, critical = given["vessel.pressure"] + given["place.atmosphere"], OIL_CRITICAL
    else:
        vapour = water_vapour_pressure(max(given["vessel.temperature"], WATER_TRIPLE))
        critical = WATER_CRITICAL
    return parts.Liquids(given["service.density"], upper, vapour, critical)


def inflow_of(given: Mapping[str, Any]) -> parts.Inflow:
    """What comes in, with a little noise, a slow swing and no slugs."""
    lower = given["vessel.inflow"]
    upper = UPPER_SHARE * lower if given["service.liquid"] == "interface" else 0.0
    return parts.Inflow(lower, upper, NOISE, SWING)


def needed_force(given: Mapping[str, Any], hanging: Hanging, share: float) -> float:
    """Force at the displacer for full stroke as the fulcrum stands, N; ``share`` of its lift when untold.

    A span is taken as measured in water, or in the two liquids of an interface, as for the calculator.
    """
    if "displacer.needed_force" in given:
        return float(given["displacer.needed_force"])
    if "displacer.measured_span" not in given:
        return share * hanging.lift
    measured = hanging.lift / (hanging.lower - hanging.upper) * WATER_60F
    force = hanging.share_at(given["displacer.measured_span"]) * measured
    if "displacer.measured_at" not in given:
        return force
    now, then = given["controller.fulcrum"], given["displacer.measured_at"]
    return force * lever_ratio(now, OUTER_RATIO) / lever_ratio(then, OUTER_RATIO)


def bore(diameter: float) -> float:
    """Area of a round bore, m2.

    >>> round(bore(2.0), 6)
    3.141593
    """
    return math.pi / 4 * diameter**2


def supply_of(given: Mapping[str, Any], full: float, header: float) -> parts.Supply:
    """The supply, with the regulator beside the controller."""
    path = tube(given["supply.tubing"], given["supply.tubing_length"], header)
    if given.get("supply.filter", "yes") == "yes":
        path = in_series(path, FILTER)
    return parts.Supply(header, path, full, REGULATOR, REGULATOR_WIDE, 0.0, 2e-4, BLEED)


def discharge_of(given: Mapping[str, Any]) -> parts.Discharge:
    """The discharge; the line's Cv is that which eats as much as the line at three times the inflow."""
    size, length, density = given["discharge.size"], given["discharge.length"], given["service.density"]
    flow = max(3 * given["vessel.inflow"], 1e-5)
    viscosity = 0.005 if given["service.liquid"] == "oil" else 0.001
    loss = line_loss(flow, size, max(length, 0.1), density, viscosity, STEEL)
    return parts.Discharge(
        back_pressure=given["discharge.back_pressure"],
        height=given["discharge.height"],
        line_cv=cv_for(flow, loss, density),
        block_cv=BLOCK_CV * size**2,
        bypass_cv=given["valve.cv"],
    )
