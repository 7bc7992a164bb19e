"""Supply: the gas that strokes use, and the gas that leaks use.

Gas volumes are standard ones, at 60 degF and 14.696 psia, of an ideal gas. A hole is a short nozzle without
friction times a discharge coefficient; from a certain pressure on the gas leaves at the speed of sound.
"""

import math
from collections.abc import Iterator, Mapping
from typing import Final

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input, Value
from diagnose.units import Absolute, Gauge, absolute, to_si

GAS_CONSTANT: Final = 8.314462618
"""J/(mol K), CODATA 2018 (from memory)."""
AIR_MOLAR_MASS: Final = 0.0289647
"""kg/mol of dry air (from memory); a gas of gravity 0.6 has 0.6 of it."""
STANDARD_PRESSURE: Final = Absolute(101_325.0)
STANDARD_TEMPERATURE: Final = 288.7056
"""K, 60 degF."""
HEAT_RATIO: Final = {"field_gas": 1.27, "air": 1.4}
"""Ratio of the specific heats: natural gas (common practice), air."""
SHARP_HOLE: Final = 0.84
"""Discharge coefficient of a sharp hole at the speed of sound (Perry 1949, from memory)."""
MOST_IDEAL: Final = 1.1e6
"""Pa absolute: about 145 psi gauge; methane is within 3 % of ideal up to here."""
LOW_BLEED: Final = 6.0
"""scf/h, the most that a low-bleed device may lose."""
FACTORS: Final = {"low": 6.8, "high": 21.0, "intermittent": 8.8}
"""scf/h of whole gas for a device, as reported now."""
FORMER_FACTORS: Final = {"low": 1.39, "high": 37.3, "intermittent": 13.5}
NOZZLE: Final = "isentropic flow of an ideal gas (NACA Report 1135)"
TABLE: Final = "40 CFR 98 Subpart W, Table W-1 (2025)"
FORMER_TABLE: Final = "former Table W-1A of the same"
LIMIT: Final = "40 CFR 60.5390(c)(1)"
YEAR: Final = 365 * 86400.0
_SCFH: Final = to_si(1.0, "scf/h")


def standard_volume(volume: float, pressure: Absolute, temperature: float) -> float:
    """Standard volume of a gas, m3. Holds for an ideal gas.

    ``volume``: m3; ``pressure``: Pa absolute; ``temperature``: K. Source: ideal gas.

    >>> round(standard_volume(1.0, Absolute(202650.0), 288.7056), 6)
    2.0
    """
    return volume * pressure / STANDARD_PRESSURE * STANDARD_TEMPERATURE / temperature


def stroke_gas(
    swept: float, fixed: float, pressure: Gauge, atmosphere: Absolute, temperature: float
) -> float:
    """Gas that one stroke and its venting use, m3 standard. Holds for an ideal gas.

    ``swept``: m3 that the diaphragm opens up, filled from nothing; ``fixed``: m3 of line and case, filled
    from the atmosphere's pressure up to ``pressure`` (Pa gauge); ``temperature``: K. Source: ideal gas.

    >>> round(stroke_gas(0.001, 0.001, Gauge(101325.0), Absolute(101325.0), 288.7056), 6)
    0.003
    """
    high = absolute(pressure, atmosphere)
    return standard_volume(swept, high, temperature) + standard_volume(
        fixed, Absolute(high - atmosphere), temperature
    )


def critical_ratio(heat_ratio: float) -> float:
    """Outlet over inlet pressure (absolute) under which a gas leaves at the speed of sound.

    ``heat_ratio``: above 1 to 1.67. Source: isentropic flow.

    >>> round(critical_ratio(1.4), 4)
    0.5283
    """
    return float((2 / (heat_ratio + 1)) ** (heat_ratio / (heat_ratio - 1)))


def mass_flow(
    area: float,
    inlet: Absolute,
    outlet: Absolute,
    temperature: float,
    molar_mass: float,
    heat_ratio: float,
    compressibility: float = 1.0,
) -> float:
    """Mass flow of a gas through a frictionless hole, kg/s; times a discharge coefficient for a real one.

    ``area``: m2; ``inlet`` (at rest) and ``outlet``: Pa absolute; ``temperature`` of the inlet: K;
    ``molar_mass``: kg/mol; ``heat_ratio`` above 1. Holds where the gas is near ideal.
    Source: isentropic flow.

    >>> round(mass_flow(1e-6, Absolute(3e5), Absolute(1e5), 288.15, 0.02896, 1.4) * 3600, 3)
    2.571
    """
    if outlet >= inlet:
        return 0.0
    k = heat_ratio
    ratio = max(outlet / inlet, critical_ratio(k))
    flux = 2 * k / (k - 1) * (ratio ** (2 / k) - ratio ** ((k + 1) / k))
    density_over_pressure = molar_mass / (compressibility * GAS_CONSTANT * temperature)
    return float(area * inlet * math.sqrt(density_over_pressure * flux))


def hole_loss(
    diameter: float,
    pressure: Gauge,
    atmosphere: Absolute,
    temperature: float,
    gravity: float,
    heat_ratio: float,
    coefficient: float,
) -> float:
    """Gas that a round hole loses to the atmosphere, m3/s standard. Holds to about 145 psi gauge.

    ``diameter``: m; ``pressure``: Pa gauge; ``temperature``: K; ``gravity`` against air; ``coefficient``: of
    discharge. Source: isentropic flow.

    >>> loss = hole_loss(0.0015875, Gauge(206843.0), Absolute(101325.0), 288.7056, 0.65, 1.27, 0.84)
    >>> round(loss * 3600 / 0.3048**3)  # scf/h through 1/16 in at 30 psi
    152
    """
    mass = gravity * AIR_MOLAR_MASS
    area = coefficient * math.pi / 4 * diameter**2
    flow = mass_flow(area, absolute(pressure, atmosphere), atmosphere, temperature, mass, heat_ratio)
    return flow * GAS_CONSTANT * STANDARD_TEMPERATURE / (STANDARD_PRESSURE * mass)


def leak_down(volume: float, start: Gauge, end: Gauge, seconds: float, temperature: float) -> float:
    """Mean loss of a closed volume whose gauge falls, m3/s standard. Holds at a steady temperature.

    ``volume``: m3; ``start``, ``end``: Pa gauge (the atmosphere drops out); ``temperature``: K.
    Source: ideal gas.

    >>> round(leak_down(0.01, Gauge(202650.0), Gauge(101325.0), 10.0, 288.7056), 6)
    0.001
    """
    return standard_volume(volume, Absolute(start - end), temperature) / seconds


def _number(given: Mapping[str, Value], name: str) -> float | None:
    return float(given[name]) if name in given else None


def _stroke(given: Mapping[str, Value]) -> float | None:
    """Gas for one stroke as far as the volumes are known; None when none is."""
    area, travel = _number(given, "area"), _number(given, "travel")
    size, length = _number(given, "line_size"), _number(given, "line_length")
    swept = area * travel if area and travel else None
    line = math.pi / 4 * size**2 * length if size and length else None
    if swept is None:
        return None
    fixed = (line or 0.0) + float(given["dead_volume"])
    places = Absolute(float(given["atmosphere"])), float(given["temperature"])
    return stroke_gas(swept, fixed, Gauge(float(given["pressure"])), *places)


def _test(given: Mapping[str, Value]) -> float | None:
    """Loss from a leak-down test, when there was one."""
    names = ("test_volume", "test_start", "test_end", "test_time")
    there = [name for name in names if name in given]
    if not there:
        return None
    if len(there) < len(names):
        lacking = ", ".join(name for name in names if name not in given)
        raise CannotWork(f"a leak-down test takes all four of {', '.join(names)}: add {lacking}")
    volume, start, end, seconds = (float(given[name]) for name in names)
    if end > start:
        raise CannotWork(
            "test_end must not be above test_start: a leak lets the gauge fall. Change them round"
        )
    return leak_down(volume, Gauge(start), Gauge(end), seconds, float(given["temperature"]))


def _hole(given: Mapping[str, Value], diameter: float) -> float:
    medium = str(given["medium"])
    gravity = 1.0 if medium == "air" else float(given["gas_gravity"])
    place = Gauge(float(given["pressure"])), Absolute(float(given["atmosphere"]))
    rest = gravity, HEAT_RATIO[medium], float(given["coefficient"])
    return hole_loss(diameter, *place, float(given["temperature"]), *rest)


def _answers(given: Mapping[str, Value]) -> Iterator[Answer]:
    field_gas = given["medium"] == "field_gas"
    stroke, hole, cycles = _stroke(given), _number(given, "hole"), _number(given, "cycles")
    test = _test(given)
    strokes = stroke * cycles / 86400 if stroke is not None and cycles is not None else None
    leak = _hole(given, hole) if hole is not None else test
    if stroke is not None:
        yield Answer("per_stroke", "gas for one stroke", stroke, "scf")
    if strokes is not None:
        yield Answer("strokes", "gas for the strokes", strokes, "scf/d")
    if hole is not None:
        yield Answer("hole_loss", "lost through the hole all the time", _hole(given, hole), "scf/h")
    if test is not None:
        yield Answer("test_loss", "lost in the leak-down test", test, "scf/h")
    if leak is not None and field_gas:
        yield Answer("bleed", "the loss is low or high", "low" if leak <= LOW_BLEED * _SCFH else "high")
    if strokes is not None or leak is not None:
        total = (strokes or 0.0) + (leak or 0.0)
        yield Answer("total", "strokes and loss together", total, "scf/h")
        yield Answer("yearly", "the same in a year", total * YEAR, "Mscf")
        if field_gas:
            for kind, factor in FACTORS.items():
                yield Answer(f"of_{kind}", f"total over the {kind} device factor", total / factor / _SCFH)
    per_area = _hole(given, 1.0)
    if per_area > 0:
        size = math.sqrt(LOW_BLEED * _SCFH / per_area)
        yield Answer("hole_at_6_scfh", "hole that loses 6 scf/h at this pressure", size, "in")


def _told(factors: Mapping[str, float]) -> str:
    return ", ".join(f"{kind} {factor:g}" for kind, factor in factors.items())


def _notes(given: Mapping[str, Value], answers: Mapping[str, Value]) -> Iterator[str]:
    ratio = critical_ratio(HEAT_RATIO[str(given["medium"])])
    air = float(given["atmosphere"])
    if air / (float(given["pressure"]) + air) <= ratio:
        yield "A leak leaves at the speed of sound: what it loses grows with the absolute pressure."
    else:
        yield "The pressure is low: a leak leaves slower than sound."
    if "per_stroke" in answers and "line_size" not in given:
        yield "The line to the valve is not known: its gas is left out. It can be more than the actuator's."
    if "hole_loss" in answers and "test_loss" in answers:
        yield "Hole and test are two looks at a loss. The total takes the hole, not the test."
    if "test_loss" in answers:
        yield "The test gives the mean between its two readings. At the full pressure it loses somewhat more."
    if answers.get("bleed") == "high":
        yield f"High: over 6 scf/h ({LIMIT}). Look at seats, diaphragm and fittings."
    if answers.get("bleed") == "low":
        yield f"Low: not over 6 scf/h ({LIMIT})."
    if "total" in answers and given["medium"] == "field_gas":
        yield f"Device factors, scf/h: {_told(FACTORS)}; formerly {_told(FORMER_FACTORS)}."
        yield "Vented field gas burns and can hold H2S. Use a gas monitor; site procedure comes first."


def _work(given: Mapping[str, Value]) -> Calculation:
    answers = tuple(_answers(given))
    notes = list(_notes(given, {answer.name: answer.value for answer in answers}))
    fits = float(given["pressure"]) + float(given["atmosphere"]) <= MOST_IDEAL
    if not fits:
        notes.append("The pressure is beyond the range of the formulas: take the numbers as rough.")
    sources = (NOZZLE, TABLE, FORMER_TABLE, LIMIT)
    return Calculation("supply", given, answers, fits, tuple(notes), sources)


def _optional(name: str, about: str, unit: str, most: float, sheet: str = "") -> Input:
    return Input(name, about, unit, optional=True, most=most, sheet=sheet)


SUPPLY: Final = Calculator(
    "supply",
    "Supply gas: what strokes and leaks use",
    (
        Input(
            "medium",
            "gas or air",
            words=("field_gas", "air"),
            usual="field_gas",
            sheet="supply.medium",
        ),
        Input("pressure", "supply pressure", "psi", least=0.0, most=7e6, sheet="controller.supply_set"),
        _optional("area", "area of the diaphragm", "in2", 1.0, "valve.actuator_area"),
        _optional("travel", "travel of the stem", "in", 0.3, "valve.travel"),
        _optional("line_size", "inside diameter of the line to the valve", "in", 0.1, "output_line.size"),
        _optional("line_length", "its length", "ft", 1000.0, "output_line.length"),
        Input("dead_volume", "volume of the case when the valve stands at rest", "in3", usual=0.0, most=0.1),
        _optional("cycles", "dumps in a day", "", 1e5),
        _optional("hole", "diameter of a hole, or of a worn seat's gap taken as a hole", "in", 0.05),
        Input("coefficient", "discharge coefficient of the hole", usual=SHARP_HOLE, least=0.1, most=1.0),
        _optional("test_volume", "volume that was blocked in for a leak-down test", "in3", 100.0),
        _optional("test_start", "gauge at the start of the test", "psi", 7e6),
        _optional("test_end", "gauge at its end", "psi", 7e6),
        Input("test_time", "time between the two", "min", optional=True, least=1.0, most=1e7),
        Input(
            "gas_gravity",
            "gravity of the gas against air",
            usual=0.65,
            least=0.5,
            most=2.0,
            sheet="supply.gas_gravity",
        ),
        Input("temperature", "temperature of the gas", "degF", usual=288.7056, least=220.0, most=400.0),
        Input(
            "atmosphere",
            "pressure of the air there",
            "psia",
            usual=101_325.0,
            least=4e4,
            most=1.1e5,
            sheet="place.atmosphere",
        ),
    ),
    _work,
)
