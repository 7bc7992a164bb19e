"""The callouts of a folder that have not ended."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.callout import BadEvent, replay
from diagnose.events import COULD_NOT_TELL, Event, Opening, opening_of, standing
from diagnose.journal import SUFFIX, read_events
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem


@dataclass(frozen=True)
class OpenCallout:
    """A callout that somebody can go on with."""

    path: Path
    opening: Opening
    started: str
    last: str
    """When the last event was saved, ISO 8601 in UTC."""
    answers: int
    """Answers that still count."""


@dataclass(frozen=True)
class Callouts:
    """The open callouts, newest first, and what is wrong with the files that cannot be read."""

    open: tuple[OpenCallout, ...] = ()
    damaged: tuple[Problem, ...] = ()


def open_callouts(folder: Path, book: Book) -> Callouts:
    """Look through a folder. One damaged file is told of and does not stand in the way of the others."""
    found: list[OpenCallout] = []
    damaged: list[Problem] = []
    for path in sorted(folder.glob(f"*{SUFFIX}")):
        try:
            # Without one whole line it was killed before its first answer: there is nothing to go on with.
            if b"\n" not in path.read_bytes():
                continue
            events = read_events(path)
        except InputProblems as error:
            damaged.extend(error.problems)
            continue
        except OSError as error:
            damaged.append(Problem(str(path), "", f"cannot be read ({error.strerror})"))
            continue
        if not _ended(book, events):
            kept = standing(events)
            found.append(
                OpenCallout(path, opening_of(kept), events[0].at, events[-1].at, answers=len(kept) - 1)
            )
    found.sort(key=lambda item: (item.last, item.path.name), reverse=True)
    return Callouts(tuple(found), tuple(damaged))


def _ended(book: Book, events: Sequence[Event]) -> bool:
    try:
        return replay(book, events).ended is not None
    except BadEvent:
        # Made with another book: the last event alone still tells whether anybody would go on with it.
        last = standing(events)[-1]
        return last.kind == "help" or (last.kind == "prove" and last.answer in ("cured", COULD_NOT_TELL))
