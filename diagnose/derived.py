"""What follows from a sheet's fields by one step of arithmetic, under names of its own."""

from collections.abc import Mapping
from typing import Final

SEA_LEVEL: Final = 101_325.0
STANDARD_GRAVITY: Final = 9.80665

DERIVED_FROM: Final = {
    "derived.downstream": ("discharge.back_pressure",),
    "derived.drop": ("vessel.pressure", "discharge.back_pressure"),
}
"""The sheet's fields that each derived value cannot do without."""


def atmosphere_at(elevation: float) -> float:
    """Pressure of the standard atmosphere, Pa absolute. Holds to 11,000 m.

    ``elevation``: m above the sea. Source: ISO 2533 standard atmosphere (from memory).

    >>> round(atmosphere_at(0.0)), round(atmosphere_at(1000.0))
    (101325, 89875)
    """
    return float(SEA_LEVEL * (1 - 2.25577e-5 * elevation) ** 5.25588)


def derived(values: Mapping[str, float | str]) -> dict[str, float | str]:
    """The sheet's values, by field in SI, and what follows from them.

    ``place.atmosphere`` from the elevation where it is not given; ``derived.downstream``, the pressure right
    after the valve, from the back pressure and the height that the line climbs; ``derived.drop``, the drop
    over the shut valve.
    """
    found = dict(values)
    if "place.atmosphere" not in found and "place.elevation" in found:
        found["place.atmosphere"] = atmosphere_at(float(found["place.elevation"]))
    if "discharge.back_pressure" in found:
        height, density = (float(found.get(name, 0.0)) for name in ("discharge.height", "service.density"))
        downstream = float(found["discharge.back_pressure"]) + density * STANDARD_GRAVITY * height
        found["derived.downstream"] = downstream
        if "vessel.pressure" in found:
            found["derived.drop"] = max(0.0, float(found["vessel.pressure"]) - downstream)
    return found
