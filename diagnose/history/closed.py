"""A closed callout as statistics read it, made from its events.

Which cause it was about is a share for each cause. A repair that cured it alone has all of it. Where
several were put right before the proof, or one piece of work puts several right, they share it by what
was believed of them; where nothing was proved, or nobody found it, every cause has its share of the blame
and what nobody can name lies with the unlisted. What is believed is the book's alone and never what was
learned, so that history does not confirm itself.
"""

from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from itertools import pairwise
from math import isnan
from typing import Final

from diagnose.advice import Adviser
from diagnose.callout import BadEvent, Ending, State, replay
from diagnose.compile import all_causes, unlisted
from diagnose.events import COULD_NOT_TELL, Event, opening_of, standing
from diagnose.history.record import Record
from diagnose.reasoner import Reasoner
from diagnose.trees import Shapes
from knowledge.book import Book

LONGEST_PAUSE: Final = 240.0
"""Minutes between two answers above which nobody was at it: the lid was shut (judgement, no source)."""
LEAST_PART: Final = 0.2
"""Share of the book's minutes below which a step was not made but known already (judgement, no source)."""
MOST_PARTS: Final = 10.0
"""The book's minutes times this, above which a step was broken by something else (judgement, no source)."""
REASONERS_KEPT: Final = 4
"""Compiled networks kept at hand, one for each set of facts."""


@dataclass(frozen=True)
class TriedRepair:
    """A repair that was done on a callout."""

    cause: str
    minutes: float | None
    """None when the time between the answers does not tell."""
    held: bool | None
    """True: it cured it. False: the same cause, put right again, did. None: nobody can say."""


@dataclass(frozen=True)
class MadeCheck:
    """A check that was made, or a fact that was looked up, on a callout."""

    check: str
    answer: str
    minutes: float | None
    """None when the time between the answers does not tell."""


@dataclass(frozen=True)
class ClosedCallout:
    """One callout that has ended; times in UTC, minutes of clock time."""

    callout: str
    unit: str
    site: str
    """Empty when nobody said."""
    opened: datetime
    ended: datetime
    complaint: str
    """The first one."""
    ending: Ending
    shares: Mapping[str, float]
    """Each cause's share of this callout, unlisted ones too; sums to 1. Causes with none are left out."""
    minutes: float
    """From the opening to the end, pauses over `LONGEST_PAUSE` left out."""
    repairs: tuple[TriedRepair, ...] = ()
    checks: tuple[MadeCheck, ...] = ()
    lost_minutes: float | None = None
    """Minutes of production that were lost; None when nobody said."""
    facts: Mapping[str, str] = field(default_factory=dict)
    """What was known of the unit when it was opened, and what was looked up on the spot."""

    @property
    def leading(self) -> str:
        """The cause with most of it."""
        return max(self.shares, key=lambda name: self.shares[name])


class Posterior:
    """What the book believes of the causes at the end of a callout."""

    def __init__(self, book: Book, shapes: Shapes | None = None) -> None:
        """``shapes``: where compiled shapes are kept."""
        self.book = book
        self._shapes = {} if shapes is None else shapes
        self._reasoners: OrderedDict[tuple[tuple[str, str], ...], Reasoner] = OrderedDict()

    def blame(self, state: State, complaint: str) -> dict[str, float]:
        """Each cause's share of the blame; with ``complaint`` where the state has none. Sums to 1."""
        evidence = state.evidence
        if not evidence.complaints:
            evidence = replace(evidence, complaints=(complaint,))
        shares = Adviser(self._reasoner(state.facts), evidence).present_culprits()
        rest = unlisted(complaint)
        if any(isnan(share) for share in shares.values()):
            return {rest: 1.0}
        named = {name: share for name, share in shares.items() if share > 0}
        left = max(0.0, 1 - sum(named.values()))
        return {**named, rest: named.get(rest, 0.0) + left}

    def _reasoner(self, facts: Mapping[str, str]) -> Reasoner:
        key = tuple(sorted(facts.items()))
        if key not in self._reasoners:
            self._reasoners[key] = Reasoner(self.book, facts, self._shapes)
        self._reasoners.move_to_end(key)
        if len(self._reasoners) > REASONERS_KEPT:
            self._reasoners.popitem(last=False)
        return self._reasoners[key]


def closed_of(
    book: Book, events: Iterable[Event], posterior: Posterior | None = None
) -> ClosedCallout | None:
    """The callout as statistics read it; None while it is open, and when nothing was complained of.

    ``posterior``: one that is kept for many callouts, for this book. Only doubtful endings need it.
    Raises `BadEvent` for events that do not follow each other by this book, or whose times are none.
    """
    kept = standing(events)
    state = replay(book, kept)
    complaints = [event.answer for event in kept if event.kind == "complaint"]
    if state.ended is None or not complaints:
        return None
    times = [_time(event) for event in kept]
    gaps = [0.0, *((b - a).total_seconds() / 60 for a, b in pairwise(times))]
    opening = opening_of(kept)
    return ClosedCallout(
        opening.callout,
        opening.unit,
        opening.site,
        times[0],
        max(times),
        complaints[0],
        state.ended,
        _shares(book, state, kept[-1], complaints[-1], posterior),
        sum(gap for gap in gaps if 0 < gap <= LONGEST_PAUSE),
        tuple(_repairs(book, state, kept, gaps)),
        tuple(
            MadeCheck(event.id, event.answer, _told(gap, book.question(event.id).minutes))
            for event, gap in zip(kept, gaps, strict=True)
            if event.kind == "check"
        ),
        facts={**_looked_up(book, state), **opening.facts},
    )


def _looked_up(book: Book, state: State) -> dict[str, str]:
    """The facts that somebody was sure of on the spot."""
    return {
        name: finding.answer
        for name, finding in state.findings.items()
        if name in book.facts and finding.sure and finding.answer != COULD_NOT_TELL
    }


def closed_record(book: Book, record: Record, posterior: Posterior | None = None) -> ClosedCallout | None:
    """As `closed_of`, of all that is kept: None when it was struck; a cause that was found later has it.

    With the production that was lost, where somebody said it afterwards.
    """
    if record.struck:
        return None
    closed = closed_of(book, record.events, posterior)
    if closed is None:
        return None
    cause = record.cause_after_all
    shares = {cause: 1.0} if cause in all_causes(book) else closed.shares
    return replace(closed, shares=shares, lost_minutes=record.lost_minutes)


def put_right_with(book: Book, cause: str) -> set[str]:
    """The causes that one piece of work puts right, this one among them."""
    alike = book.causes[cause].same_repair_as
    return {
        name
        for name, entry in book.causes.items()
        if name in (cause, alike) or entry.same_repair_as in (cause, alike or cause)
    }


def _shares(
    book: Book, state: State, last_event: Event, complaint: str, posterior: Posterior | None
) -> dict[str, float]:
    if state.ended == "closed" and last_event.id in book.causes:
        return {last_event.id: 1.0}
    # A proof that failed begins an epoch, and each epoch has one such repair.
    last = state.repaired[len(state.earlier) :]
    together = set[str]().union(*(put_right_with(book, cause) for cause in last))
    if state.ended == "cured" and len(together) == 1:
        return dict.fromkeys(together, 1.0)
    blame = (posterior or Posterior(book)).blame(state, complaint)
    if state.ended != "cured":
        return blame
    among = {name: blame.get(name, 0.0) for name in sorted(together)}
    total = sum(among.values())
    if total <= 0:
        return dict.fromkeys(last, 1 / len(last))
    return {name: share / total for name, share in among.items() if share > 0}


def _repairs(
    book: Book, state: State, events: Sequence[Event], gaps: Sequence[float]
) -> Iterable[TriedRepair]:
    done = [
        (event.id, gap)
        for event, gap in zip(events, gaps, strict=True)
        if event.kind == "repair" and event.answer == "done"
    ]
    cured_by = done[-1][0] if state.ended == "cured" and done else ""
    for number, (cause, gap) in enumerate(done):
        last = number == len(done) - 1
        held = last if cause == cured_by else None
        yield TriedRepair(cause, _told(gap, book.causes[cause].repair.minutes), held)


def _told(gap: float, usual: float) -> float | None:
    """A step's minutes, when the time since the last answer can be them."""
    return gap if LEAST_PART * usual <= gap <= MOST_PARTS * usual and gap > 0 else None


def _time(event: Event) -> datetime:
    try:
        time = datetime.fromisoformat(event.at)
    except ValueError as error:
        raise BadEvent(f"{event.at!r} is not a time") from error
    return time.replace(tzinfo=UTC) if time.tzinfo is None else time.astimezone(UTC)
