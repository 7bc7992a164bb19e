"""Plants to try things on."""

from dataclasses import replace
from typing import Any, Final

from diagnose.rig.plant import Plant, changed, plant_of
from diagnose.units import to_si

PAIRINGS: Final = (
    ("snap", "direct", "closed"),
    ("snap", "indirect", "open"),
    ("throttle", "direct", "closed"),
    ("throttle", "indirect", "open"),
)
"""(Action, acting, fail position) of the four that dump the right way round."""
WATER: Final[dict[str, Any]] = {
    "vessel.orientation": "horizontal",
    "vessel.diameter": to_si(30, "in"),
    "vessel.length": to_si(8, "ft"),
    "vessel.level": to_si(14, "in"),
    "vessel.inflow": to_si(300, "bbl/d"),
    "service.liquid": "water",
}
INTERFACE: Final[dict[str, Any]] = {
    **WATER,
    "vessel.level": to_si(10, "in"),
    "service.liquid": "interface",
    "displacer.diameter": to_si(4, "in"),
    "displacer.length": to_si(10, "in"),
    "displacer.hung": "flat",
}


def sheet(pairing: tuple[str, str, str] = PAIRINGS[0], **more: Any) -> dict[str, Any]:
    """The values of a water sheet for a pairing; ``more`` by part__field."""
    action, acting, fails = pairing
    named = {name.replace("__", "."): value for name, value in more.items()}
    return {
        **WATER,
        "controller.action": action,
        "controller.acting": acting,
        "valve.fails": fails,
        **named,
    }


def steady(plant: Plant) -> Plant:
    """The plant with nothing that makes noise or rubs."""
    smooth = changed(plant, "inflow", noise=0.0, swing=0.0)
    smooth = changed(smooth, "shaft", friction=0.0)
    return changed(smooth, "actuator", friction=0.0)


def tank(pairing: tuple[str, str, str], **more: Any) -> Plant:
    """A standing vessel with flat ends and nothing that rubs: what comes in shows in the level alone."""
    plant = plant_of(
        sheet(
            pairing,
            vessel__orientation="vertical",
            vessel__heads="flat",
            vessel__diameter=1.0,
            vessel__length=3.0,
            vessel__level=1.5,
            **more,
        )
    )
    return steady(plant)


def wide_line(plant: Plant) -> Plant:
    """The plant with a discharge that eats nothing but its height and back pressure."""
    return replace(plant, discharge=replace(plant.discharge, line_cv=1e6, block_cv=1e6))
