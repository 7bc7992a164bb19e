"""The whole check of a book: its graph, its words, what can be told apart, and what it costs."""

from dataclasses import dataclass
from typing import Final

from diagnose.compile import Compiler
from diagnose.reasoner import Reasoner
from diagnose.telling_apart import LEAST_APART, Pair, blind_checks, pairs, unseen
from knowledge.book import Book
from knowledge.checker import check_book
from knowledge.problems import InputProblems, Problem
from knowledge.vocabulary import word_hints
from knowledge.words import UNLISTED

MOST_PARENTS: Final = 18
"""Things that lead to one condition above which a general library cannot hold its table: each doubles it
when it is written out (judgement, from one library's refusal). Here it never is."""


@dataclass(frozen=True)
class BookReport:
    """What was found."""

    problems: tuple[Problem, ...]
    """What makes the book wrong."""
    hints: tuple[Problem, ...]
    """What is legal but odd."""
    cells: dict[str, int]
    """Table cells for each complaint with nothing known of the unit; empty when it is too dense."""
    pairs: tuple[Pair, ...]
    """Rivals that no check tells apart without opening something, the unexplained first."""


def check(book: Book) -> BookReport:
    """Everything that can be said of a book that loads."""
    verdict = check_book(book)
    hints = [*verdict.hints, *word_hints(book)]
    if verdict.problems:
        return BookReport(verdict.problems, tuple(hints), {}, ())
    try:
        reasoner = Reasoner(book, {})
        cells = {name: reasoner.tree([name]).cells for name in book.complaints}
    except InputProblems as error:
        return BookReport(tuple(error.problems), tuple(hints), {}, ())
    close = pairs(book)
    problems = [_unseen(book, cause, setup) for cause, setup in unseen(book)]
    problems += [_untold(book, pair) for pair in close if not pair.because]
    hints += [_blind(book, name) for name in blind_checks(book)]
    hints += _many_parents(reasoner.compiler)
    return BookReport(tuple(problems), tuple(hints), cells, tuple(close))


def _unseen(book: Book, cause: str, setup: str) -> Problem:
    what = f"a complaint can come of it, and no check shows anything of it ({setup})"
    return Problem(book.places[cause], cause, what, "Give it a check of its own, or a link to what is seen.")


def _untold(book: Book, pair: Pair) -> Problem:
    best = f"the best, {pair.check}, gives {pair.bits:.2f} bits" if pair.check else "none gives anything"
    what = (
        f"no check made without opening anything tells it from {pair.other} "
        f"({pair.setup}: {best}; {LEAST_APART:g} are the least)"
    )
    mend = "Give one of them a check, or say why not: same_repair_as, or told_when_open."
    return Problem(book.places[pair.one], pair.one, what, mend)


def _blind(book: Book, name: str) -> Problem:
    what = "it tells no two causes apart in any standard set-up, so it never changes the advice"
    return Problem(book.places[name], name, what, "Sharpen its rows, or take it out.")


def _many_parents(compiler: Compiler) -> list[Problem]:
    hints = []
    for name, parents in compiler.parents.items():
        count = sum(not parent.name.startswith(UNLISTED) for parent in parents)
        if count > MOST_PARENTS:
            what = f"{count} things lead to it; in an exported network {MOST_PARENTS} are the most"
            mend = "Let some of them lead to a condition of their own, and that to this one."
            hints.append(Problem(compiler.book.places[name], name, what, mend))
    return hints
