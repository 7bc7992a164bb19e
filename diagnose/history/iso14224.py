"""A closed callout in the classes of ISO 14224, for an export. Verify before claiming conformity.

Failure mode and mechanism stand in the book beside each cause. How it was detected and what was done are
told from the callout by the rules below; names of the classes from memory.
"""

from typing import Final

from diagnose.history.closed import ClosedCallout
from knowledge.book import Book

VERIFY: Final = "ISO 14224 classes: verify before claiming conformity."
INTERFERENCE: Final = "production interference"
OBSERVED: Final = "casual observation"
SEEN_BESIDE: Final = frozenset({"leaks_outside", "wastes_gas"})
"""Complaints that somebody notices while the loop still does its work (judgement, no source)."""


def classes_of(book: Book, closed: ClosedCallout) -> dict[str, str]:
    """Failure mode, mechanism, detection and activity; empty where there is no repair of the book."""
    cause = book.causes.get(closed.leading)
    return {
        "failure_mode": cause.failure_mode if cause else "UNK",
        "mechanism": cause.mechanism if cause else "",
        "detection": OBSERVED if closed.complaint in SEEN_BESIDE else INTERFERENCE,
        "activity": _activity(book, closed),
    }


def _activity(book: Book, closed: ClosedCallout) -> str:
    """Replaced when the repair takes parts, adjusted when the fault was one of setting, else repaired."""
    done = [tried.cause for tried in closed.repairs]
    if len(done) > 1:
        return "combination"
    if not done:
        return "other" if closed.ending == "help" else "check"
    cause = book.causes.get(done[0])
    if cause is None:
        return "repair"
    if cause.nothing_wrong:
        return "check"
    if cause.repair.parts:
        return "replace"
    return "adjust" if cause.mechanism == "instrument" else "repair"
