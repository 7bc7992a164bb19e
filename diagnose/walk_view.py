"""What a walk shows at one moment, and the others who may be working on the same callout."""

from dataclasses import dataclass
from typing import Protocol

from diagnose.advice import Advice
from diagnose.callout import State
from diagnose.events import Event
from diagnose.fit import NO_CONFLICT, Fit
from diagnose.history.record import Seen
from diagnose.steps import Step


@dataclass(frozen=True)
class Leader:
    """One of the likeliest faults."""

    id: str
    title: str
    probability: float
    before: float
    """Its probability one answer earlier."""
    rests_on: str = ""
    """How many callouts its base rate rests on; empty when the callout began without a history."""


@dataclass(frozen=True)
class View:
    """Everything that a face shows at one moment."""

    unit: str
    step: Step | None
    """None when the callout has ended."""
    state: State
    leaders: tuple[Leader, ...] = ()
    sections: tuple[tuple[str, float], ...] = ()
    """Share of the blame in each section, in signal order; the sum is below 1 by what is unlisted."""
    unlisted: float = 0.0
    """Share of the blame that lies with causes not in the book."""
    fit: Fit = NO_CONFLICT
    advice: Advice | None = None
    """What the step was made from; None where something else comes before any advice."""


class Others(Protocol):
    """The other people who may be working on the same callout."""

    def news(self) -> Seen | None:
        """The callout as it is now, when somebody else has answered since; changes nothing."""
        ...

    def accept(self, seen: Seen) -> bool:
        """This walk has seen so much; False when it had seen that already."""
        ...


class Overtaken(Exception):
    """Somebody else answered first: nothing was saved, and the walk stands where that answer led.

    ``events``: what was added to the walk, in order.
    """

    def __init__(self, events: tuple[Event, ...]) -> None:
        super().__init__("somebody else has answered first")
        self.events = events
