"""Facts that follow from a unit sheet by calculation, each with the calculation that gave it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from diagnose.calculators.base import Calculation
from diagnose.calculators.run import CALCULATORS, from_sheet, work
from diagnose.derived import DERIVED_FROM, derived
from knowledge.problems import InputProblems

COMPUTED: Final[dict[str, tuple[str, str]]] = {
    "displacer_fit": ("displacer", "fit"),
    "valve_force": ("actuator", "can"),
    "lift_pressure": ("lift", "enough"),
    "valve_capacity": ("valve", "capacity"),
    "supply_freezing": ("cold", "freezing"),
    "pairing": ("loop", "pairing"),
    "lever_place": ("loop", "lever_place"),
    "spring_place": ("loop", "spring_place"),
    "ports_place": ("loop", "ports_place"),
    "loop_does": ("loop", "does"),
}
"""Each computed fact: the calculator, and which of its answers is the fact's value."""

OF_A_SHEET: Final = (*dict.fromkeys(calculator for calculator, _ in COMPUTED.values()), "vessel", "supply")
"""The calculators that are run on a sheet; the others need what no sheet holds."""


@dataclass(frozen=True)
class ComputedFact:
    """A fact that was worked out."""

    fact: str
    value: str
    calculation: Calculation


@dataclass(frozen=True)
class Worked:
    """What the calculators make of a sheet."""

    calculations: Mapping[str, Calculation]
    """Every calculation that the sheet says enough for, by its calculator."""
    missing: Mapping[str, tuple[str, ...]]
    """For each other calculator, the fields of the sheet that it lacks."""
    refused: Mapping[str, tuple[str, ...]]
    """For each calculator that the sheet's values make no sense to, why."""

    @property
    def facts(self) -> tuple[ComputedFact, ...]:
        """Every computed fact that is known."""
        found = []
        for fact, (calculator, answer) in COMPUTED.items():
            calculation = self.calculations.get(calculator)
            if calculation is None or in_doubt(calculation):
                continue
            value = next((a.value for a in calculation.answers if a.name == answer), None)
            if isinstance(value, str):
                found.append(ComputedFact(fact, value, calculation))
        return tuple(found)


def in_doubt(calculation: Calculation) -> bool:
    """Whether oil that may or may not boil in the valve leaves its capacity open."""
    answers = {answer.name: answer.value for answer in calculation.answers}
    inflow = calculation.inputs.get("inflow")
    return (
        answers.get("capacity") == "too_little"
        and inflow is not None
        and float(answers.get("flow_without_boiling", 0.0)) >= float(inflow)
    )


def work_out(sheet: Mapping[str, float | str]) -> Worked:
    """Run every calculator that a sheet says enough for; ``sheet``: values by field, in SI."""
    values = derived(sheet)
    calculations: dict[str, Calculation] = {}
    missing: dict[str, tuple[str, ...]] = {}
    refused: dict[str, tuple[str, ...]] = {}
    for name in OF_A_SHEET:
        calculator = CALCULATORS[name]
        given = from_sheet(calculator, values)
        lacking = [
            entry.sheet or entry.name
            for entry in calculator.inputs
            if entry.name not in given and entry.usual is None and not entry.optional
        ]
        if lacking:
            parts = (part for field in lacking for part in DERIVED_FROM.get(field, (field,)))
            missing[name] = tuple(dict.fromkeys(part for part in parts if part not in values))
            continue
        try:
            calculations[name] = work(calculator, given)
        except InputProblems as error:
            refused[name] = tuple(problem.what for problem in error.problems)
    return Worked(calculations, missing, refused)
