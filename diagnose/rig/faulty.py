"""What a fault is, and the ways in which faults change a plant."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from diagnose.rig.outlet import flow_out, way_out
from diagnose.rig.plant import Plant, changed

Change = Callable[[Plant, float], Plant]


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with a plant."""

    about: str
    """What is done to the plant, for a reader of the table."""
    change: Change
    """A healthy plant and a severity above 0 up to 1 to the plant that has it."""
    only: str = ""
    """``interface`` when it can only be where two liquids are, ``gas`` when only under gas, else empty."""
    signs: tuple[str, ...] = ()
    """What it leaves to be seen on the parts, however severe it is."""

    def fits(self, plant: Plant) -> bool:
        """Whether such a plant can have it."""
        return not self.only or (self.only == "interface") == (plant.liquids.upper > 0)

    def put_into(self, plant: Plant, severity: float) -> Plant:
        """The plant with the fault; the plant itself at severity 0. `ValueError` outside 0 to 1."""
        if not 0 <= severity <= 1:
            raise ValueError(f"a severity is from 0 to 1, not {severity:g}")
        if not severity:
            return plant
        return replace(self.change(plant, severity), signs=plant.signs.union(self.signs))


def mix(healthy: float, worst: float, severity: float) -> float:
    """From the healthy value to the worst one.

    >>> mix(10.0, 4.0, 0.5)
    7.0
    """
    return healthy + (worst - healthy) * severity


def closing(healthy: float, severity: float, decades: float) -> float:
    """What is left of a conductance or a Cv that is being shut: so many powers of ten less, at last nothing.

    >>> closing(8.0, 0.0, 4), round(closing(8.0, 0.5, 4), 6), closing(8.0, 1.0, 4)
    (8.0, 0.08, 0.0)
    """
    return 0.0 if severity >= 1 else healthy * float(10 ** (-decades * severity))


def put(section: str, **fields: Any) -> Change:
    """A change that gives fields of a section a value, whatever the severity: it is so or it is not."""
    return lambda plant, _: changed(plant, section, **fields)


def grow(section: str, name: str, most: float) -> Change:
    """A change that adds to a field, ``most`` at severity 1."""
    return lambda plant, s: changed(plant, section, **{name: _value(plant, section, name) + most * s})


def scale(section: str, factor: float, *names: str) -> Change:
    """A change that multiplies fields, by ``factor`` at severity 1."""

    def change(plant: Plant, s: float) -> Plant:
        by = mix(1.0, factor, s)
        return changed(plant, section, **{name: _value(plant, section, name) * by for name in names})

    return change


def close(section: str, name: str, decades: float) -> Change:
    """A change that shuts a conductance or an opening, see `closing`.

    As wide as they are made, one is only felt when some powers of ten are gone.
    """
    return lambda plant, s: changed(
        plant, section, **{name: closing(_value(plant, section, name), s, decades)}
    )


def narrow(section: str, name: str, wide: float, decades: float) -> Change:
    """A change that leaves a conductance ``wide`` at the least severity, and so many powers of ten less."""
    return lambda plant, s: changed(
        plant,
        section,
        **{name: min(_value(plant, section, name), wide * float(10 ** (-decades * s)))},
    )


def force(section: str, name: str, share: float) -> Change:
    """A change that adds a force, at severity 1 so many times that which full stroke takes."""
    return lambda plant, s: changed(
        plant, section, **{name: _value(plant, section, name) + share * s * plant.linkage.needed}
    )


def bind(share: float, stick: float = 1.0) -> Change:
    """A change that makes the stem rub: at severity 1 with so many times what the full supply can push."""

    def change(plant: Plant, s: float) -> Plant:
        own = plant.actuator
        rub = own.friction + share * s * plant.pilot.full * own.area
        return changed(plant, "actuator", friction=rub, stick=mix(own.stick, stick, s))

    return change


def all_of(*changes: Change) -> Change:
    """A change made of several."""

    def change(plant: Plant, s: float) -> Plant:
        for each in changes:
            plant = each(plant, s)
        return plant

    return change


def capacity(plant: Plant) -> float:
    """What the plant's valve passes wide open, m3/s."""
    way = way_out(plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere)
    return flow_out(way, 1.0)


def drop(plant: Plant) -> float:
    """Pressure from the vessel to the end of the line, Pa."""
    return way_out(plant.valve, plant.discharge, plant.liquids, plant.vessel.pressure, plant.atmosphere).drop


def _value(plant: Plant, section: str, name: str) -> float:
    return float(getattr(getattr(plant, section), name))
