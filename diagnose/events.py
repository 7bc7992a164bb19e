"""The events of a callout, and undo. A callout is nothing but its events in order."""

from collections.abc import Iterable
from typing import Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, FiniteFloat

from diagnose.learned import Learned

SCHEMA_VERSION: Final = 1
"""Of the events on disk and of everything that `--json` prints."""
COULD_NOT_TELL: Final = "could_not_tell"
CANNOT: Final = "cannot"
"""The answer that something cannot be done now."""

ALSO: Final = "also"
"""The id of a complaint that is told beside the first one."""

Kind = Literal[
    "opened",
    "triage",
    "notice",
    "complaint",
    "check",
    "caution",
    "hold",
    "repair",
    "prove",
    "help",
    "closed",
    "reopened",
    "tick",
    "undo",
    "note",
    "corrected",
    "struck",
]
REMARKS: Final = frozenset({"note", "corrected", "struck"})
"""Kinds that are said of a callout as a whole: they stand beside its line of answers, whose order they do
not touch, and no undo takes them back."""


class Opening(BaseModel):
    """What a callout starts from, kept with it so that a replay needs no other file."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    schema_version: int = SCHEMA_VERSION
    callout: str
    unit: str
    site: str = ""
    """Where the unit stands, as its sheet calls it; empty when nobody said."""
    facts: dict[str, str]
    quantities: dict[str, FiniteFloat]
    sheet: dict[str, FiniteFloat | str] = Field(default_factory=dict)
    """Every known field of the unit's sheet by its path: SI numbers and words."""
    book: str
    """Digest of the book."""
    learned: Learned | None = None
    """What the history had taught of the unit by then; None when nobody asked it, or it had nothing."""
    caller: str = ""
    """Name of the person who called, if it is to be kept; no part of an export unless it is asked for."""


class Event(BaseModel):
    """One thing that a person answered or did."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    at: str
    """When, ISO 8601 in UTC; for people and reports, never used to reason."""
    kind: Kind
    id: str = ""
    """What was answered: a triage question, a check or fact, a hold, a cause; for a tick the page that the
    step stands on (`page_of`)."""
    answer: str = ""
    text: str = ""
    """A reading as it was typed."""
    sure: bool = True
    """False for a check or a fact that is thought to be so, but is not sure."""
    by: str = ""
    """Name of the person who gave the answer, if it is to be kept; left out as `Opening.caller` is."""
    opening: Opening | None = None

    def line(self) -> str:
        """One line of JSON, without what is empty."""
        return self.model_dump_json(exclude_defaults=True)


def page_of(kind: str, name: str) -> str:
    """The name of a page whose steps are ticked.

    >>> page_of("hold", "on bypass")
    'hold:on bypass'
    """
    return f"{kind}:{name}"


def standing(events: Iterable[Event]) -> list[Event]:
    """The events that still count: each undo takes the last one back, but never the opening.

    >>> e = [Event(at="", kind=k, id=i) for k, i in [("opened", ""), ("check", "a"), ("undo", "")]]
    >>> [event.kind for event in standing(e)]
    ['opened']
    """
    kept: list[Event] = []
    for event in events:
        if event.kind != "undo":
            kept.append(event)
        elif len(kept) > 1:
            kept.pop()
    return kept


def opening_of(events: list[Event]) -> Opening:
    """What the callout starts from; `ValueError` when the first event does not say."""
    first: Any = events[0].opening if events else None
    if not isinstance(first, Opening):
        raise ValueError("the first event does not open a callout")
    return first
