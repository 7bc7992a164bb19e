"""The whole check of a book: what its graph shows, and whether it can be reasoned over exactly."""

from diagnose.reasoner import Reasoner
from knowledge.book import Book
from knowledge.checker import Verdict, check_book
from knowledge.problems import InputProblems


def check(book: Book) -> tuple[Verdict, int]:
    """(what is wrong or odd, table cells with nothing known of the unit; 0 when it is too dense)."""
    verdict = check_book(book)
    if verdict.problems:
        return verdict, 0
    try:
        return verdict, Reasoner(book, {}).tree.cells
    except InputProblems as error:
        return Verdict(tuple(error.problems), verdict.hints), 0
