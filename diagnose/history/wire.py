"""Callouts as they travel: a file of JSON lines, a callout in each.

A line holds the events of one callout, each after the one that it follows; ``follows`` names, by index,
what an event follows where that is not the answer before it. The files of an earlier halfsplit, with an event
in each line and one callout in each file, are read too.
"""

import re
from collections.abc import Iterator
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import BinaryIO, Final, NamedTuple

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from diagnose.events import REMARKS, SCHEMA_VERSION, Event, Opening
from diagnose.history.record import ROOT, Kept, Record, in_one_order, without_names
from knowledge.problems import Problem

LONGEST_LINE: Final = 8_000_000
"""Bytes: a callout of a thousand answers takes a fiftieth of it."""
MOST_EVENTS: Final = 5_000
"""Events of one callout."""
LONGEST_TEXT: Final = 4_000
"""Characters of any one text in an event."""
_TIME: Final = re.compile(
    r"(\d{4}-\d\d-\d\d)T([01]\d|2[0-3]):[0-5]\d:[0-5]\d(\.\d{1,6})?(Z|\+00:00)", re.ASCII
)
_EVENT_LINE: Final = re.compile(rb'\s*\{\s*"at"')
"""How a line of an earlier halfsplit's file begins."""
_MEND: Final = "The other lines are taken. Mend the line, or ask for the file again, and merge it once more."


class Incoming(NamedTuple):
    """A callout from a file."""

    line: int
    record: Record
    demo: bool


class _Line(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    schema_version: int
    demo: bool = False
    follows: dict[int, int] = Field(default_factory=dict)
    events: tuple[Event, ...]


class _Wrong(Exception):
    """What is wrong with a line."""


def line_of(record: Record, with_names: bool = False, demo: bool = False) -> str:
    """A record as a line of a file, the same one in every store that holds the same events."""
    kept = in_one_order(record).kept
    events = [entry.event if with_names else without_names(entry.event) for entry in kept]
    usual = _usual_parents(events)
    follows = {n: entry.parent for n, entry in enumerate(kept) if entry.parent != usual[n]}
    whole = _Line(schema_version=SCHEMA_VERSION, demo=demo, follows=follows, events=tuple(events))
    return whole.model_dump_json(exclude_defaults=True)


def read_callouts(path: Path, file: BinaryIO) -> Iterator[Incoming | Problem]:
    """The callouts of a file, and what is wrong with the lines that hold none. Raises `OSError`."""
    number = 0
    earlier: list[tuple[int, bytes]] = []
    while raw := file.readline(LONGEST_LINE + 1):
        number += 1
        if len(raw) > LONGEST_LINE:
            yield Problem(f"{path}:{number}", "", f"is longer than {LONGEST_LINE:,} bytes", _MEND)
            while raw and not raw.endswith(b"\n"):
                raw = file.readline(LONGEST_LINE)
        elif _EVENT_LINE.match(raw):
            earlier.append((number, raw))
            if len(earlier) > MOST_EVENTS:
                yield Problem(f"{path}:{number}", "", f"holds more than {MOST_EVENTS:,} events", _MEND)
                return
        elif raw.strip():
            yield _told(path, number, raw)
    if earlier:
        yield _told_earlier(path, earlier)


def _told(path: Path, number: int, raw: bytes) -> Incoming | Problem:
    try:
        line = _Line.model_validate_json(_sound(raw))
        if line.schema_version > SCHEMA_VERSION:
            raise _Wrong(f"was written by a newer halfsplit (version {line.schema_version})")
        return Incoming(number, _record_of(line.events, line.follows), line.demo)
    except ValidationError as error:
        return Problem(f"{path}:{number}", _trail(error), "is not a callout", _MEND)
    except _Wrong as error:
        return Problem(f"{path}:{number}", "", str(error), _MEND)


def _told_earlier(path: Path, lines: list[tuple[int, bytes]]) -> Incoming | Problem:
    """One callout from the lines of an earlier file. A last line that was cut off is left out."""
    events: list[Event] = []
    for number, raw in lines:
        try:
            events.append(Event.model_validate_json(_sound(raw)))
        except (ValidationError, _Wrong):
            if raw.endswith(b"\n"):
                return Problem(f"{path}:{number}", "", "is not an event of a callout", _MEND)
    try:
        return Incoming(lines[0][0], _record_of(tuple(events), {}), demo=False)
    except _Wrong as error:
        return Problem(f"{path}:{lines[0][0]}", "", str(error), _MEND)


def _sound(raw: bytes) -> bytes:
    if b"\\u0000" in raw:
        raise _Wrong("holds a character that no text has (NUL)")
    return raw


def _trail(error: ValidationError) -> str:
    return ".".join(map(str, error.errors(include_url=False, include_input=False)[0]["loc"]))[:80]


def _usual_parents(events: list[Event] | tuple[Event, ...]) -> list[int]:
    found, last = [], ROOT
    for number, event in enumerate(events):
        remark = event.kind in REMARKS
        found.append(min(last, 0) if remark else last)
        last = last if remark else number
    return found


def _record_of(events: tuple[Event, ...], follows: dict[int, int]) -> Record:
    """The record of events that somebody sent. Raises `_Wrong`."""
    if not events or events[0].kind != "opened" or events[0].opening is None:
        raise _Wrong("does not open a callout")
    if len(events) > MOST_EVENTS:
        raise _Wrong(f"holds more than {MOST_EVENTS:,} events")
    if events[0].opening.schema_version > SCHEMA_VERSION:
        raise _Wrong(f"was written by a newer halfsplit (events {events[0].opening.schema_version})")
    parents = _usual_parents(events)
    for number, parent in follows.items():
        if not 0 <= parent < number < len(events) or events[parent].kind in REMARKS:
            raise _Wrong(f"event {number} cannot follow event {parent}")
        parents[number] = parent
    kept = tuple(map(Kept.of, events, parents))
    for number, entry in enumerate(kept):
        _check(entry, number)
    return Record(kept)


def _check(kept: Kept, number: int) -> None:
    event = kept.event
    if number and (event.kind == "opened" or event.opening):
        raise _Wrong("opens a second callout")
    time = _TIME.fullmatch(event.at)
    if not time or not _is_day(time[1]):
        raise _Wrong(f"event {number} has no time in UTC, like 2026-01-31T12:00:00Z")
    if len(kept.body) + len(event.by) <= LONGEST_TEXT and not event.opening:
        return
    if max(map(len, (event.id, event.answer, event.text, event.by))) > LONGEST_TEXT:
        raise _Wrong(f"event {number} holds a text of more than {LONGEST_TEXT:,} characters")
    if event.opening and not _bounded(event.opening):
        raise _Wrong(f"the opening holds a text of more than {LONGEST_TEXT:,} characters, or too many")


@lru_cache(10_000)
def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _bounded(opening: Opening) -> bool:
    texts = [opening.callout, opening.unit, opening.site, opening.caller, opening.book]
    texts += [*opening.facts, *opening.facts.values(), *opening.quantities, *opening.sheet]
    texts += [value for value in opening.sheet.values() if isinstance(value, str)]
    return len(texts) <= LONGEST_TEXT and max(map(len, texts)) <= LONGEST_TEXT and bool(opening.callout)
