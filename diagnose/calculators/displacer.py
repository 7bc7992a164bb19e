"""The displacer: its weight in the liquid, and whether it is strong enough to work the pilot.

A displacer weighs less by the weight of the liquid that it moves aside. The upper fluid is gas, whose
weight is left out, or for an interface the lighter liquid. How stiff the controller is cannot be worked
out from drawings; one measurement tells it: the change of level that drove the output from nothing to
full. The set point is made with the displacer bare, so that change is counted from its bottom up. For
other places of the fulcrum this model is used, which is common practice, no source: the force needed is
a constant times a lever ratio that runs straight from 1 at the innermost mark to `outer_ratio` at the
outermost. The little way that the arm itself moves is left out.
"""

from collections.abc import Mapping
from typing import Final

from diagnose.calculators.base import Answer, Calculation, Calculator, CannotWork, Input, Value
from diagnose.calculators.buoyancy import ARCHIMEDES, GRAVITY, Hanging, buoyant_force, cylinder_volume
from diagnose.units import WATER_60F

LEVER_MODEL: Final = (
    "lever ratio straight from the innermost to the outermost mark: common practice, no source"
)
PLACES: Final = {"innermost": 0.0, "middle": 0.5, "outermost": 1.0}
"""Fulcrum places for which the span is predicted."""
LIKELY_DENSITY: Final = (200.0, 12_000.0)
"""kg/m3; a displacer outside it has a wrong weight or size (lead is 11 340; common practice, no source)."""


def lever_ratio(place: float, outer_ratio: float) -> float:
    """How much more force full stroke takes than with the fulcrum innermost; a bare number.

    ``place``: 0 innermost to 1 outermost; ``outer_ratio``: the ratio at the outermost mark, 1 or more.
    Inward narrows the band and outward widens it. Source: common practice, no source.

    >>> lever_ratio(0.0, 3.0), lever_ratio(0.5, 3.0), lever_ratio(1.0, 3.0)
    (1.0, 2.0, 3.0)
    """
    return 1 + (outer_ratio - 1) * place


def _number(given: Mapping[str, Value], name: str) -> float | None:
    return float(given[name]) if name in given else None


def hanging_of(given: Mapping[str, Value]) -> Hanging:
    diameter, length = float(given["diameter"]), float(given["length"])
    lower, upper = float(given["density"]), float(given.get("upper_density", 0.0))
    if upper > lower:
        raise CannotWork(
            "upper_density is more than density: the lighter liquid lies on top; change the two round"
        )
    mass = _number(given, "weight")
    if mass is None and "material_density" in given:
        mass = float(given["material_density"]) * cylinder_volume(diameter, length)
    return Hanging(diameter, length, str(given["hung"]), lower, upper, mass)


def _weights(displacer: Hanging, given: Mapping[str, Value]) -> list[Answer]:
    """The displacer by itself: volume, weight, buoyancy, and what it weighs in the fluids."""
    low, high = (buoyant_force(displacer.volume, each) for each in (displacer.upper, displacer.lower))
    answers = [
        Answer("volume", "volume of the displacer", displacer.volume, "in3"),
        Answer("buoyancy_covered", "lift of the liquid when it is wholly covered", high, "lbf"),
        Answer("lift", "change of its pull from bare to covered", displacer.lift, "lbf"),
    ]
    if "arm" in given:
        torque = displacer.lift * float(given["arm"])
        answers.append(Answer("torque_change", "change of torque from bare to covered, in N m", torque))
    share = _number(given, "covered_share")
    if "covered" in given:
        share = displacer.share_at(float(given["covered"]))
    now = None if share is None else low + share * displacer.lift
    if share is not None and now is not None:
        answers.append(Answer("share_covered", "share of it under the level now", share, "%"))
        answers.append(Answer("buoyancy_now", "lift of the liquid now", now, "lbf"))
    if displacer.mass is not None:
        weight, own = displacer.mass * GRAVITY, displacer.mass / displacer.volume
        answers += [
            Answer("weight", "weight, dry", displacer.mass, "lb"),
            Answer("own_density", "it floats in a liquid of this weight or heavier", own, "SG"),
            Answer("pull_bare", "pull on the arm with the level below it", weight - low, "lbf"),
            Answer("pull_covered", "pull on the arm with the level above it", weight - high, "lbf"),
            Answer("floats", "whether it floats", displacer.floats),
        ]
        if now is not None:
            answers.append(Answer("pull_now", "pull on the arm now", weight - now, "lbf"))
    return answers


def _force_needed(displacer: Hanging, given: Mapping[str, Value]) -> tuple[float, float | None] | None:
    """(Force in N at the displacer for full stroke as the fulcrum stands, its place if known), if told."""
    place = _number(given, "fulcrum")
    if "needed_force" in given:
        if "measured_span" in given:
            raise CannotWork("measured_span and needed_force both tell the stiffness: take one of them out")
        return float(given["needed_force"]), place
    if "measured_span" not in given:
        return None
    span = float(given["measured_span"])
    if span > displacer.height * (1 + 1e-9):
        raise CannotWork(
            "measured_span is more than the displacer is high as it hangs: put right the span, size or `hung`"
        )
    force = displacer.share_at(span) * buoyant_force(displacer.volume, float(given["measured_density"]))
    measured_at = _number(given, "measured_at")
    if place is None or measured_at is None:
        return force, measured_at if place is None else place
    outer = float(given["outer_ratio"])
    return force * lever_ratio(place, outer) / lever_ratio(measured_at, outer), place


def _stroke(displacer: Hanging, needed: float, place: float | None, outer: float) -> list[Answer]:
    """What full stroke takes of the displacer, as the fulcrum stands and at other places."""
    difference = needed / (GRAVITY * displacer.volume)
    answers = [
        Answer("force_needed", "force at the displacer for full stroke", needed, "lbf"),
        Answer("least_difference", "least difference of densities that gives full stroke", difference, "SG"),
        Answer(
            "lightest_liquid", "lightest liquid that gives full stroke", displacer.upper + difference, "SG"
        ),
    ]
    if displacer.lift <= 0:
        return answers
    spots = [("", "as the fulcrum stands", needed)]
    if place is not None:
        innermost = needed / lever_ratio(place, outer)
        spots += [
            (f"_{name}", f"with the fulcrum {name}", innermost * lever_ratio(at, outer))
            for name, at in PLACES.items()
        ]
        if innermost <= displacer.lift:
            out = 1.0 if outer <= 1 else min((displacer.lift / innermost - 1) / (outer - 1), 1.0)
            answers.append(
                Answer("furthest_out", "furthest out that the fulcrum gives full stroke", out, "%")
            )
    for name, where, force in spots:
        share = force / displacer.lift
        answers.append(
            Answer(f"share_used{name}", f"share of its lift that full stroke takes {where}", share, "%")
        )
        if share <= 1:
            span = displacer.height_at(share)
            answers.append(
                Answer(f"span{name}", f"change of level for full stroke {where}, from its bottom", span, "in")
            )
    return answers


def _weight_notes(displacer: Hanging, given: Mapping[str, Value]) -> tuple[list[str], bool]:
    """(Notes on the weight, whether the weight can belong to a thing of this size)."""
    if displacer.mass is None:
        return [
            "Without its weight nobody can tell whether it floats. Give weight (solid: material_density)."
        ], True
    notes, own, likely = [], displacer.mass / displacer.volume, True
    if "weight" in given and "material_density" in given:
        notes.append("The weight was used, not the density of the material.")
        if own > 1.05 * float(given["material_density"]):
            notes.append("It is heavier than a solid piece: it is caked or filled, or a number is wrong.")
    if not LIKELY_DENSITY[0] <= own <= LIKELY_DENSITY[1]:
        likely = False
        notes.append(
            "No displacer is so heavy or so light for its size. Read weight, diameter and length again."
        )
    if displacer.floats:
        notes.append("It floats: it looks like a high level for ever. Fit a heavier one.")
    return notes, likely


def _stroke_notes(displacer: Hanging, needed: float, place: float | None, outer: float) -> list[str]:
    """What the force for full stroke means, in sentences."""
    notes = ["Spans at other fulcrum places are estimates. Try it, and watch the output."]
    if place is None:
        notes = ["Give fulcrum (0 % innermost, 100 % outermost) to get the spans at other places."]
    if needed > displacer.lift:
        if place is not None and needed / lever_ratio(place, outer) <= displacer.lift:
            notes.append("Too weak as the fulcrum stands. Further in it may give full output.")
        else:
            notes.append("Too weak to give full output. It takes a larger displacer or a softer spring.")
    elif needed > 0.8 * displacer.lift:
        notes.append("Over 80 % of its lift is used. A stiff shaft or a lighter liquid would be too much.")
    return notes


def _work(given: Mapping[str, Value]) -> Calculation:
    if "covered" in given and "covered_share" in given:
        raise CannotWork("covered and covered_share say the same thing: take one of them out")
    displacer, outer = hanging_of(given), float(given["outer_ratio"])
    answers = _weights(displacer, given)
    notes, likely = _weight_notes(displacer, given)
    sources = [ARCHIMEDES]
    told = _force_needed(displacer, given)
    weak: bool | None = True if displacer.lift <= 0 else None
    if told is not None:
        weak = told[0] > displacer.lift
        answers += _stroke(displacer, *told, outer)
        notes += _stroke_notes(displacer, *told, outer)
        sources.append(LEVER_MODEL)
        if "measured_span" in given and "fulcrum" in given and "measured_at" not in given:
            notes.append("The span was taken as measured with the fulcrum where it is now.")
    elif displacer.lift > 0:
        notes.append("Whether it is strong enough takes measured_span (or needed_force).")
    if displacer.lift <= 0:
        notes.append("The two liquids weigh the same: it cannot feel where one ends.")
    if displacer.floats:
        answers.append(Answer("fit", "floats, weak or fits", "floats"))
    elif weak is not None and displacer.mass is not None:
        answers.append(Answer("fit", "floats, weak or fits", "weak" if weak else "fits"))
    return Calculation("displacer", given, tuple(answers), likely, tuple(notes), tuple(sources))


DISPLACER: Final = Calculator(
    "displacer",
    "Displacer: its weight in the liquid, and whether it can work the pilot",
    (
        Input("diameter", "diameter", "in", least=0.01, most=1.0, sheet="displacer.diameter"),
        Input("length", "length of the cylinder", "in", least=0.02, most=6.0, sheet="displacer.length"),
        Input("hung", "how it hangs", words=("upright", "flat"), sheet="displacer.hung"),
        Input("density", "the liquid", "API", least=300, most=2500, sheet="service.density"),
        Input(
            "upper_density",
            "lighter liquid on top, for an interface; left out: gas",
            "API",
            optional=True,
            most=2500,
            sheet="service.upper_density",
        ),
        Input("weight", "weight, dry", "lb", optional=True, least=0.01, most=500, sheet="displacer.weight"),
        Input(
            "material_density",
            "what it is made of, when it is solid",
            "SG",
            optional=True,
            least=LIKELY_DENSITY[0],
            most=LIKELY_DENSITY[1],
            sheet="displacer.density",
        ),
        Input("arm", "shaft to displacer", "in", optional=True, least=0.01, most=5, sheet="displacer.arm"),
        Input("covered", "height of the level above the displacer's bottom now", "in", optional=True),
        Input("covered_share", "or: share of it under the level now", "%", optional=True, most=1),
        Input(
            "fulcrum",
            "place of the fulcrum, 0 % innermost, 100 % outermost",
            "%",
            optional=True,
            most=1,
            sheet="controller.fulcrum",
        ),
        Input(
            "measured_span",
            "change of level, from its bottom up, that drove the output from nothing to full",
            "in",
            optional=True,
            least=0.001,
            sheet="displacer.measured_span",
        ),
        Input(
            "measured_at",
            "place of the fulcrum then",
            "%",
            optional=True,
            most=1,
            sheet="displacer.measured_at",
        ),
        Input(
            "measured_density",
            "liquid it was measured in (for an interface: difference of the two)",
            "SG",
            usual=WATER_60F,
            least=20,
            most=2500,
        ),
        Input(
            "needed_force",
            "or: force at the displacer for full stroke",
            "lbf",
            optional=True,
            least=0.01,
            sheet="displacer.needed_force",
        ),
        Input(
            "outer_ratio",
            "force for full stroke with the fulcrum outermost against innermost (common practice, no source)",
            usual=3.0,
            least=1.0,
            most=20.0,
        ),
    ),
    _work,
)
