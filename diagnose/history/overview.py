"""What lists show of a callout. It follows from the events alone, and needs no book."""

from dataclasses import dataclass
from typing import Final

from diagnose.events import COULD_NOT_TELL, Event, opening_of, standing
from diagnose.history.record import Record

OPEN: Final = ("", "not_proved")
"""The ends that somebody can go on from: what was put right still waits for its proof."""

ENDS: Final = frozenset({"help", "closed", "prove"})
"""Kinds of events without one of which no callout ends."""


@dataclass(frozen=True)
class Overview:
    """One callout in a list."""

    key: str
    """Its name among all stores."""
    name: str
    unit: str
    site: str
    caller: str
    opened: str
    """When, ISO 8601 in UTC."""
    last: str
    """When the last event was saved."""
    complaint: str
    ended: str
    """How: cured, not_proved, help or closed; empty while it is open."""
    cause: str
    """What was wrong, as far as it was put right or found out later."""
    answers: int
    """Answers that still count."""
    branches: int
    """How many branches stand beside its line."""
    struck: bool

    @property
    def open(self) -> bool:
        """Whether somebody can go on with it."""
        return self.ended in OPEN and not self.struck


def overview_of(record: Record) -> Overview:
    """The overview of a record."""
    kept = standing(record.events)
    opening = opening_of(kept)
    return Overview(
        record.key,
        opening.callout,
        opening.unit,
        opening.site,
        opening.caller,
        kept[0].at,
        max(entry.event.at for entry in record.kept),
        next((event.answer for event in reversed(kept) if event.kind == "complaint"), ""),
        ending_of(kept),
        record.cause_after_all or _cause(kept),
        sum(event.kind != "tick" for event in kept) - 1,
        len(record.branches()),
        record.struck,
    )


def ending_of(kept: list[Event]) -> str:
    """How a callout ended by the events that count; empty when it has not."""
    last = kept[-1]
    match last.kind:
        case "help" | "closed":
            return last.kind
        case "prove" if last.answer == "cured":
            return "cured"
        case "prove" if last.answer == COULD_NOT_TELL:
            return "not_proved"
        case _:
            return ""


def _cause(kept: list[Event]) -> str:
    """The repair that cured it, or what it was closed as."""
    if kept[-1].kind == "closed" and kept[-1].id:
        return kept[-1].id
    cured = [event.id for event in kept if event.kind == "prove" and event.answer == "cured"]
    return cured[-1] if cured else ""
