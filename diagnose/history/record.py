"""All that was ever saved of one callout, wherever it was written.

A callout's answers are a line: each event follows another. Two people who went on with the same callout
out of each other's sight have each added events after the same one: the line forks, and both branches are
kept. Which branch is gone on with follows from the events alone, so every store that holds the same events
shows the same line, in whatever order they came in. Remarks (`diagnose.events.REMARKS`) stand beside the
line.

An event is the same as another when it follows the same event and says the same. Names of people are no
part of that, so a copy without them is still the same callout.
"""

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, NamedTuple

from pydantic import TypeAdapter

from diagnose.events import REMARKS, Event

ROOT: Final = -1
"""What an opening follows: nothing."""
DIGEST: Final = 16
"""Hexadecimal digits of a name: that any two of a billion callouts share one has a chance of 1 in 40."""

_AS_JSON: Final = TypeAdapter(Event).serializer.to_json
"""The quickest way: a merge of a big file does this more often than anything else."""


MOST_LOST: Final = 1_000_000.0
"""Minutes that one callout can have lost: two years."""


def body_of(event: Event) -> str:
    """What an event says, as one line of JSON: everything but the names of people.

    >>> body_of(Event(at="2026-01-31T12:00:00Z", kind="undo", by="Kim"))
    '{"at":"2026-01-31T12:00:00Z","kind":"undo"}'
    """
    return _AS_JSON(without_names(event), exclude_defaults=True).decode()


def without_names(event: Event) -> Event:
    """The event as it travels when nobody asked for names."""
    if event.opening and event.opening.caller:
        event = event.model_copy(update={"opening": event.opening.model_copy(update={"caller": ""})})
    return event.model_copy(update={"by": ""}) if event.by else event


def key_of(opening_body: str) -> str:
    """The name of a callout among all stores: a digest of how it was opened."""
    return _digest("", opening_body)


def _digest(parent: str, body: str) -> str:
    return hashlib.sha256(f"{parent}\n{body}".encode()).hexdigest()[:DIGEST]


def lost_of(text: str) -> float | None:
    """Minutes of lost production as somebody wrote them; None where they are no such number.

    >>> lost_of("240"), lost_of("-1"), lost_of("nan"), lost_of("a lot")
    (240.0, None, None, None)
    """
    try:
        minutes = float(text)
    except ValueError:
        return None
    return minutes if 0 <= minutes <= MOST_LOST else None


class Kept(NamedTuple):
    """One event as it is kept."""

    event: Event
    body: str
    """See `body_of`."""
    parent: int
    """Index in the record of the event that it follows; a remark follows the opening."""

    @classmethod
    def of(cls, event: Event, parent: int) -> "Kept":
        """An event that is new."""
        return cls(event, body_of(event), parent)


@dataclass(frozen=True)
class Branch:
    """Events that were written beside the line, by somebody who did not see what the line has there."""

    after: int
    """How many events of the line come before it."""
    events: tuple[Event, ...]


@dataclass(frozen=True)
class Record:
    """A callout's events: the opening first, each after the one that it follows."""

    kept: tuple[Kept, ...]

    @classmethod
    def in_a_row(cls, events: Iterable[Event]) -> "Record":
        """The record of a callout that was written in one place."""
        kept: list[Kept] = []
        last = ROOT
        for number, event in enumerate(events):
            remark = event.kind in REMARKS
            kept.append(Kept.of(event, min(last, 0) if remark else last))
            last = last if remark else number
        return cls(tuple(kept))

    @cached_property
    def key(self) -> str:
        """The callout's name among all stores."""
        return key_of(self.kept[0].body)

    @cached_property
    def forked(self) -> bool:
        """Whether events stand beside the line."""
        parents = [kept.parent for kept in self.kept if kept.event.kind not in REMARKS]
        return len(set(parents)) < len(parents)

    @cached_property
    def line(self) -> tuple[int, ...]:
        """The indices of the events that count: the longest branch, of equals the one written to last.

        Where that says nothing either, a digest of the events decides, which is arbitrary and everywhere
        the same.
        """
        answers = [n for n, kept in enumerate(self.kept) if kept.event.kind not in REMARKS]
        if not self.forked:
            return tuple(answers)
        depth: dict[int, int] = {ROOT: 0}
        for number in answers:
            depth[number] = depth[self.kept[number].parent] + 1
        digests = self.digests
        tip = max(answers, key=lambda n: (depth[n], self.kept[n].event.at, digests[n]))
        return tuple(self._way_to(tip))

    def _way_to(self, tip: int) -> list[int]:
        way = []
        while tip != ROOT:
            way.append(tip)
            tip = self.kept[tip].parent
        return way[::-1]

    @property
    def tip(self) -> int:
        """The index of the last event of the line: what the next answer follows."""
        return self.line[-1]

    @cached_property
    def digests(self) -> tuple[str, ...]:
        """A name for each event that is the same in every store."""
        found: list[str] = []
        for kept in self.kept:
            found.append(_digest("" if kept.parent == ROOT else found[kept.parent], kept.body))
        return tuple(found)

    @cached_property
    def remarks(self) -> tuple[Event, ...]:
        """What was said of the callout as a whole, in the order of time."""
        found = [kept for kept in self.kept if kept.event.kind in REMARKS]
        return tuple(kept.event for kept in sorted(found, key=lambda kept: (kept.event.at, kept.body)))

    @cached_property
    def written(self) -> tuple[Event, ...]:
        """The events of the line as they were written."""
        return tuple(self.kept[number].event for number in self.line)

    @cached_property
    def events(self) -> tuple[Event, ...]:
        """The events of the line with what was corrected in them."""
        corrected = [event for event in self.remarks if event.kind == "corrected"]
        if not corrected:
            return self.written
        place = {self.digests[number]: position for position, number in enumerate(self.line)}
        found = list(self.written)
        for remark in corrected:
            if remark.id in ("unit", "site") and found[0].opening:
                opening = found[0].opening.model_copy(update={remark.id: remark.answer})
                found[0] = found[0].model_copy(update={"opening": opening})
            elif place.get(remark.id, 0) > 0:
                position = place[remark.id]
                changed = {"answer": remark.answer, "text": "", "sure": True}
                found[position] = found[position].model_copy(update=changed)
        return tuple(found)

    @property
    def struck(self) -> bool:
        """Whether the callout counts no more; the last word on it holds."""
        said = [event for event in self.remarks if event.kind == "struck"]
        return bool(said) and said[-1].answer != "restored"

    @property
    def cause_after_all(self) -> str:
        """What was wrong, where somebody found out later; empty when nobody said so."""
        said = [event for event in self.remarks if event.kind == "corrected" and event.id == "cause"]
        return said[-1].answer if said else ""

    @property
    def lost_minutes(self) -> float | None:
        """Minutes of production that were lost, as somebody said last; None where nobody said any."""
        said = [event for event in self.remarks if event.kind == "corrected" and event.id == "lost"]
        return lost_of(said[-1].answer) if said else None

    def branches(self) -> list[Branch]:
        """What was written beside the line, each branch to its end."""
        if not self.forked:
            return []
        parents = {kept.parent for kept in self.kept if kept.event.kind not in REMARKS}
        tips = [
            number
            for number, kept in enumerate(self.kept)
            if kept.event.kind not in REMARKS and number not in parents and number != self.tip
        ]
        found = []
        for tip in sorted(tips, key=lambda number: self.digests[number]):
            way = self._way_to(tip)
            common = sum(one == other for one, other in zip(way, self.line, strict=False))
            found.append(Branch(common, tuple(self.kept[number].event for number in way[common:])))
        return found


@dataclass(frozen=True)
class Seen:
    """What somebody has seen of a callout."""

    events: tuple[Event, ...]
    """Its line, corrections made."""
    count: int
    """Number of events saved of it in all; what `diagnose.history.store.History.append` expects."""


class Behind(Exception):
    """Somebody else has added events to the callout, so nothing was saved. ``seen``: how it is now."""

    def __init__(self, seen: Seen) -> None:
        super().__init__("somebody else has added to this callout")
        self.seen = seen


def union(record: Record, other: Record) -> Record:
    """The record with what only the other one has behind it. Both must be of the same callout."""
    kept = list(record.kept)
    known = {(entry.parent, entry.body): number for number, entry in enumerate(kept)}
    place: list[int] = []
    for entry in other.kept:
        parent = ROOT if entry.parent == ROOT else place[entry.parent]
        number = known.setdefault((parent, entry.body), len(kept))
        if number == len(kept):
            kept.append(entry._replace(parent=parent))
        else:
            kept[number] = _named(kept[number], entry.event)
        place.append(number)
    return Record(tuple(kept))


def _named(kept: Kept, other: Event) -> Kept:
    """The kept event with a name that only the other one holds; of two names the first by the alphabet."""
    changed: dict[str, object] = {}
    by = _one_name(kept.event.by, other.by)
    if by != kept.event.by:
        changed["by"] = by
    if kept.event.opening and other.opening:
        caller = _one_name(kept.event.opening.caller, other.opening.caller)
        if caller != kept.event.opening.caller:
            changed["opening"] = kept.event.opening.model_copy(update={"caller": caller})
    return kept._replace(event=kept.event.model_copy(update=changed)) if changed else kept


def _one_name(one: str, other: str) -> str:
    return min(filter(None, (one, other)), default="")


def in_one_order(record: Record) -> Record:
    """The same events in the order that every store puts them in: by digest, parents first."""
    children: defaultdict[int, list[int]] = defaultdict(list)
    for number, entry in enumerate(record.kept):
        children[entry.parent].append(number)
    on_line = set(record.line)
    order: list[int] = []
    waiting = [0]
    while waiting:
        number = waiting.pop()
        order.append(number)
        waiting.extend(sorted(children[number], key=lambda n: (n in on_line, record.digests[n])))
    place = {number: position for position, number in enumerate(order)}
    moved = (record.kept[n]._replace(parent=place.get(record.kept[n].parent, ROOT)) for n in order)
    return Record(tuple(moved))


def same(one: Sequence[Event], other: Sequence[Event]) -> bool:
    """Whether two lines say the same, whoever wrote them."""
    return len(one) == len(other) and all(
        body_of(first) == body_of(second) for first, second in zip(one, other, strict=True)
    )


def added(before: Sequence[Event], now: Sequence[Event]) -> tuple[Event, ...]:
    """The events of a line from the first on that differs from the line before."""
    common = 0
    for one, other in zip(before, now, strict=False):
        if body_of(one) != body_of(other):
            break
        common += 1
    return tuple(now[common:])
