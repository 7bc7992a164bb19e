"""Lift: the pressure that moves the liquid to where it goes, against what the vessel has.

It is the sum of four: the height, the back pressure at the end, what the line eats at a given flow, and
what the open valve eats at that flow. Both pressures are gauge pressures of one site, so the atmosphere
drops out.
"""

import math
from collections.abc import Callable, Mapping
from typing import Final

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input, Value
from diagnose.calculators.buoyancy import GRAVITY
from diagnose.calculators.valve_flow import KV_OF_CV
from diagnose.units import WATER_60F, Gauge

LAMINAR_BELOW: Final = 2040.0
TURBULENT_ABOVE: Final = 4000.0
NO_LIMIT: Final = 1e6
"""m3/s, far more than any line carries: where the search for a flow ends."""
HYDROSTATIC: Final = "weight of the liquid column"
DARCY: Final = (
    "Darcy-Weisbach; 64/Re below Re 2040 (Avila and others, Science 333 (2011) 192), else Colebrook 1939 "
    "(from memory)"
)
IEC: Final = "IEC 60534-2-1, liquid, not choked"
STEEL: Final = 4.5e-5
"""m, roughness of clean commercial steel pipe (Moody 1944, from memory)."""


def static_pressure(height: float, density: float) -> float:
    """Pressure that lifts a liquid so high, Pa; ``height``: m, ``density``: kg/m3. Source: hydrostatics.

    >>> round(static_pressure(10.0, 850.0))
    83357
    """
    return density * GRAVITY * height


def reynolds(flow: float, diameter: float, density: float, viscosity: float) -> float:
    """Reynolds number in a full round line, a bare number. Source: its definition.

    ``flow``: m3/s; ``diameter``: m; ``density``: kg/m3; ``viscosity``: Pa s.

    >>> round(reynolds(0.001, 0.05, 1000.0, 0.001))
    25465
    """
    return 4 * flow * density / (math.pi * diameter * viscosity)


def friction_factor(reynolds_number: float, rough: float) -> float:
    """Darcy friction factor, a bare number. Holds up to Re 1e8 and roughness 0.05 of the diameter.

    ``rough``: roughness over diameter. Laminar below Re 2040, else Colebrook; between 2040 and 4000 the flow
    can be either, and Colebrook gives the higher loss. Source: `DARCY`.

    >>> round(friction_factor(1e5, 1e-4), 6), friction_factor(1000.0, 0.0)
    (0.018514, 0.064)
    """
    if reynolds_number < LAMINAR_BELOW:
        return 64 / reynolds_number
    root = 8.0  # 1 over the root of f; each round gains most of a digit or more
    for _ in range(40):
        root = -2 * math.log10(rough / 3.7 + 2.51 * root / reynolds_number)
    return 1 / root**2


def line_loss(
    flow: float, diameter: float, length: float, density: float, viscosity: float, roughness: float
) -> float:
    """Pressure that a full straight line eats, Pa.

    ``flow``: m3/s; ``diameter`` (inside), ``length``, ``roughness``: m; ``density``: kg/m3; ``viscosity``:
    Pa s. Range and source as `friction_factor`.

    >>> round(line_loss(0.001, 0.05, 100.0, 1000.0, 0.001, 4.5e-5))
    6875
    """
    if flow <= 0:
        return 0.0
    factor = friction_factor(reynolds(flow, diameter, density, viscosity), roughness / diameter)
    speed = flow / (math.pi / 4 * diameter**2)
    return factor * length / diameter * density * speed**2 / 2


def valve_drop(flow: float, cv: float, density: float) -> float:
    """Pressure that an open valve eats, Pa. Holds while it is not choked.

    ``flow``: m3/s; ``cv``: US gallons a minute at 1 psi; ``density``: kg/m3. Source: IEC 60534-2-1.

    >>> round(valve_drop(0.001, 10.0, 1000.0))
    17339
    """
    return 1e5 * (flow * 3600 / (KV_OF_CV * cv)) ** 2 * density / WATER_60F


def greatest_flow(eaten: Callable[[float], float], available: float) -> float:
    """Flow, m3/s, at which what is ``eaten`` (Pa, growing with the flow) reaches what is ``available`` (Pa).

    >>> round(greatest_flow(lambda flow: 1e6 * flow**2, 100.0), 6)
    0.01
    """
    high = 1e-6
    while eaten(high) < available and high < NO_LIMIT:
        high *= 2
    low = 0.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if eaten(middle) < available else (low, middle)
    return (low + high) / 2


def _pieces(given: Mapping[str, Value]) -> dict[str, Callable[[float], float]]:
    """What eats pressure as the flow grows, by name: each a function of the flow in m3/s."""
    if ("line_size" in given) != ("line_length" in given):
        raise CannotWork("the loss in the line takes line_size and line_length: give both, or neither")
    density = float(given["density"])
    pieces: dict[str, Callable[[float], float]] = {}
    if "line_size" in given:
        size, length = float(given["line_size"]), float(given["line_length"])
        viscosity, roughness = float(given["viscosity"]) / 1000, float(given["roughness"])
        pieces["line"] = lambda flow: line_loss(flow, size, length, density, viscosity, roughness)
    if "cv" in given:
        cv = float(given["cv"])
        pieces["valve"] = lambda flow: valve_drop(flow, cv, density)
    return pieces


def _range_notes(given: Mapping[str, Value]) -> list[str]:
    """Where the friction factor is out of its range; empty when it is inside, or not asked for."""
    if "line_size" not in given or not float(given.get("flow", 0.0)):
        return []
    size, density = float(given["line_size"]), float(given["density"])
    number = reynolds(float(given["flow"]), size, density, float(given["viscosity"]) / 1000)
    notes = []
    if LAMINAR_BELOW <= number < TURBULENT_ABOVE:
        notes.append("The flow in the line is between smooth and stirred: its loss can be half of this.")
    if number > 1e8 or float(given["roughness"]) > 0.05 * size:
        notes.append("Outside the range of the friction law: take the loss in the line as rough.")
    return notes


def _work(given: Mapping[str, Value]) -> Calculation:
    density, back = float(given["density"]), float(given["back_pressure"])
    vessel, static = Gauge(float(given["vessel_pressure"])), static_pressure(float(given["height"]), density)
    pieces = _pieces(given)
    eaten = {name: piece(float(given["flow"])) for name, piece in pieces.items() if "flow" in given}
    needed = static + back + sum(eaten.values())
    answers = [
        Answer("static", "pressure for the height", static, "psi"),
        *(Answer(f"{name}_loss", f"pressure that the {name} eats", eaten[name], "psi") for name in eaten),
        Answer("needed", "pressure that the vessel must have", needed, "psi"),
        Answer("margin", "what the vessel has over that", vessel - needed, "psi"),
    ]
    liftable = max(vessel - needed + static, 0.0) / (density * GRAVITY)
    answers.append(Answer("height_possible", "height that the vessel can lift it", liftable, "ft"))
    if pieces and vessel > static + back:
        most = greatest_flow(
            lambda flow: sum(piece(flow) for piece in pieces.values()), vessel - static - back
        )
        answers.append(Answer("flow_possible", "flow at which the margin is used up", most, "bbl/d"))
    answers.append(Answer("enough", "enough or too_little", "enough" if vessel >= needed else "too_little"))
    outside = _range_notes(given)
    notes = outside + _notes(given, pieces)
    sources = (HYDROSTATIC, *({"line": DARCY, "valve": IEC}[name] for name in pieces))
    return Calculation("lift", given, tuple(answers), not outside, tuple(notes), sources)


def _notes(given: Mapping[str, Value], pieces: Mapping[str, object]) -> list[str]:
    notes = ["Count the height from the liquid's level in the vessel to the highest point of the line."]
    if "flow" not in given:
        notes.append("No flow was given: what the line and the valve eat is left out, so it needs more.")
    elif "line" not in pieces:
        notes.append("The loss in the line is left out (give line_size and line_length), so it needs more.")
    elif "valve" not in pieces:
        notes.append("The drop over the valve is left out (give cv), so it needs more.")
    if "line" in pieces:
        notes.append(
            "Elbows and valves in the line eat too: add 30 diameters of length for each elbow (from memory)."
        )
    if "valve" in pieces:
        notes.append("Whether the valve chokes is not looked at here; the valve calculator tells.")
    notes.append("Never raise the vessel's pressure past what site procedure allows to make it lift.")
    return notes


LIFT: Final = Calculator(
    "lift",
    "Lift: has the vessel enough pressure to move the liquid where it goes",
    (
        Input("vessel_pressure", "pressure in the vessel", "psi", most=1e8, sheet="vessel.pressure"),
        Input("density", "the liquid", "API", least=300, most=2500, sheet="service.density"),
        Input("height", "height that it must be lifted", "ft", most=3000, sheet="discharge.height"),
        Input("back_pressure", "pressure where it goes", "psi", most=1e8, sheet="discharge.back_pressure"),
        Input("flow", "flow; at least the inflow", "bbl/d", optional=True, most=10, sheet="vessel.inflow"),
        Input(
            "line_size",
            "inside diameter of the line",
            "in",
            optional=True,
            least=0.002,
            most=2,
            sheet="discharge.size",
        ),
        Input(
            "line_length", "its length", "ft", optional=True, least=0.01, most=1e6, sheet="discharge.length"
        ),
        Input(
            "viscosity",
            "viscosity in centipoise (water 1, light oil 2 to 10; usual: common practice)",
            usual=5.0,
            least=0.05,
            most=1e5,
        ),
        Input("roughness", "roughness of the line's wall (usual: clean steel)", "mm", usual=STEEL, most=0.01),
        Input("cv", "Cv of the open valve", optional=True, least=0.001, most=1e5, sheet="valve.cv"),
    ),
    _work,
)
