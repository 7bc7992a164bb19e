"""What a reading of a pressure gauge can mean, given the gauge's range and grade.

A grade allows an error in per cent of the span (the whole scale, from zero). Grades A to C are tighter in
the middle half of the scale. The allowed limits are read as three standard deviations of a normal error.
"""

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final, NamedTuple

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input, Value

B40: Final = "ASME B40.100, grades A to D (from memory)"
GRADES: Final[dict[str, tuple[float, float]]] = {
    "A": (0.02, 0.01),
    "B": (0.03, 0.02),
    "C": (0.04, 0.03),
    "D": (0.05, 0.05),
}
"""Grade: (share of span allowed in the lower and upper quarter of the scale, in its middle half)."""
DEVIATIONS_TO_LIMIT: Final = 3.0
"""How many standard deviations the allowed limits are read as: nearly every good gauge is inside them."""


class Span(NamedTuple):
    """What the true pressure can be, Pa gauge; `high` is infinite under a needle that is against its stop."""

    low: float
    high: float


def allowed_error(reading: float, full_scale: float, grade: str) -> float:
    """Error that the grade allows at that reading, in the unit of the two.

    ``full_scale``: the highest number on the scale, above zero; ``grade``: A, B, C or D. The limits are taken
    at the reading. Holds for a scale that starts at zero. Source: ASME B40.100.

    >>> [round(allowed_error(reading, 100.0, "B"), 6) for reading in (10.0, 50.0, 90.0)]
    [3.0, 2.0, 3.0]
    """
    ends, middle = GRADES[grade]
    return full_scale * (middle if 0.25 <= reading / full_scale <= 0.75 else ends)


def standard_deviation(reading: float, full_scale: float, grade: str) -> float:
    """Standard deviation to take for a reading's error: a third of `allowed_error`.

    >>> round(standard_deviation(50.0, 100.0, "C"), 6)
    1.0
    """
    return allowed_error(reading, full_scale, grade) / DEVIATIONS_TO_LIMIT


def standing(reading: float, full_scale: float) -> str:
    """How a reading stands to the scale: possible, below_zero, pegged (at the top) or above_range.

    >>> [standing(reading, 60.0) for reading in (-1.0, 30.0, 60.0, 80.0)]
    ['below_zero', 'possible', 'pegged', 'above_range']
    """
    if reading < 0:
        return "below_zero"
    if math.isclose(reading, full_scale, rel_tol=1e-9):
        return "pegged"
    return "possible" if reading < full_scale else "above_range"


def true_span(reading: float, full_scale: float, grade: str) -> Span:
    """What the true pressure can be when the gauge is within its grade, in the unit of the reading.

    Never below zero; without an upper end when the needle is at the top of the scale. Source: ASME B40.100.

    >>> true_span(30.0, 100.0, "B")
    Span(low=28.0, high=32.0)
    """
    error = allowed_error(reading, full_scale, grade)
    top = math.inf if standing(reading, full_scale) == "pegged" else max(reading + error, 0.0)
    return Span(max(reading - error, 0.0), top)


def can_be_same(one: Span, other: Span) -> bool:
    """Whether two gauges can be on the same pressure: what each can mean has a part in common.

    >>> can_be_same(Span(28.0, 32.0), Span(31.0, 35.0)), can_be_same(Span(28.0, 32.0), Span(33.0, 37.0))
    (True, False)
    """
    return one.low <= other.high and other.low <= one.high


def outcome_weights(reading: float, limits: Sequence[float], sigma: float) -> list[float]:
    """Probability that the true value lies in each of the bins that ``limits`` cut, from the lowest up.

    ``limits``: rising, n of them cut n + 1 bins, the first from zero and the last without an end; a value on
    a limit belongs to the bin above it. ``sigma``: standard deviation of the reading's error, taken as
    normal, with no true value below zero; zero makes the reading exact. All in one unit. Raises `ValueError`
    when the limits do not rise or ``sigma`` is below zero. Source: normal distribution cut off at zero.

    >>> [round(weight, 4) for weight in outcome_weights(10.0, [1.5, 10.0], 0.5)]
    [0.0, 0.5, 0.5]
    """
    if any(low >= high for low, high in pairwise(limits)):
        raise ValueError(f"the limits must rise: {list(limits)}")
    if not sigma >= 0:
        raise ValueError(f"the standard deviation cannot be below zero: {sigma}")
    ends = [0.0, *(max(limit, 0.0) for limit in limits), math.inf]
    pairs = list(pairwise(ends))
    if sigma > 0:
        weights = [_between((low - reading) / sigma, (high - reading) / sigma) for low, high in pairs]
        if total := sum(weights):
            return [weight / total for weight in weights]
    exact = max(reading, 0.0)  # no error, or so far below zero that zero itself is all that is left
    return [1.0 if low <= exact < high else 0.0 for low, high in pairs]


def _between(low: float, high: float) -> float:
    """Probability of a standard normal between two ends, from the tail where the difference is exact."""
    if low > 0:
        low, high = -high, -low
    return (math.erfc(-high / math.sqrt(2)) - math.erfc(-low / math.sqrt(2))) / 2


_STANDING_NOTES: Final = {
    "above_range": (
        "The reading is above the gauge's scale: it was read wrong, or the range is another one. Look again."
    ),
    "pegged": (
        "The needle is at the top of the scale: the pressure can be far above it. Treat it so, keep clear, "
        "and follow site procedure. The gauge may be spoiled."
    ),
    "below_zero": (
        "The needle rests under zero: the gauge has shifted, or there is a vacuum. Do not trust its other "
        "readings. Compare with a gauge that is known good."
    ),
}


def _read(given: Mapping[str, Value]) -> tuple[float, str]:
    """(Reading, how it stands to the scale), the needle's place taken before the number."""
    reading, full_scale = float(given["reading"]), float(given["range"])
    if given["needle"] == "on_scale":
        return reading, standing(reading, full_scale)
    return (full_scale, "pegged") if given["needle"] == "at_top_stop" else (0.0, "below_zero")


def _other(given: Mapping[str, Value], span: Span) -> tuple[list[Answer], list[str]]:
    """(Whether a second gauge can be on the same pressure, notes); empty without one."""
    if "other_reading" not in given:
        return [], []
    if "other_range" not in given:
        raise CannotWork("the second gauge needs its range: add other_range")
    second = float(given["other_reading"]), float(given["other_range"])
    if standing(*second) == "above_range":
        raise CannotWork("other_reading is above other_range: read the second gauge again")
    same = can_be_same(span, true_span(*second, str(given["other_grade"])))
    notes = [
        "Two gauges compare only on the same line, with nothing flowing between them, at the same moment."
    ]
    if not same:
        notes.append("They cannot both be right and on the same pressure.")
    return [Answer("can_be_same", "whether both can be on the same pressure", same)], notes


def _work(given: Mapping[str, Value]) -> Calculation:
    full_scale, grade = float(given["range"]), str(given["grade"])
    reading, stands = _read(given)
    span = true_span(reading, full_scale, grade)
    answers = [Answer("standing", "possible, pegged, above_range or below_zero", stands)]
    if stands in ("possible", "pegged"):
        answers.append(Answer("lowest", "least that the true pressure can be", span.low, "psi"))
    if stands == "possible":
        error = allowed_error(reading, full_scale, grade)
        answers += [
            Answer("highest", "most that it can be", span.high, "psi"),
            Answer("allowed_error", "error that the grade allows here, up or down", error, "psi"),
            Answer("deviation", "standard deviation to take", error / DEVIATIONS_TO_LIMIT, "psi"),
        ]
    notes = [_STANDING_NOTES[stands]] if stands in _STANDING_NOTES else []
    if stands in ("possible", "pegged"):
        more, told = _other(given, span)
        answers, notes = answers + more, notes + told
    if stands == "possible" and span.low == 0:
        notes.append("It can be zero. It does not prove that the line is dead: follow site procedure.")
    notes += [
        "The standard deviation reads the grade's limits as three of them.",
        "The grade holds for a gauge in good order. One that was dropped, shaken or over-pressured can be "
        "off by more.",
    ]
    return Calculation("gauge", given, tuple(answers), stands == "possible", tuple(notes), (B40,))


_GRADE_WORDS: Final = tuple(GRADES)

GAUGE: Final = Calculator(
    "gauge",
    "Gauge: what a reading can mean, given its range and grade",
    (
        Input("reading", "what the needle shows", "psi", most=1e9),
        Input("range", "highest number on the scale", "psi", least=100.0, most=1e9),
        Input("grade", "its grade (usual: common practice, no source)", words=_GRADE_WORDS, usual="B"),
        Input(
            "needle",
            "where the needle rests",
            words=("on_scale", "at_top_stop", "below_zero"),
            usual="on_scale",
        ),
        Input("other_reading", "what a second gauge shows", "psi", optional=True, most=1e9),
        Input("other_range", "highest number on its scale", "psi", optional=True, least=100.0, most=1e9),
        Input("other_grade", "its grade", words=_GRADE_WORDS, usual="B"),
    ),
    _work,
)
