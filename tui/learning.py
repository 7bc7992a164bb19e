"""A callout, or a question, that begins with what the store's callouts have taught."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager

from diagnose.history.ledger import Ledger
from diagnose.history.store import History
from diagnose.history.teacher import teacher_of
from diagnose.history.trouble import NotSaved
from diagnose.learned import Learned, learned_book
from diagnose.sheet import Unit
from knowledge.book import Book
from tui.clock import utc_now
from tui.folder import kept
from tui.stores import usual_store

DEFAULT = "default"
"""Names the store that a walk would use."""


def learned_of_store(history: History, unit: Unit, book: Book) -> Learned | None:
    """What the store has taught of a unit; None when it has nothing, or cannot be asked now."""
    try:
        learned = teacher_of(Ledger(history, book, kept())).learned(unit.site, unit.name, unit.facts)
    except NotSaved:
        return None
    return learned if learned.callouts[1] else None


@contextmanager
def teaching(named: str, book: Book) -> Iterator[Callable[[Unit, Mapping[str, str]], Learned]]:
    """What a store has taught of any unit, while it is open."""
    with History.open(usual_store() if named == DEFAULT else named, utc_now) as history:
        teacher = teacher_of(Ledger(history, book, kept()))
        yield lambda unit, facts: teacher.learned(unit.site, unit.name, facts)


def book_of_history(named: str, unit: Unit, facts: Mapping[str, str], book: Book) -> tuple[Book, Learned]:
    """The book with what a store has taught of a unit, and what that is. Raises `InputProblems`."""
    with teaching(named, book) as teach:
        learned = teach(unit, facts)
    return learned_book(book, learned), learned
