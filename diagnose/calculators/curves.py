"""The curves of a calculation, where a curve says more than its numbers.

Output against level (displacer), force on the stem against pressure (actuator), level against time
(vessel). Each is drawn from the same functions as the answers.
"""

import math
from collections.abc import Callable, Mapping
from typing import Final

from diagnose.calculators.actuator import plug_force
from diagnose.calculators.base import Calculation, Value
from diagnose.calculators.displacer import hanging_of
from diagnose.calculators.vessel import shape_in
from diagnose.calculators.vessel_volume import full_volume, level_at, volume_at
from diagnose.charts import Axis, Chart, Mark, Point, Series
from diagnose.units import from_si

POINTS: Final = 60
"""Places at which a bent curve is worked out."""


def charts_of(result: Calculation, sheet: Mapping[str, float | str] | None = None) -> tuple[Chart, ...]:
    """The charts of a calculation; none for most, or where an input that they need was left out.

    ``sheet``: values by field, for what the calculator does not ask: the controller's action and acting.
    """
    drawn = DRAWN.get(result.calculator)
    return drawn(result, sheet or {}) if drawn else ()


def _answer(result: Calculation, name: str) -> float | None:
    found = [answer.value for answer in result.answers if answer.name == name]
    return float(found[0]) if found else None


def _output(result: Calculation, sheet: Mapping[str, float | str]) -> tuple[Chart, ...]:
    """Output in share of the supply, against the level from the displacer's bottom."""
    used = _answer(result, "share_used")
    if used is None:
        return ()
    action = sheet.get("controller.action", "")
    rising = sheet.get("controller.acting", "direct") != "indirect"
    return tuple(
        _output_chart(result, used, kind, rising) for kind in ("snap", "throttle") if action in ("", kind)
    )


def _output_chart(result: Calculation, used: float, action: str, rising: bool) -> Chart:
    displacer = hanging_of(result.inputs)
    height, span = displacer.height, _answer(result, "span")
    marks = [Mark("x", 0.0, "the displacer's bottom")]
    if span is not None:
        marks.append(Mark("x", from_si(span, "in"), "span: where the output is driven over"))
    marks.append(Mark("x", from_si(height, "in"), "the displacer's top"))
    notes = [] if span is not None else ["It is too weak: a covered displacer does not give full stroke."]
    if action == "snap":
        series, told = _snap(height, span)
        notes += told
    else:
        levels = [height * k / POINTS for k in range(POINTS + 1)]
        points = [(level, min(1.0, displacer.share_at(level) / used)) for level in levels]
        series = [("output", points)]
        notes.append("Friction of shaft and pilot makes two lines of this one: rising later, falling later.")
    notes.append("The level is counted as the set point is made: from the displacer's bottom up.")
    title = f"Output against level, {action}" + ("" if rising else ", indirect acting")
    lines = tuple(
        Series(
            name,
            tuple((from_si(level, "in"), 100 * (share if rising else 1 - share)) for level, share in points),
        )
        for name, points in series
    )
    x, y = Axis("level above the displacer's bottom", "in"), Axis("output, share of the supply", "%")
    return Chart("output", title, x, y, lines, tuple(marks), tuple(notes))


def _snap(height: float, span: float | None) -> tuple[list[tuple[str, list[Point]]], list[str]]:
    """(The way up and the way down, notes): between the two the pilot keeps what it did last."""
    if span is None:
        return [("level rising", [(0.0, 0.0), (height, 0.0)])], ["A snap pilot never snaps over."]
    up = [(0.0, 0.0), (span, 0.0), (span, 1.0), (height, 1.0)]
    down = [(height, 1.0), (0.0, 1.0), (0.0, 0.0)]
    note = f"Dead band {from_si(span, 'in'):.3g} in: between the two marks the output stays as it was."
    return [("level rising", up), ("level falling", down)], [note]


def _force(result: Calculation, _sheet: Mapping[str, float | str]) -> tuple[Chart, ...]:
    """Force on the stem with the valve shut and wide open, against the pressure on the diaphragm."""
    given = result.inputs
    area, closed = float(given["area"]), given["fails"] == "closed"
    ends = [float(given["bench_low"]), float(given["bench_high"])]
    plug = plug_force(float(given["drop"]), float(given["seat"]), str(given["flow"]))
    names = ("starts_to_open", "fully_open", "starts_to_close", "fully_shut")
    stroke = [mark for mark in (_mark(result, name) for name in names) if mark]
    supply = float(given["supply"])
    most = max([supply, *ends]) * 1.1

    def force(pressure: float, bench: float) -> float:
        return (pressure - bench if closed else bench - pressure) * area + plug

    lines = tuple(
        Series(
            name,
            tuple((from_si(p, "psi"), from_si(force(p, bench), "lbf")) for p in (0.0, most)),
        )
        for name, bench in zip(("at its seat", "wide open"), ends if closed else ends[::-1], strict=True)
    )
    friction = from_si(float(given["friction"]), "lbf")
    marks = (
        *stroke,
        Mark("x", from_si(supply, "psi"), "supply"),
        Mark("y", friction, "above this it moves open (packing friction)"),
        Mark("y", -friction, "below this it moves shut"),
    )
    x, y = Axis("pressure on the diaphragm", "psi"), Axis("force on the stem, + opens", "lbf")
    return (Chart("force", "Force on the stem against pressure", x, y, lines, marks),)


def _mark(result: Calculation, name: str) -> Mark | None:
    """The pressure of one end of the stroke; None where it lies below nothing."""
    value = _answer(result, name)
    words = name.replace("_", " ")
    return Mark("x", from_si(value, "psi"), words) if value is not None and value >= 0 else None


GOALS: Final = {
    "to_high_trip": ("high_trip", "high trip"),
    "to_low_trip": ("low_trip", "low trip"),
    "to_blow_by": ("outlet_height", "gas goes out of the liquid outlet"),
}


def _level(result: Calculation, _sheet: Mapping[str, float | str]) -> tuple[Chart, ...]:
    """Level against time, with the flows of now, until the last of what it reaches."""
    times = {name: _answer(result, name) for name in GOALS}
    ahead = {name: time for name, time in times.items() if time is not None and 0 < time < math.inf}
    if not ahead:
        return ()
    given: Mapping[str, Value] = result.inputs
    shape, net = shape_in(given), _answer(result, "net") or 0.0
    start, full = volume_at(shape, float(given["level"])), full_volume(shape)
    last = max(ahead.values()) * 1.05
    moments = [last * k / POINTS for k in range(POINTS + 1)]
    points = tuple(
        (t / 60, from_si(level_at(shape, min(full, max(0.0, start + net * t))), "in")) for t in moments
    )
    marks = [
        mark
        for name, time in ahead.items()
        for mark in (
            Mark("y", from_si(float(given[GOALS[name][0]]), "in"), GOALS[name][1]),
            Mark("x", time / 60, f"{GOALS[name][1]}, in {time / 60:.3g} min"),
        )
    ]
    notes = ("It holds for the flows of now; a slug shortens it. Never defeat a trip.",)
    x, y = Axis("time from now", "min"), Axis("level", "in")
    return (Chart("level", "Level against time", x, y, (Series("level", points),), tuple(marks), notes),)


DRAWN: Final[dict[str, Callable[[Calculation, Mapping[str, float | str]], tuple[Chart, ...]]]] = {
    "displacer": _output,
    "actuator": _force,
    "vessel": _level,
}
"""The calculators that have a curve."""
