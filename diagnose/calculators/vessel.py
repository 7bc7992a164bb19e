"""The vessel: what it holds, how long the liquid stays, and the minutes to its trips and to gas blow-by."""

import math
from collections.abc import Mapping
from typing import Final, NamedTuple

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input, Value
from diagnose.calculators.vessel_volume import (
    JONES,
    Shape,
    full_volume,
    level_at,
    shape_of,
    top_of,
    volume_at,
)
from diagnose.units import from_si

API_12J: Final = "API Spec 12J, 7th edition, retention times (rows quoted from memory)"


class Guidance(NamedTuple):
    """Retention time that the guidance asks for, s."""

    least: float
    most: float
    in_range: bool
    """False when the case lies outside the table and the nearest row was taken."""


def retention_time(volume: float, flow: float) -> float:
    """Time that liquid stays in a vessel, s; infinite when nothing flows.

    ``volume``: m3 held; ``flow``: m3/s through it. Source: conservation of volume.

    >>> retention_time(1.2, 0.01)
    120.0
    """
    return volume / flow if flow > 0 else math.inf


def retention_guidance(density: float, temperature: float, phases: str) -> Guidance:
    """Retention time that API Spec 12J gives as guidance.

    ``density`` of the oil: kg/m3; ``temperature``: K (three phases only); ``phases``: two or three. Two
    phases: above 35 API 1 min, 20 to 30 1-2 min, 10 to 20 2-4 min. Three phases: above 35 API 3-5 min, else
    5-10 min at 100 degF and over, 10-20 at 80, 20-30 at 60. Between two rows the longer one is taken.

    >>> [each / 60 for each in retention_guidance(849.0, 300.0, "three")[:2]]
    [3.0, 5.0]
    """
    api, warmth = round(from_si(density, "API"), 6), round(from_si(temperature, "degF"), 6)
    fits = api >= 10
    if phases == "two":
        row = (1, 1) if api > 35 else (1, 2) if api >= 20 else (2, 4)
    elif api > 35:
        row = (3, 5)
    else:
        row = (5, 10) if warmth >= 100 else (10, 20) if warmth >= 80 else (20, 30)
        fits = fits and warmth >= 60
    return Guidance(row[0] * 60.0, row[1] * 60.0, fits)


def time_to(shape: Shape, level: float, goal: float, net: float) -> float:
    """Time until the level reaches a goal, s; 0 when it is there or past it, infinite when it stays away.

    ``level``, ``goal``: m from the bottom; ``net``: m3/s, inflow less outflow, steady. With ``net`` above
    zero the goal is one to rise to, below zero one to fall to. Source: conservation of volume.

    >>> shape = shape_of("vertical", 2.0, 5.0, "flat")
    >>> round(time_to(shape, 1.0, 2.0, 0.01), 1), round(time_to(shape, 1.0, 0.5, -0.01), 1)
    (314.2, 157.1)
    """
    if net == 0:
        return 0.0 if level == goal else math.inf
    return max((volume_at(shape, goal) - volume_at(shape, level)) / net, 0.0)


def shape_in(given: Mapping[str, Value]) -> Shape:
    """The vessel, once every height has been found to lie inside it."""
    depth = float(given["head_depth"]) if "head_depth" in given else None
    shape = shape_of(
        str(given["orientation"]),
        float(given["diameter"]),
        float(given["length"]),
        str(given["heads"]),
        depth,
    )
    top = top_of(shape)
    for name in ("level", "high_trip", "low_trip", "outlet_height"):
        if name in given and float(given[name]) > top * (1 + 1e-9):
            raise CannotWork(
                f"{name} is above the top of the vessel, {from_si(top, 'in'):.4g} in: heights are from its "
                f"bottom, so mend {name} or the vessel's size"
            )
    if "high_trip" in given and "low_trip" in given and float(given["low_trip"]) >= float(given["high_trip"]):
        raise CannotWork("low_trip must be below high_trip: change the two round, or read them again")
    return shape


def _held(given: Mapping[str, Value], shape: Shape) -> list[Answer]:
    """What the vessel holds at its level, and the level at which it holds a wanted volume."""
    level, whole = float(given["level"]), full_volume(shape)
    held = volume_at(shape, level)
    answers = [
        Answer("volume", "liquid at that level", held, "bbl"),
        Answer("full_volume", "the whole vessel", whole, "bbl"),
        Answer("share", "how full it is", held / whole, "%"),
    ]
    if "span" in given:
        span = float(given["span"])
        if span > level:
            raise CannotWork("span is more than level: the level cannot fall so far, mend span or level")
        answers.append(
            Answer("dump_volume", "liquid in one dump", held - volume_at(shape, level - span), "bbl")
        )
    if "wanted_volume" in given:
        wanted = float(given["wanted_volume"])
        if wanted > whole:
            raise CannotWork(
                f"wanted_volume is more than the whole vessel, {from_si(whole, 'bbl'):.4g} bbl: mend it or "
                "the vessel's size"
            )
        answers.append(Answer("level_at_volume", "level at that volume", level_at(shape, wanted), "in"))
    return answers


def _retention(given: Mapping[str, Value], held: float) -> tuple[list[Answer], list[str], bool]:
    """(Answers, notes, whether the guidance's table covers the case)."""
    if "inflow" not in given or not float(given["inflow"]):
        return [], [], True
    stays = retention_time(held, float(given["inflow"]))
    answers = [Answer("retention", "time that the liquid stays", stays, "min")]
    if "density" not in given:
        return answers, ["Give the oil's density to compare the retention time with the guidance."], True
    asked = retention_guidance(float(given["density"]), float(given["temperature"]), str(given["phases"]))
    answers += [
        Answer("guidance_least", "guidance, from", asked.least, "min"),
        Answer("guidance_most", "guidance, to", asked.most, "min"),
        Answer(
            "retention_is", "enough or short of the guidance", "enough" if stays >= asked.least else "short"
        ),
    ]
    notes = ["The retention guidance is API Spec 12J's. Foam, emulsion or sand ask for more."]
    if given["phases"] == "three":
        notes.append("With three phases, oil and water each need that time in their own layer.")
    if not asked.in_range:
        notes.append("The oil is heavier or colder than the guidance's table: its last row is shown.")
    return answers, notes, asked.in_range


def _minutes(given: Mapping[str, Value], shape: Shape) -> tuple[list[Answer], list[str]]:
    """(Minutes to the trips and to blow-by, notes); empty when neither flow is given."""
    if "inflow" not in given and "outflow" not in given:
        return [], ["Give inflow and outflow to get the minutes to the trips."]
    inflow, outflow = float(given.get("inflow", 0.0)), float(given.get("outflow", 0.0))
    level, net = float(given["level"]), inflow - outflow
    answers = [Answer("net", "inflow less outflow", net, "bbl/d")]
    notes = [
        f"No {name} was given: it is taken as nothing." for name in ("inflow", "outflow") if name not in given
    ]
    goals = {
        "to_high_trip": ("time to the high trip", given.get("high_trip"), net > 0),
        "to_low_trip": ("time to the low trip", given.get("low_trip"), net < 0),
        "to_blow_by": ("time until gas goes out of the liquid outlet", given["outlet_height"], net < 0),
    }
    for name, (about, goal, on_its_way) in goals.items():
        if goal is not None and on_its_way:
            answers.append(Answer(name, about, time_to(shape, level, float(goal), net), "min"))
    if net == 0:
        notes.append("As much goes out as comes in: the level stays.")
    if net < 0:
        notes.append("A whirl over the outlet can draw gas sooner than the time to blow-by.")
    notes += _past(given, level)
    notes.append(
        "The minutes hold for the flows of now; a slug shortens them. Never defeat a trip; site procedure "
        "comes first."
    )
    return answers, notes


def _past(given: Mapping[str, Value], level: float) -> list[str]:
    """What the level has passed already."""
    notes = []
    if "high_trip" in given and level >= float(given["high_trip"]):
        notes.append("The level is at or above the high trip now.")
    if "low_trip" in given and level <= float(given["low_trip"]):
        notes.append("The level is at or below the low trip now.")
    if level <= float(given["outlet_height"]):
        notes.append("The liquid outlet is uncovered now: gas can go to the tank. Keep clear of its vents.")
    return notes


def _work(given: Mapping[str, Value]) -> Calculation:
    shape = shape_in(given)
    answers = _held(given, shape)
    stays, told, fits = _retention(given, volume_at(shape, float(given["level"])))
    minutes, more = _minutes(given, shape)
    notes = (
        *more,
        *told,
        "Heights are from the vessel's bottom inside. What stands inside is not taken off.",
    )
    sources = (JONES, API_12J) if len(stays) > 1 else (JONES,)
    return Calculation("vessel", given, (*answers, *minutes, *stays), fits, notes, sources)


_INPUTS: Final = (
    Input("orientation", "how it lies", words=("horizontal", "vertical"), sheet="vessel.orientation"),
    Input("diameter", "inside diameter", "in", least=0.05, most=30, sheet="vessel.diameter"),
    Input(
        "length", "length between the seams of its heads", "ft", least=0.05, most=200, sheet="vessel.length"
    ),
    Input(
        "heads",
        "shape of its heads (ellipsoidal: 2 to 1)",
        words=("ellipsoidal", "hemispherical", "dished", "flat"),
        usual="ellipsoidal",
        sheet="vessel.heads",
    ),
    Input("head_depth", "depth of one head", "in", optional=True, least=1e-3, most=30),
    Input("level", "level now, or as it is meant to be", "in", most=200, sheet="vessel.level"),
    Input("span", "fall of the level in one dump", "in", optional=True, most=200),
    Input("wanted_volume", "volume to find the level for", "bbl", optional=True, most=1e6),
    Input("high_trip", "height of the high trip", "in", optional=True, most=200, sheet="vessel.high_trip"),
    Input("low_trip", "height of the low trip", "in", optional=True, most=200, sheet="vessel.low_trip"),
    Input("outlet_height", "height at which the liquid outlet is uncovered", "in", usual=0.0, most=200),
    Input("inflow", "liquid that comes in now", "bbl/d", optional=True, most=10, sheet="vessel.inflow"),
    Input("outflow", "liquid that goes out now", "bbl/d", optional=True, most=10),
    Input("phases", "two (gas and liquid) or three (gas, oil, water)", words=("two", "three"), usual="two"),
    Input(
        "density",
        "density of the oil, for the guidance",
        "API",
        optional=True,
        least=300,
        most=1300,
        sheet="service.density",
    ),
    Input(
        "temperature",
        "temperature, for the guidance",
        "degF",
        usual=288.7056,
        least=233.15,
        most=473.15,
        sheet="vessel.temperature",
    ),
)

VESSEL: Final = Calculator(
    "vessel",
    "Vessel: volume by level, retention time, minutes to the trips and to gas blow-by",
    _INPUTS,
    _work,
)
