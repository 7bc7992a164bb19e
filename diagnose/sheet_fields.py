"""The unit sheet's fields: what each one is, its unit or its words, and what is possible.

Numbers are kept in SI, pressures as gauge pressures but for the atmosphere. Everything may be unknown.
"""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator

from diagnose.units import NotAQuantity, from_si, parse
from knowledge.problems import nearest
from knowledge.words import UNKNOWN

"""What stands in a field that nobody knows."""

Number = float | None
Word = str | None


def measured(about: str, unit: str, least: str, most: str) -> Any:
    """A field that is a number with a unit; ``least`` and ``most`` are what is possible."""
    ends = sorted(parse(end, as_unit=unit).value for end in (least, most))
    extra: Any = {"unit": unit, "least": ends[0], "most": ends[1], "range": f"{least} to {most}"}
    return Field(default=None, description=about, json_schema_extra=extra)


def bare(about: str, least: float, most: float) -> Any:
    """A field that is a number without a unit."""
    extra: Any = {"unit": "", "least": least, "most": most, "range": f"{least:g} to {most:g}"}
    return Field(default=None, description=about, json_schema_extra=extra)


def word(about: str, *words: str) -> Any:
    """A field that is one of a few words."""
    return Field(default=None, description=about, json_schema_extra={"words": list(words)})


def read_field(extra: dict[str, Any], value: Any) -> Any:
    """The value of a field as it is kept: SI number, word, or None when it is not known.

    Raises `ValueError` with what is wrong and, after a bar, the mend.
    """
    if value is None or value == UNKNOWN or not extra:
        return None if value == UNKNOWN else value
    if "words" in extra:
        value = str(value).lower()
        if value not in extra["words"]:
            raise ValueError(
                f"{value!r} is not one of its values | {nearest(str(value), [*extra['words'], UNKNOWN])}"
            )
        return value
    try:
        number = _number(str(value), extra["unit"])
    except NotAQuantity as error:
        raise ValueError(str(error)) from error
    if not extra["least"] <= number <= extra["most"]:
        raise ValueError(f"{str(value)!r} is out of range | It can be from {extra['range']}.")
    return number


def _number(text: str, unit: str) -> float:
    if unit:
        quantity = parse(text, as_unit=unit)
        quantity.to(unit)
        return quantity.value
    try:
        return float(text)
    except ValueError as error:
        raise NotAQuantity(f"{text!r} is not a number. Write it as: 0.9.") from error


def shown(value: float | str, extra: dict[str, Any]) -> str:
    """A kept value as a person would write it in the sheet."""
    if isinstance(value, str) or not extra.get("unit"):
        return str(value) if isinstance(value, str) else f"{value:g}"
    return f"{from_si(value, extra['unit']):.6g} {extra['unit']}"


class Part(BaseModel):
    """A part of the sheet."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    @field_validator("*", mode="before")
    @classmethod
    def _read(cls, value: Any, info: ValidationInfo) -> Any:
        field = cls.model_fields[str(info.field_name)]
        extra = field.json_schema_extra
        if value is None and isinstance(field.default, Part):
            return field.default
        return read_field(extra if isinstance(extra, dict) else {}, value)


class Vessel(Part):
    """The vessel. Heights are from its bottom."""

    orientation: Word = word("how it lies", "horizontal", "vertical")
    diameter: Number = measured("inside diameter", "in", "4 in", "20 ft")
    length: Number = measured("length between the seams of its heads", "ft", "6 in", "120 ft")
    heads: Word = word("shape of its heads", "ellipsoidal", "hemispherical", "flat")
    pressure: Number = measured("working pressure", "psi", "0 psi", "6000 psi")
    temperature: Number = measured("temperature of the liquid", "degF", "-40 degF", "400 degF")
    level: Number = measured("level that it is meant to hold", "in", "0 in", "60 ft")
    high_trip: Number = measured("height of the high trip", "in", "0 in", "60 ft")
    low_trip: Number = measured("height of the low trip", "in", "0 in", "60 ft")
    inflow: Number = measured("liquid that comes in now", "bbl/d", "0 bbl/d", "200000 bbl/d")


class Service(Part):
    """What the displacer feels."""

    liquid: Word = word("which liquid this controller holds", "oil", "water", "interface")
    density: Number = measured(
        "density of the liquid, the lower one at an interface", "SG", "0.3 SG", "1.4 SG"
    )
    upper_density: Number = measured("density of the liquid above an interface", "SG", "0.3 SG", "1.4 SG")


class Controller(Part):
    """The level controller: as it is meant to be, and as it was found."""

    mount: Word = word("side that it is mounted on, seen from its front", "left", "right", "back")
    action: Word = word("what it is meant to do", "snap", "throttle")
    acting: Word = word("which way it is meant to act", "direct", "indirect")
    lever_side: Word = word("side that its lever is on, as found", "left", "right")
    spring_side: Word = word("side that its range spring is on, as found", "left", "right")
    displacer_side: Word = word("side that its displacer is on, as found", "left", "right")
    fulcrum: Number = measured("place of the fulcrum, 0 % innermost", "%", "0 %", "100 %")
    supply_set: Number = measured("supply pressure that it is set for", "psi", "3 psi", "150 psi")
    gauge_range: Number = measured("full scale of its gauges", "psi", "10 psi", "1000 psi")
    ports: Word = word("what its ports are piped for, as found", "snap", "throttle")


class Displacer(Part):
    """The displacer and its arm."""

    diameter: Number = measured("diameter", "in", "0.5 in", "12 in")
    length: Number = measured("length", "in", "1 in", "30 ft")
    weight: Number = measured("weight", "lb", "0.1 lb", "200 lb")
    density: Number = measured("density of its material", "SG", "0.3 SG", "12 SG")
    hung: Word = word("how it hangs", "upright", "flat")
    arm: Number = measured("length of its arm", "in", "2 in", "8 ft")
    needed_force: Number = measured(
        "force at the displacer that drives the output all the way", "lbf", "0.01 lbf", "100 lbf"
    )
    measured_span: Number = measured(
        "change of level that drove the output all the way", "in", "0.05 in", "30 ft"
    )
    measured_at: Number = measured("place of the fulcrum when that was measured", "%", "0 %", "100 %")


class Supply(Part):
    """What the controller runs on."""

    medium: Word = word("gas or air", "field_gas", "air")
    upstream: Number = measured("pressure before the regulator", "psi", "0 psi", "3000 psi")
    filter: Word = word("whether it has a filter", "yes", "no")
    tubing: Number = measured("inside diameter of the supply tube", "in", "0.1 in", "2 in")
    tubing_length: Number = measured("length of the supply tube", "ft", "0 ft", "3000 ft")
    gas_gravity: Number = bare("gravity of the gas against air", 0.55, 1.6)
    gas_temperature: Number = measured(
        "temperature of the gas before the regulator", "degF", "-60 degF", "250 degF"
    )
    ambient: Number = measured("coldest that it gets there", "degF", "-80 degF", "140 degF")


class OutputLine(Part):
    """The tube from the controller to the valve."""

    size: Number = measured("inside diameter", "in", "0.1 in", "2 in")
    length: Number = measured("length", "ft", "0 ft", "1000 ft")


class Valve(Part):
    """The dump valve and its actuator."""

    fails: Word = word("where it stands with no pressure on it", "closed", "open")
    actuator_area: Number = measured("area of the diaphragm", "in2", "2 in2", "600 in2")
    bench_low: Number = measured("bench set, where it starts", "psi", "0 psi", "80 psi")
    bench_high: Number = measured("bench set, where it ends", "psi", "1 psi", "100 psi")
    travel: Number = measured("travel of the stem", "in", "0.1 in", "8 in")
    seat: Number = measured("diameter of the seat", "in", "0.1 in", "12 in")
    cv: Number = bare("Cv, wide open", 0.001, 5000)
    f_l: Number = bare("pressure recovery factor F_L", 0.3, 1.0)
    flow: Word = word("side of the plug that the flow comes from", "under", "over")
    characteristic: Word = word("shape of its trim", "linear", "equal_percentage", "quick_opening")


class Discharge(Part):
    """Where the liquid goes."""

    back_pressure: Number = measured("pressure where it goes", "psi", "0 psi", "3000 psi")
    height: Number = measured("height that it has to climb", "ft", "0 ft", "500 ft")
    size: Number = measured("inside diameter of the line", "in", "0.3 in", "24 in")
    length: Number = measured("length of the line", "ft", "0 ft", "30000 ft")
    block_valves: Word = word("hand valves in the dump line", "open", "shut")


class Place(Part):
    """Where it stands."""

    elevation: Number = measured("height above the sea", "ft", "0 ft", "16000 ft")
    atmosphere: Number = measured("pressure of the air there", "psia", "7 psia", "16 psia")


class UnitSheet(Part):
    """One unit. A field that is left out, empty or ``unknown`` is not known."""

    unit: Annotated[str, Field(min_length=1, max_length=80)]
    site: str | None = None
    vessel: Vessel = Vessel()
    service: Service = Service()
    controller: Controller = Controller()
    displacer: Displacer = Displacer()
    supply: Supply = Supply()
    output_line: OutputLine = OutputLine()
    valve: Valve = Valve()
    discharge: Discharge = Discharge()
    place: Place = Place()

    def values(self) -> dict[str, float | str]:
        """Every field that is known, by its path: ``vessel.diameter`` to its SI value or word."""
        known: dict[str, float | str] = {}
        for part, entry in self:
            if isinstance(entry, Part):
                known |= {f"{part}.{name}": value for name, value in entry if value is not None}
        return known


def fields() -> dict[str, dict[str, Any]]:
    """Every field by its path, with its `about`, its unit or words, and its range."""
    found: dict[str, dict[str, Any]] = {}
    for part, entry in UnitSheet.model_fields.items():
        kind = entry.annotation
        if isinstance(kind, type) and issubclass(kind, Part):
            for name, field in kind.model_fields.items():
                extra = field.json_schema_extra if isinstance(field.json_schema_extra, dict) else {}
                found[f"{part}.{name}"] = {"about": field.description, **extra}
    return found
