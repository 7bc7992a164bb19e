"""All calculators by name, and the way from ``key=value`` words to a result."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from diagnose.calculators.actuator import ACTUATOR
from diagnose.calculators.base import Calculation, Calculator, CannotWork, Input, Value
from diagnose.calculators.cold import COLD
from diagnose.calculators.density import DENSITY
from diagnose.calculators.displacer import DISPLACER
from diagnose.calculators.gauge import GAUGE
from diagnose.calculators.lift import LIFT
from diagnose.calculators.loop_action import LOOP_ACTION
from diagnose.calculators.supply import SUPPLY
from diagnose.calculators.valve import VALVE
from diagnose.calculators.vessel import VESSEL
from diagnose.events import SCHEMA_VERSION
from diagnose.units import UNITS, NotAQuantity, from_si, parse
from knowledge.problems import InputProblems, Problem, nearest

CALCULATORS: Final[dict[str, Calculator]] = {
    calculator.name: calculator
    for calculator in (DISPLACER, LOOP_ACTION, ACTUATOR, VALVE, VESSEL, LIFT, SUPPLY, COLD, GAUGE, DENSITY)
}
"""Every calculator, in the order in which they are listed."""


def calculate(name: str, words: Sequence[str], sheet: Mapping[str, float | str] | None = None) -> Calculation:
    """Run a calculator on ``key=value`` words; what they leave out is taken from a unit sheet's values.

    Raises `InputProblems` with everything that is wrong at once: unknown names, units, ranges, what is
    missing.
    """
    calculator = CALCULATORS.get(name)
    if calculator is None:
        raise InputProblems(
            [Problem("calc", "", f"there is no calculator named {name!r}", nearest(name, CALCULATORS))]
        )
    problems: list[Problem] = []
    typed: dict[str, str] = {}
    for word in words:
        key, equals, value = word.partition("=")
        if not equals:
            problems.append(Problem(name, word, "has no `=`", "Write it as name=value."))
        elif key.strip() in typed:
            problems.append(Problem(name, key.strip(), "stands twice", "Keep one of them."))
        else:
            typed[key.strip()] = value.strip()
    given, wrong = read_inputs(calculator, typed)
    problems += wrong
    if problems:
        raise InputProblems(problems)
    return work(calculator, {**from_sheet(calculator, sheet or {}), **given})


def from_sheet(calculator: Calculator, values: Mapping[str, float | str]) -> dict[str, Value]:
    """The inputs of a calculator that a unit sheet gives; ``values`` by field, in SI."""
    return {entry.name: values[entry.sheet] for entry in calculator.inputs if entry.sheet in values}


def work(calculator: Calculator, given: Mapping[str, Value]) -> Calculation:
    """Run a calculator on SI values, those left out taken as usual; `InputProblems` when it cannot work."""
    usual = {entry.name: entry.usual for entry in calculator.inputs if entry.usual is not None}
    missing = [
        Problem(calculator.name, entry.name, f"is missing: {entry.about}", _example(entry))
        for entry in calculator.inputs
        if entry.name not in given and entry.usual is None and not entry.optional
    ]
    if missing:
        raise InputProblems(missing)
    try:
        return calculator.work({**usual, **given})
    except CannotWork as error:
        raise InputProblems([Problem(calculator.name, "", str(error))]) from error


def read_inputs(calculator: Calculator, typed: Mapping[str, str]) -> tuple[dict[str, Value], list[Problem]]:
    """(SI value or word of each input typed, everything that is wrong with them)."""
    inputs = {entry.name: entry for entry in calculator.inputs}
    given: dict[str, Value] = {}
    problems: list[Problem] = []
    for key, text in typed.items():
        if key not in inputs:
            problems.append(Problem(calculator.name, key, "is not asked for", nearest(key, inputs)))
            continue
        try:
            given[key] = read_input(inputs[key], text)
        except NotAQuantity as error:
            problems.append(Problem(calculator.name, key, str(error)))
    return given, problems


def read_input(entry: Input, text: str) -> Value:
    """The SI value, or the word, that a text stands for; `NotAQuantity` with the mend."""
    if entry.words:
        if text not in entry.words:
            raise NotAQuantity(f"{text!r} is not one of its words. {nearest(text, entry.words)}")
        return text
    if entry.unit:
        quantity = parse(text, as_unit=entry.unit)
        quantity.to(entry.unit)
        value = quantity.value
    else:
        try:
            value = float(text)
        except ValueError as error:
            raise NotAQuantity(f"{text!r} is not a number. Write it as: 0.5.") from error
    if not entry.least <= value <= entry.most:
        raise NotAQuantity(f"{text!r} is out of range. It can be {_range(entry)}.")
    return value


def _range(entry: Input) -> str:
    ends = [_shown(value, entry.unit) for value in (entry.least, entry.most)]
    if UNITS.get(entry.unit) is UNITS["API"]:
        ends.reverse()
    return f"from {ends[0]} to {ends[1]}" if entry.most < float("inf") else f"{ends[0]} or more"


def _shown(value: float, unit: str) -> str:
    return f"{from_si(value, unit):.4g} {unit}" if unit else f"{value:.4g}"


def _example(entry: Input) -> str:
    example = entry.words[0] if entry.words else f"12 {entry.unit}".strip()
    return f"Add `{entry.name}={example}`."


def as_json(result: Calculation) -> dict[str, Any]:
    """A calculation for `json.dumps`: every number both in SI and in the unit that it is shown in."""
    inputs = {entry.name: entry for entry in CALCULATORS[result.calculator].inputs}
    return {
        "schema_version": SCHEMA_VERSION,
        "calculator": result.calculator,
        "inputs": {name: _both(value, inputs[name].unit) for name, value in result.inputs.items()},
        "answers": {a.name: {"about": a.about, **_both(a.value, a.unit)} for a in result.answers},
        "in_range": result.in_range,
        "notes": list(result.notes),
        "sources": list(result.sources),
    }


def calculator_json(calculator: Calculator) -> dict[str, Any]:
    """What a calculator asks for, for `json.dumps`."""
    return {
        "name": calculator.name,
        "about": calculator.about,
        "inputs": [
            {
                "name": entry.name,
                "about": entry.about,
                "unit": entry.unit or None,
                "words": list(entry.words) or None,
                "required": entry.usual is None and not entry.optional,
                "sheet": entry.sheet or None,
            }
            for entry in calculator.inputs
        ],
    }


def value_text(value: Value, unit: str) -> str:
    """A value for a person: number and unit, a word, yes or no.

    >>> value_text(0.6096, "in"), value_text(True, ""), value_text("floats", "")
    ('24 in', 'yes', 'floats')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    return f"{from_si(value, unit) if unit else value:.4g} {unit}".strip()


def _both(value: Value, unit: str) -> dict[str, Any]:
    if isinstance(value, str | bool) or not unit:
        return {"value": value}
    return {"value": from_si(value, unit), "unit": unit, "si": value}
