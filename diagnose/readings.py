"""What a reading stands for: its outcome, and how sure that is near the edge of a bin."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.calculators.gauge import outcome_weights, standard_deviation
from diagnose.units import NotAQuantity, parse
from knowledge.schema import Reading

MOST_OF_SCALE = 2.0
"""A reading above so many full scales is a slip of the pen; up to there the gauge may be larger than told."""


@dataclass(frozen=True)
class Judged:
    """A reading as evidence."""

    outcome: str
    """The bin that the number falls into."""
    weights: Mapping[str, float]
    """Probability that the true value lies in each outcome's bins, by the gauge's grade; sums to 1."""


def judge(reading: Reading, text: str, quantities: Mapping[str, float]) -> Judged:
    """Judge a reading as it was typed. Raises `diagnose.units.NotAQuantity`.

    ``quantities`` gives each quantity that a bin may be a share of, in the reading's own unit.
    """
    number = parse(text, as_unit=reading.unit).to(reading.unit)
    limits, outcomes = _rising(reading, quantities)
    place = sum(number >= limit for limit in limits)
    sigma = 0.0
    if reading.gauge:
        scale = quantities[reading.gauge.span]
        if number > MOST_OF_SCALE * scale:
            what = "{typed} is far beyond a gauge of {scale} {unit}. Read it again."
            raise NotAQuantity(what, typed=repr(text), scale=f"{scale:g}", unit=reading.unit)
        sigma = standard_deviation(min(number, scale), scale, reading.gauge.grade)
    weights: dict[str, float] = {}
    for outcome, weight in zip(outcomes, outcome_weights(number, limits, sigma), strict=True):
        weights[outcome] = weights.get(outcome, 0.0) + weight
    return Judged(outcomes[place], weights)


def _rising(reading: Reading, quantities: Mapping[str, float]) -> tuple[list[float], list[str]]:
    """The limits between the bins, and each bin's outcome; a bin that is empty on this unit is dropped."""
    limits: list[float] = []
    outcomes: list[str] = []
    for part in reading.bins:
        if part.below is None:
            outcomes.append(part.outcome)
            break
        limit = part.below * (quantities[part.of] if part.of else 1.0)
        if not limits or limit > limits[-1]:
            limits.append(limit)
            outcomes.append(part.outcome)
    return limits, outcomes
