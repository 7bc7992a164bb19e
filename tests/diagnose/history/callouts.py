"""Callouts for tests: events of a made-up callout on a small book, a minute or more apart."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

from diagnose.events import Event, Opening
from knowledge.book import Book
from knowledge.words import HOLDS

START = datetime(2024, 5, 1, 10, tzinfo=UTC)


def events_of(
    book: Book,
    steps: Iterable[tuple[str, str, str, float]],
    unit: str = "V-1",
    site: str = "North",
    facts: dict[str, str] | None = None,
    start: datetime = START,
) -> list[Event]:
    """The opening, then ``steps``: (kind, id, answer, minutes since the one before)."""
    opening = Opening(
        callout=f"{unit} {start:%Y-%m-%d %H:%M}",
        unit=unit,
        site=site,
        facts=facts if facts is not None else {"fails": "closed", "season": "warm"},
        quantities={},
        book=book.digest,
    )
    events = [Event(at=start.isoformat(), kind="opened", opening=opening)]
    now = start
    for kind, name, answer, minutes in steps:
        now += timedelta(minutes=minutes)
        events.append(Event(at=now.isoformat(), kind=kind, id=name, answer=answer))
    return events


def complained(of: str = "wont_open") -> tuple[str, str, str, float]:
    """What is wrong."""
    return ("complaint", "complaint", of, 1)


def repair(
    book: Book, cause: str, proof: str, minutes: float | None = None
) -> list[tuple[str, str, str, float]]:
    """The way to a cause's hold, its repair, the way back, and the proof."""
    way = HOLDS[1 : HOLDS.index(book.causes[cause].repair.hold) + 1]
    steps: list[tuple[str, str, str, float]] = []
    for hold in way:
        steps += [("caution", hold, caution, 1) for caution in book.holds[hold].cautions]
        steps.append(("hold", hold, "done", 5))
    took = book.causes[cause].repair.minutes if minutes is None else minutes
    steps.append(("repair", cause, "done", took))
    back = [*way[::-1][1:], "running"] if way else []
    steps += [("hold", hold, "done", 3) for hold in back]
    return [*steps, ("prove", cause, proof, 12)]
