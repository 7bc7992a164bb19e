"""Density of oil, water, brine and sea water."""

from collections.abc import Mapping
from typing import Final

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input, Value
from diagnose.units import WATER_60F, from_si

KELL: Final = "Kell, J. Chem. Eng. Data 20 (1975) 97 (from memory)"
EOS80: Final = "EOS-80 at one atmosphere, UNESCO Technical Papers in Marine Science 44 (from memory)"
BATZLE_WANG: Final = "Batzle & Wang, Geophysics 57 (1992) 1396 (from memory)"
API_SCALE: Final = "API gravity, its definition"
_C: Final = 273.15


def water_density(temperature: float) -> float:
    """Density of pure water at one atmosphere, kg/m3. Holds from 0 to 150 degC.

    ``temperature``: K. Source: Kell 1975.

    >>> round(water_density(293.15), 1)
    998.2
    """
    t = temperature - _C
    top = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return top / (1 + 16.879850e-3 * t)


def sea_water_density(temperature: float, salinity: float) -> float:
    """Density of sea water at one atmosphere, kg/m3. Holds from -2 to 40 degC and 0 to 42 g/kg.

    ``temperature``: K; ``salinity``: practical salinity, about g/kg. Source: EOS-80.

    >>> round(sea_water_density(278.15, 35.0), 5)
    1027.67547
    """
    t, s = temperature - _C, salinity
    pure = 999.842594 + t * (
        6.793952e-2 + t * (-9.095290e-3 + t * (1.001685e-4 + t * (-1.120083e-6 + t * 6.536332e-9)))
    )
    linear = 0.824493 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    root = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    return float(pure + s * linear + s**1.5 * root + 4.8314e-4 * s * s)


def brine_density(temperature: float, salt: float) -> float:
    """Density of a brine of common salt at one atmosphere, kg/m3. Holds from 20 to 150 degC, to 25 % salt.

    ``temperature``: K; ``salt``: share of the weight. Within 0.2 % of IAPWS-based values at 20 degC.
    Source: Batzle & Wang 1992.

    >>> round(brine_density(293.15, 0.10), 0)
    1069.0
    """
    t, s, p = temperature - _C, salt, 0.101325
    more = (
        0.668 + 0.44 * s + 1e-6 * (300 * p - 2400 * p * s + t * (80 + 3 * t - 3300 * s - 13 * p + 47 * p * s))
    )
    return water_density(temperature) + 1000 * s * more


def _work(given: Mapping[str, Value]) -> Calculation:
    what, temperature = str(given["what"]), float(given["temperature"])
    notes: list[str] = []
    if what == "oil":
        if "density" not in given:
            raise CannotWork("oil needs its density, as `density=35 API` or `density=0.85 SG`")
        density, fits, source = float(given["density"]), True, API_SCALE
        notes.append(
            "Oil is lighter when hot: about 0.04 % for each degF. The number here is as measured at 60 degF."
        )
    elif what == "water":
        density, source = water_density(temperature), KELL
        fits = _C <= temperature <= _C + 150
    elif what == "sea_water":
        salinity = float(given["salt"]) * 1000
        density, source = sea_water_density(temperature, salinity), EOS80
        fits = _C - 2 <= temperature <= _C + 40 and salinity <= 42
    else:
        density, source = brine_density(temperature, float(given["salt"])), BATZLE_WANG
        fits = _C + 20 <= temperature <= _C + 150 and float(given["salt"]) <= 0.25
    if not fits:
        notes.append("Outside the range of the formula: take the number as rough.")
    answers = (
        Answer("density", "density", density, "kg/m3"),
        Answer("specific_gravity", "against water at 60 degF", density / WATER_60F),
        Answer("api", "degrees API", from_si(density, "API")),
    )
    return Calculation("density", given, answers, fits, tuple(notes), (source,))


DENSITY: Final = Calculator(
    "density",
    "Density of oil, water, brine or sea water",
    (
        Input("what", "which liquid", words=("oil", "water", "brine", "sea_water"), usual="oil"),
        Input(
            "density",
            "density of the oil at 60 degF",
            "API",
            optional=True,
            least=300,
            most=1300,
            sheet="service.density",
        ),
        Input(
            "temperature",
            "temperature",
            "degF",
            usual=288.7056,
            least=233.15,
            most=473.15,
            sheet="vessel.temperature",
        ),
        Input("salt", "salt, share of the weight", "%", usual=0.035, most=0.27),
    ),
    _work,
)
