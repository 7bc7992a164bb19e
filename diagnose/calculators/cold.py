"""Cold: how far the gas cools at the supply regulator, and whether ice or hydrate can form there.

The gas cools along its way from the upstream pressure down to the set one, and the temperature at which
hydrate forms falls along the same way. Hydrate is looked for at every pressure between.
"""

import math
from collections.abc import Iterator, Mapping
from typing import Final

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input, Value
from diagnose.units import Absolute, Gauge, absolute, from_si, to_si

RULE: Final = "about 7 degF for each 100 psi of natural gas, SPE PetroWiki"
MOTIEE: Final = (
    "hydrate temperature: Motiee 1991, as K. Abdel Fattah gives it, Oil and Gas Business 2004 no. 2"
)
DEW_POINT: Final = "ANSI/ISA-7.0.01-1996, pressure dew point (from memory)"
COOLING: Final = 7 * 5 / 9 / (100 * 6894.757293168)
"""K for each Pa."""
ICE_POINT: Final = 273.15
GRAVITIES: Final = (0.554, 1.0)
"""From pure methane to the heaviest line of the chart that the correlation was fitted to (from memory)."""
HYDRATE_PRESSURES: Final = (to_si(50.0, "psia"), to_si(4000.0, "psia"))
"""Pressures of that chart (from memory). Under the lower one hydrate needs colder than ice does."""
MOST_UPSTREAM: Final = to_si(1000.0, "psi")
"""Pa gauge up to which the cooling rule was held against pure methane here."""
_STEPS: Final = 60


def regulated_temperature(temperature: float, upstream: Gauge, regulated: Gauge) -> float:
    """Temperature of natural gas after a regulator, K. Held against methane to 1000 psi upstream.

    ``temperature`` before it: K; ``upstream``, ``regulated``: Pa gauge (of one site, the atmosphere drops
    out). It over-predicts the cooling of lean gas: methane cools by about 6 degF for each 100 psi.
    Source: SPE PetroWiki.

    >>> after = regulated_temperature(to_si(60, "degF"), Gauge(to_si(300, "psi")), Gauge(to_si(100, "psi")))
    >>> round(from_si(after, "degF"), 6)
    46.0
    """
    return temperature - COOLING * (upstream - regulated)


def hydrate_temperature(pressure: Absolute, gravity: float) -> float:
    """Temperature under which wet natural gas forms hydrate, K. Holds for gravity 0.554 to 1.

    ``pressure``: Pa absolute, about 50 to 4000 psia; ``gravity`` against air. Source: Motiee 1991.

    >>> round(from_si(hydrate_temperature(Absolute(to_si(480, "psia")), 0.60), "degF"), 1)
    46.1
    """
    x, g = math.log10(from_si(pressure, "psia")), gravity
    degrees = (
        -238.24469 + 78.99667 * x - 5.352544 * x * x + 349.473877 * g - 150.854675 * g * g - 27.604065 * g * x
    )
    return to_si(degrees, "degF")


def hydrate_margin(
    temperature: float, upstream: Gauge, regulated: Gauge, atmosphere: Absolute, gravity: float
) -> float | None:
    """Least distance of the gas above its hydrate temperature on the way through the regulator, K.

    ``temperature`` before it: K; ``upstream``, ``regulated``: Pa gauge; negative where hydrate can form,
    None where all of the way is under 50 psia. Range and sources: as `regulated_temperature` and
    `hydrate_temperature`.

    >>> warm, high, low = to_si(60, "degF"), Gauge(to_si(465.3, "psi")), Gauge(to_si(465.3, "psi"))
    >>> margin = hydrate_margin(warm, high, low, Absolute(to_si(14.7, "psia")), 0.60)
    >>> round((margin or 0.0) * 9 / 5, 1)
    13.9
    """
    distances = []
    lowest = max(float(regulated), HYDRATE_PRESSURES[0] - atmosphere)
    if upstream < lowest:
        return None
    for step in range(_STEPS + 1):
        pressure = Gauge(lowest + (upstream - lowest) * step / _STEPS)
        here = regulated_temperature(temperature, upstream, pressure)
        distances.append(here - hydrate_temperature(absolute(pressure, atmosphere), gravity))
    return min(distances)


def dew_point_limit(coldest: float) -> float:
    """Highest pressure dew point that instrument air may have, K.

    ``coldest`` that the system sees: K; 10 K (18 degF) under it, and never over 4 degC. Source: ISA-7.0.01.

    >>> round(dew_point_limit(268.15) - 273.15, 2), round(dew_point_limit(300.0) - 273.15, 2)
    (-15.0, 4.0)
    """
    return min(coldest - 10.0, ICE_POINT + 4.0)


def _gas(given: Mapping[str, Value]) -> tuple[list[Answer], list[str], bool]:
    """Answers, notes and whether they are in range, for field gas."""
    upstream, regulated = Gauge(float(given["upstream"])), Gauge(float(given["regulated"]))
    atmosphere, gravity = Absolute(float(given["atmosphere"])), float(given["gas_gravity"])
    ambient = float(given["ambient"])
    before = float(given.get("gas_temperature", ambient))
    after = regulated_temperature(before, upstream, regulated)
    ice = min(after, ambient) - ICE_POINT
    hydrate = hydrate_margin(before, upstream, regulated, atmosphere, gravity)
    margin = ice if hydrate is None else min(ice, hydrate)
    answers = [Answer("regulated_temperature", "gas after the regulator", after, "degF")]
    for name, place, pressure in (("upstream", "before", upstream), ("regulated", "after", regulated)):
        if absolute(pressure, atmosphere) >= HYDRATE_PRESSURES[0]:
            forms = hydrate_temperature(absolute(pressure, atmosphere), gravity)
            about = f"hydrate forms under this, {place} the regulator"
            answers.append(Answer(f"hydrate_{name}", about, forms, "degF"))
    answers.append(Answer("ice_margin", "degF from the coldest place down to ice", ice * 9 / 5))
    if hydrate is not None:
        answers.append(Answer("hydrate_margin", "degF from the gas down to hydrate, least", hydrate * 9 / 5))
    answers += [
        Answer("margin", "the lesser of the two, degF; below zero it can freeze", margin * 9 / 5),
        Answer("freezing", "likely or unlikely", "likely" if margin <= 0 else "unlikely"),
    ]
    notes = list(_gas_notes(given, after, margin, hydrate))
    left = list(_left(absolute(upstream, atmosphere), upstream, gravity))
    return answers, notes + left, not left


def _left(highest: Absolute, upstream: Gauge, gravity: float) -> Iterator[str]:
    """A sentence for each range that is left."""
    if highest > HYDRATE_PRESSURES[1]:
        yield "The pressure lies beyond the hydrate formula: take the hydrate as rough."
    if not GRAVITIES[0] <= gravity <= GRAVITIES[1]:
        yield "The gravity lies outside the hydrate formula: take the hydrate as rough."
    if upstream > MOST_UPSTREAM:
        yield "Above 1000 psi the cooling rule is rough."


def _gas_notes(
    given: Mapping[str, Value], after: float, margin: float, hydrate: float | None
) -> Iterator[str]:
    yield "Cooling by the rule of 7 degF for each 100 psi. Lean gas cools less, about 6: the rule is careful."
    if "gas_temperature" not in given:
        yield "The gas is taken to be as cold as the place before it reaches the regulator."
    if float(given["ambient"]) <= ICE_POINT:
        yield "It gets below freezing there: water in tubes and drip pots freezes by itself."
    if after <= ICE_POINT:
        yield "The gas comes out below freezing: water in it turns to ice at the regulator."
    if hydrate is not None and hydrate <= 0:
        yield "Hydrate can form in the regulator, even above 32 degF."
    if float(given["regulated"]) + float(given["atmosphere"]) < HYDRATE_PRESSURES[0]:
        yield "Under 50 psia hydrate needs colder than freezing water does: there ice decides."
    if margin <= 0:
        yield (
            "Ice and hydrate need water: dry gas does not freeze. Do not loosen a plug with pressure on one "
            "side of it; site procedure comes first."
        )


def _air(given: Mapping[str, Value]) -> tuple[list[Answer], list[str], bool]:
    """Answers, notes and whether they are in range, for instrument air."""
    ambient = float(given["ambient"])
    answers = [
        Answer("dew_point_limit", "highest dew point the air may have", dew_point_limit(ambient), "degF")
    ]
    notes = [
        "Instrument air: its pressure dew point is what counts, 18 degF under the coldest and never over 39."
    ]
    if "dew_point" not in given:
        notes.append("Measure the dew point at the supply: without it nobody can tell whether it freezes.")
        return answers, notes, True
    dew_point = float(given["dew_point"])
    wet = ambient <= ICE_POINT and dew_point >= ambient
    answers += [
        Answer(
            "dew_point_fits", "the dew point is not over the limit", dew_point <= dew_point_limit(ambient)
        ),
        Answer("margin", "degF that the coldest is above the dew point", (ambient - dew_point) * 9 / 5),
        Answer("freezing", "likely or unlikely", "likely" if wet else "unlikely"),
    ]
    if dew_point > dew_point_limit(ambient):
        notes.append("The air is too wet. Look at the dryer, and drain the low points.")
    return answers, notes, True


def _work(given: Mapping[str, Value]) -> Calculation:
    if given["medium"] == "air":
        answers, notes, fits = _air(given)
        sources: tuple[str, ...] = (DEW_POINT,)
    else:
        if float(given["upstream"]) < float(given["regulated"]):
            raise CannotWork("upstream must not be below regulated: change the two round, or read both again")
        answers, notes, fits = _gas(given)
        sources = (RULE, MOTIEE)
    return Calculation("cold", given, tuple(answers), fits, tuple(notes), sources)


COLD: Final = Calculator(
    "cold",
    "Cold at the supply regulator: cooling, hydrate, ice",
    (
        Input("medium", "gas or air", words=("field_gas", "air"), usual="field_gas", sheet="supply.medium"),
        Input("upstream", "pressure before the regulator", "psi", most=4e7, sheet="supply.upstream"),
        Input("regulated", "pressure after it", "psi", most=4e7, sheet="controller.supply_set"),
        Input(
            "ambient", "coldest that it gets there", "degF", least=200.0, most=350.0, sheet="supply.ambient"
        ),
        Input(
            "gas_temperature",
            "temperature of the gas before the regulator",
            "degF",
            optional=True,
            least=200.0,
            most=450.0,
            sheet="supply.gas_temperature",
        ),
        Input("dew_point", "pressure dew point of the air", "degF", optional=True, least=150.0, most=350.0),
        Input(
            "gas_gravity",
            "gravity of the gas against air",
            usual=0.65,
            least=0.5,
            most=2.0,
            sheet="supply.gas_gravity",
        ),
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
