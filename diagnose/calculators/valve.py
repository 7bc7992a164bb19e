"""The dump valve: what it passes now, whether it chokes or flashes, and how long a dump takes."""

from collections.abc import Mapping
from typing import Final

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input, Value
from diagnose.calculators.valve_flow import (
    IEC,
    WAGNER,
    WATER_CRITICAL,
    WATER_CRITICAL_TEMPERATURE,
    WATER_TRIPLE,
    Flow,
    cv_for,
    cycle_time,
    dump_time,
    flow_state,
    flow_through,
    water_vapour_pressure,
)
from diagnose.units import Absolute, Gauge, absolute, from_si

OIL_CRITICAL: Final = Absolute(3.03e6)
"""Pa, taken for an oil when none is given: about that of hexane (from memory)."""
SHORT_CYCLE: Final = 60.0
"""s between two dumps: less wears the valve and pilot out early; common practice, no source."""


def _vapour_pressure(given: Mapping[str, Value], upstream: Absolute) -> tuple[Absolute, str]:
    """(Vapour pressure taken, the note that says why)."""
    if "vapour_pressure" in given:
        return Absolute(float(given["vapour_pressure"])), "The vapour pressure is the one given."
    if given["liquid"] == "oil":
        return upstream, (
            "Oil in a separator is ready to give off gas, so its vapour pressure is taken as the vessel's "
            "own pressure. This gives the least that the valve passes. For dead oil give vapour_pressure."
        )
    temperature = max(float(given["temperature"]), WATER_TRIPLE)
    return water_vapour_pressure(temperature), (
        "The vapour pressure and critical pressure are those of clean water at that temperature."
    )


def _critical_pressure(given: Mapping[str, Value]) -> tuple[Absolute, str]:
    """(Critical pressure taken, the note that says why; empty when there is nothing to say)."""
    if "critical_pressure" in given:
        return Absolute(float(given["critical_pressure"])), ""
    if given["liquid"] == "oil":
        return (
            OIL_CRITICAL,
            "The oil's critical pressure is taken as hexane's. Give critical_pressure if known.",
        )
    return WATER_CRITICAL, ""


def _dump_answers(given: Mapping[str, Value], outflow: float) -> tuple[list[Answer], list[str]]:
    """(Answers on the dump, notes on it), for a valve that passes ``outflow`` when open."""
    answers: list[Answer] = []
    notes: list[str] = []
    inflow = float(given["inflow"]) if "inflow" in given else None
    if inflow is not None:
        enough = outflow > inflow
        answers.append(Answer("capacity", "enough or too_little", "enough" if enough else "too_little"))
        if not enough:
            notes.append("Open all the way it passes no more than comes in: the level rises or stays up.")
    if "dump_volume" not in given:
        return answers, notes
    volume = float(given["dump_volume"])
    if inflow is None:
        notes.append("No inflow was given: the dump time is with nothing coming in.")
    if outflow > (inflow or 0.0):
        answers.append(
            Answer("dump_time", "time that a dump takes", dump_time(volume, outflow, inflow or 0.0), "s")
        )
    if inflow and outflow > inflow:
        cycle = cycle_time(volume, outflow, inflow)
        short = cycle < float(given["shortest_cycle"])
        answers += [
            Answer("cycle_time", "time from one dump to the next", cycle, "min"),
            Answer("cycles_per_day", "dumps in a day", 86_400 / cycle),
            Answer("short_cycle", "whether it dumps too often", short),
        ]
        if short:
            limit = from_si(float(given["shortest_cycle"]), "s")
            notes.append(
                f"It dumps more than once in {limit:g} s: the valve and pilot wear early. Widen the span. "
                "(The limit is common practice, no source.)"
            )
    return answers, notes


def _state_notes(given: Mapping[str, Value], state: Flow, drop: float) -> list[str]:
    if drop <= 0:
        return ["No pressure is left to move it: the pressure after the valve is as high as before it."]
    if state.flashing:
        note = "It flashes: the liquid boils in the valve, and gas and liquid go on. Look for wear and cold."
    elif state.choked:
        note = (
            "It cavitates: bubbles form and collapse in the valve. It sounds like gravel and eats the trim."
        )
    else:
        return []
    return [note, "It is choked: more drop brings no more flow."] if state.choked else [note]


def _checked(given: Mapping[str, Value]) -> tuple[Absolute, Absolute, Absolute, Absolute, list[str]]:
    """(Upstream, downstream, vapour and critical pressure, notes on how they were chosen)."""
    if not {"cv", "wanted", "inflow"} & given.keys():
        raise CannotWork("give cv to get the flow, or wanted (or inflow) to get the Cv that it takes")
    atmosphere = Absolute(float(given["atmosphere"]))
    upstream = absolute(Gauge(float(given["upstream"])), atmosphere)
    downstream = absolute(Gauge(float(given["downstream"])), atmosphere)
    vapour, why_vapour = _vapour_pressure(given, upstream)
    critical, why_critical = _critical_pressure(given)
    if vapour > upstream:
        raise CannotWork(
            f"at {from_si(vapour, 'psia'):.4g} psia of vapour pressure the liquid boils in the vessel: read "
            "vapour_pressure (or temperature) and upstream again"
        )
    return upstream, downstream, vapour, critical, [why_vapour, *([why_critical] if why_critical else [])]


def _range_notes(given: Mapping[str, Value], vapour: Absolute, critical: Absolute) -> list[str]:
    notes = []
    if vapour > critical:
        notes.append("The vapour pressure is above the critical pressure: take the choked flow as rough.")
    frozen = given["liquid"] != "oil" and float(given["temperature"]) < WATER_TRIPLE
    if frozen and "vapour_pressure" not in given:
        notes.append("Clean water is frozen at that temperature: its vapour pressure is taken as at 32 degF.")
    return notes


def _work(given: Mapping[str, Value]) -> Calculation:
    upstream, downstream, vapour, critical, notes = _checked(given)
    density, drop = float(given["density"]), upstream - downstream
    state = flow_state(upstream, downstream, vapour, critical, float(given["f_l"]))
    outside = _range_notes(given, vapour, critical)
    notes = outside + _state_notes(given, state, drop) + notes
    answers: list[Answer] = []
    if "cv" in given:
        flow = flow_through(float(given["cv"]), state.counted_drop, density)
        answers.append(Answer("flow", "what it passes fully open", flow, "bbl/d"))
        if state.choked and given["liquid"] == "oil" and "vapour_pressure" not in given:
            still = flow_through(float(given["cv"]), drop, density)
            answers.append(Answer("flow_without_boiling", "if no gas came out in it", still, "bbl/d"))
            notes.append("The true flow lies between flow and flow_without_boiling.")
            if flow <= float(given.get("inflow", 0.0)) < still:
                notes.append("The capacity is told from the lower one; by the higher one it would be enough.")
        more, told = _dump_answers(given, flow)
        answers, notes = answers + more, notes + told
    wanted = given.get("wanted", given.get("inflow"))
    if wanted is not None and state.counted_drop > 0:
        needed = cv_for(float(wanted), state.counted_drop, density)
        answers.append(Answer("cv_needed", "Cv that passes the wanted flow, or the inflow", needed))
    answers += [
        Answer("choking_drop", "drop past which the flow grows no more", state.choking_drop, "psi"),
        Answer("choked", "whether it is choked", state.choked),
        Answer("flashing", "whether it boils on downstream", state.flashing),
    ]
    notes += [
        "For a valve fully open. Thick oil, reducers or dirt in the trim pass less.",
        "Take downstream right after the valve: the back pressure and what the lift and the line eat.",
    ]
    sources = (IEC, WAGNER) if given["liquid"] != "oil" and "vapour_pressure" not in given else (IEC,)
    return Calculation("valve", given, tuple(answers), not outside, tuple(notes), sources)


_INPUTS: Final = (
    Input("upstream", "pressure in the vessel", "psi", most=1e8, sheet="vessel.pressure"),
    Input("downstream", "pressure right after the valve", "psi", most=1e8, sheet="derived.downstream"),
    Input("density", "density of the liquid", "API", least=300, most=2500, sheet="service.density"),
    Input(
        "liquid",
        "which liquid is dumped; at an interface the lower one, water",
        words=("oil", "water", "interface"),
        usual="oil",
        sheet="service.liquid",
    ),
    Input("cv", "Cv of the open valve", optional=True, least=0.001, most=1e5, sheet="valve.cv"),
    Input(
        "f_l", "F_L, its recovery factor (globe about 0.9)", usual=0.9, least=0.1, most=1, sheet="valve.f_l"
    ),
    Input("inflow", "liquid that comes in now", "bbl/d", optional=True, most=10, sheet="vessel.inflow"),
    Input("wanted", "flow to find the Cv for; else the inflow", "bbl/d", optional=True, most=10),
    Input("dump_volume", "liquid in one dump", "bbl", optional=True, least=1e-6, most=1e4),
    Input(
        "shortest_cycle",
        "shortest time between dumps (usual: common practice)",
        "s",
        usual=SHORT_CYCLE,
        most=86_400,
    ),
    Input(
        "temperature",
        "temperature, for water's vapour pressure",
        "degF",
        usual=288.7056,
        least=233.15,
        most=WATER_CRITICAL_TEMPERATURE,
        sheet="vessel.temperature",
    ),
    Input("vapour_pressure", "vapour pressure, if known", "psia", optional=True, most=1e8),
    Input("critical_pressure", "critical pressure, if known", "psia", optional=True, least=1e5, most=1e8),
    Input(
        "atmosphere",
        "weight of the air at the site",
        "psia",
        usual=101_325.0,
        least=50_000,
        most=110_000,
        sheet="place.atmosphere",
    ),
)

VALVE: Final = Calculator(
    "valve",
    "Dump valve: what it passes, choked or flashing, Cv needed, dump time and cycles",
    _INPUTS,
    _work,
)
