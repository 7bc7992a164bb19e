"""Setting a level controller: the set point and the span, step by step, as plain sentences.

Common practice, no source. Which way of turning loads the spring differs between makers, so every step
says what the output must do, and names the turn only as the usual one. The set point is always reached by
coming to the edge of action from beyond it, so that play in the parts is taken up.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal, cast

from diagnose.loop import LEGEND, Action, Fails
from diagnose.units import Gauge, from_si
from diagnose.words import SAFETY

Steps = tuple[str, ...]

CAUTIONS: Final[Steps] = (
    SAFETY,
    "Somebody stands at the level glass the whole time, and says what the level does.",
    "Hands off the valve's stem: it moves without warning.",
    "Vessel and supply are at zero, and proved so, before anything is opened or taken off.",
    "The wrench goes on the mount, never on the enclosure. The enclosure ends plumb, the pilot on top.",
)
"""What stands before every procedure."""
COUNTER_CLOCKWISE: Final = "(usually counter-clockwise; makers differ: watch the output)"
CLOCKWISE: Final = "(usually clockwise; makers differ: watch the output)"
PART_WAY: Final = 10.0
"""psi of output that shows a throttling pilot to be well past its edge (common practice, no source)."""


@dataclass(frozen=True)
class Variant:
    """The steps for one set-up."""

    when: str
    """The set-up that they hold for, as "If it snaps and the valve fails closed"; empty when it is known."""
    steps: Steps


@dataclass(frozen=True)
class Procedure:
    """What to read first, and the steps; more than one variant where the set-up is not known."""

    title: str
    cautions: Steps
    variants: tuple[Variant, ...]

    def sentences(self) -> Steps:
        """All of it in order, the steps of each variant numbered from 1."""
        lines = [self.title, *self.cautions]
        for variant in self.variants:
            lines += [f"{variant.when}:"] if variant.when else []
            lines += [f"{number}. {step}" for number, step in enumerate(variant.steps, 1)]
        return tuple(lines)


def set_point(action: Action | None, fails: Fails | None, supply: Gauge | None = None) -> Procedure:
    """How to set the level at which it acts. ``supply``: pressure set for the controller, Pa.

    An unknown action or fail position gives a variant for each that it can be. Source: common practice.

    >>> [variant.when for variant in set_point("snap", None).variants]
    ['If the valve fails closed', 'If the valve fails open']
    """
    actions: tuple[Action, ...] = (action,) if action else ("snap", "throttle")
    places: tuple[Fails, ...] = (fails,) if fails else ("closed", "open")
    variants = []
    for each in actions:
        for place in places:
            parts = [] if action else ["it snaps" if each == "snap" else "it throttles"]
            parts += [] if fails else [f"the valve fails {place}"]
            when = f"If {' and '.join(parts)}" if parts else ""
            steps = (*_before(supply), *_turns(each, place, supply), *AFTER)
            variants.append(Variant(when, steps))
    return Procedure("Set point", CAUTIONS, tuple(variants))


def span(action: Action | None) -> Procedure:
    """How to set the band of level over which it acts, by the place of the fulcrum.

    An unknown action gives both. Source: common practice.

    >>> span("snap").variants[0].steps[0]
    'Snap: put the fulcrum at its innermost mark. That is the smallest band.'
    """
    steps = {"snap": SNAP_SPAN, "throttle": THROTTLE_SPAN}
    when = {"snap": "If it snaps", "throttle": "If it throttles"}
    variants = [Variant("", steps[action])] if action else [Variant(when[a], steps[a]) for a in steps]
    return Procedure("Span", CAUTIONS, tuple(variants))


def _psi(pressure: Gauge) -> str:
    return f"{from_si(pressure, 'psi'):.3g} psi"


def _full(supply: Gauge | None) -> str:
    """Full output in words: it is as high as the supply."""
    return f"full output, about {_psi(supply)}" if supply else "full output, about the supply pressure"


def _before(supply: Gauge | None) -> Steps:
    gauge = (
        f"Supply on. Its gauge reads {_psi(supply)}." if supply else "Supply on, at the pressure set for it."
    )
    return (
        "The vessel is at zero, or the dump line is blocked in by site procedure: the turns can open the "
        "valve while no liquid stands over it, and gas would blow through.",
        "The liquid is below the displacer: the displacer hangs dry and free.",
        f"{gauge} The output gauge is in sight.",
    )


AFTER: Final[Steps] = (
    "Open the dump line again by site procedure. The output must stay where it is.",
    "Let the level rise onto the displacer. The output must move, and the valve must open and then shut.",
    "Watch two full cycles at the level glass. Mark where the knob stands.",
    LEGEND,
)


def _turns(action: Action, fails: Fails, supply: Gauge | None) -> Steps:
    """The turns of the spring's knob with the displacer dry, in which the output ends at the edge."""
    full = _full(supply)
    if action == "snap" and fails == "closed":
        return (
            f"Turn the knob {COUNTER_CLOCKWISE} until the output snaps to {full}.",
            f"Turn it slowly back {CLOCKWISE} and stop when the output drops to zero.",
        )
    if action == "snap":
        return (
            f"Start from {full}.",
            f"Turn the knob {COUNTER_CLOCKWISE} until the output drops to zero.",
            f"Turn it slowly back {CLOCKWISE} until the output is at full again, and stop.",
        )
    if fails == "closed":
        return (
            "Start from zero output.",
            f"Turn the knob {COUNTER_CLOCKWISE} until the output reads {_part_way(supply)}.",
            f"Turn it slowly back {CLOCKWISE} until the output just reaches zero, and stop.",
        )
    return (
        "Start from zero output.",
        f"Turn the knob slowly {CLOCKWISE} until the output just reaches {full}, and stop.",
    )


def _part_way(supply: Gauge | None) -> str:
    if supply and from_si(supply, "psi") <= PART_WAY:
        return f"about half of the supply, {_psi(Gauge(supply / 2))}"
    return f"about {PART_WAY:.0f} psi"


SNAP_SPAN: Final[Steps] = (
    "Snap: put the fulcrum at its innermost mark. That is the smallest band.",
    "Set the set point again, for the fulcrum shifts it.",
    "Let it dump. Note at the level glass where the output snaps over, and where it snaps back.",
    "Too short a cycle: move the fulcrum out a little. The output must then take more level to snap over.",
    "Set the set point again and watch two cycles: the output goes all the way, to full and to zero.",
    "It must snap over well below the high trip and back well above the outlet. Leave the trips as they are.",
    LEGEND,
)
THROTTLE_SPAN: Final[Steps] = (
    "Throttle: put the fulcrum at its middle mark.",
    "Set the set point again, for the fulcrum shifts it.",
    "Let the level rise slowly. The output must follow it smoothly from one end to the other.",
    "The output swings up and down: move the fulcrum out a little, for a wider band.",
    "The output moves too little or too late: move the fulcrum in a little, for a narrower band.",
    "Set the set point again after each move, and watch until the output stands steady.",
    "The whole band lies well below the high trip and well above the outlet. Leave the trips as they are.",
    LEGEND,
)


def fitted(name: Literal["set_point", "span"], values: Mapping[str, float | str]) -> Procedure:
    """A procedure fitted to a unit sheet's values, by field in SI."""
    action = cast("Action | None", values.get("controller.action"))
    if name == "span":
        return span(action)
    fails = cast("Fails | None", values.get("valve.fails"))
    supply = values.get("controller.supply_set")
    return set_point(action, fails, None if supply is None else Gauge(float(supply)))
