"""What somebody does to a callout afterwards: note, correct, strike, close, open again.

Nothing is written over: each is an event of its own, and what was there before stays readable.
"""

from dataclasses import dataclass

from diagnose.callout import BadEvent, apply, replay
from diagnose.compile import all_causes
from diagnose.events import Event, Kind
from diagnose.history.record import MOST_LOST, Kept, Record, lost_of
from diagnose.history.store import History
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest


@dataclass(frozen=True)
class Hand:
    """Who does it, and when."""

    at: str
    """ISO 8601 in UTC."""
    by: str = ""

    def event(self, kind: Kind, name: str = "", answer: str = "", text: str = "") -> Event:
        """An event by this hand."""
        return Event(at=self.at, kind=kind, id=name, answer=answer, text=text, by=self.by)


def note(history: History, key: str, hand: Hand, text: str) -> None:
    """Put a note beside a callout."""
    history.remark(key, hand.event("note", text=text))


def strike(history: History, key: str, hand: Hand, why: str, restore: bool = False) -> None:
    """Take a callout out of all lists and statistics, or bring it back."""
    history.remark(key, hand.event("struck", answer="restored" if restore else "struck", text=why))


def correct(history: History, book: Book, key: str, hand: Hand, what: str, value: str, why: str) -> None:
    """Correct a callout: ``what`` is `unit`, `site`, `cause` (what it was after all), `lost` (minutes of
    production) or an answer's number.

    Raises `InputProblems` when there is no such answer, or when what came after would not follow from it.
    """
    record = history.record(key)
    if what.isascii() and what.isdigit():
        what = _answer(record, int(what))
        _must_follow(book, Record((*record.kept, Kept.of(hand.event("corrected", what, value), 0))))
    elif what == "cause" and value not in all_causes(book):
        raise _wrong("--cause", f"the book holds no cause {value!r}", nearest(value, book.causes))
    elif what == "lost" and lost_of(value) is None:
        raise _wrong("--lost", f"{value!r} is no number of minutes", f"Write 0 to {MOST_LOST:.0f}, as: 240.")
    elif what not in ("unit", "site", "cause", "lost"):
        mend = "It can be: unit, site, cause, lost, a number."
        raise _wrong("--what", f"{what!r} cannot be corrected", mend)
    history.remark(key, hand.event("corrected", what, value, why))


def close(history: History, book: Book, key: str, hand: Hand, cause: str, why: str) -> None:
    """End a callout that nobody goes on with; ``cause``: what it was, empty when nobody knows."""
    if cause and cause not in book.causes:
        raise _wrong("--cause", f"the book holds no cause {cause!r}", nearest(cause, book.causes))
    _go_on(history, book, key, hand.event("closed", cause, text=why))


def reopen(history: History, book: Book, key: str, hand: Hand, why: str) -> None:
    """Open a callout that has ended; what was put right last is to be proved again."""
    _go_on(history, book, key, hand.event("reopened", text=why))


def _go_on(history: History, book: Book, key: str, event: Event) -> None:
    seen = history.seen(key)
    try:
        apply(book, replay(book, seen.events), event)
    except BadEvent as error:
        raise _wrong(key, str(error), "") from error
    history.append(key, event, seen.count)


def _answer(record: Record, number: int) -> str:
    """The name of the answer that lists show by this number."""
    if not 1 <= number < len(record.line):
        raise _wrong("--answer", f"there is no answer {number}", "halfsplit history show tells the numbers.")
    if record.written[number].kind == "undo":
        raise _wrong("--answer", f"{number} took an answer back", "Correct the answer itself.")
    return record.digests[record.line[number]]


def _must_follow(book: Book, record: Record) -> None:
    try:
        replay(book, record.events)
    except BadEvent as error:
        mend = "Strike the callout, or put the whole of it right in a new one."
        raise _wrong("--answer", f"what came after does not follow from that: {error}", mend) from error


def _wrong(place: str, what: str, mend: str) -> InputProblems:
    return InputProblems([Problem(place, "", what, mend)])
