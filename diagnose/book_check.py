"""The whole check of a book: what its graph shows, and whether it can be reasoned over exactly."""

from diagnose.reasoner import Reasoner
from knowledge.book import Book
from knowledge.checker import Verdict, check_book
from knowledge.problems import InputProblems


def check(book: Book) -> tuple[Verdict, int]:
    """(what is wrong or odd, table cells of the worst complaint, nothing else known; 0 when too dense)."""
    verdict = check_book(book)
    if verdict.problems:
        return verdict, 0
    try:
        reasoner = Reasoner(book, {})
        return verdict, max(reasoner.cells([name]) for name in book.complaints)
    except InputProblems as error:
        return Verdict(tuple(error.problems), verdict.hints), 0
