"""The whole check of a book: what its graph shows, and whether it can be reasoned over exactly."""

from diagnose.reasoner import Reasoner
from diagnose.triangulate import TooDense
from knowledge.book import Book
from knowledge.checker import Verdict, check_book
from knowledge.problems import Problem


def check(book: Book) -> tuple[Verdict, int]:
    """(what is wrong or odd, table cells with nothing known of the unit; 0 when it is too dense)."""
    verdict = check_book(book)
    if verdict.problems:
        return verdict, 0
    try:
        return verdict, Reasoner(book, {}).tree.cells
    except TooDense as error:
        dense = Problem("book", "", str(error), "Put a condition between some of them and what they lead to.")
        return Verdict((dense,), verdict.hints), 0
