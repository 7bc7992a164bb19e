"""A book with other prices: what help, a proof, the risk of moving a live valve and the rest stand for."""

from collections.abc import Iterable
from dataclasses import replace

from pydantic import ValidationError

from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest
from knowledge.schema import Prices

OPTION = "--price"


def with_prices(book: Book, given: Iterable[str]) -> Book:
    """The same book with some prices set anew, each as ``name=minutes``.

    Raises `InputProblems` with all that is wrong in them at once.
    """
    prices, problems = book.prices, list[Problem]()
    for pair in given:
        name, _, minutes = pair.partition("=")
        if name not in Prices.model_fields:
            mend = nearest(name, Prices.model_fields)
            problems.append(Problem(OPTION, "", f"there is no price {name!r}", mend))
            continue
        try:
            prices = Prices.model_validate({**prices.model_dump(), name: minutes})
        except ValidationError:
            what = f"{minutes!r} is no number of minutes from 0 to 10,000"
            problems.append(Problem(OPTION, name, what, f"Write it as {name}=30."))
    if problems:
        raise InputProblems(problems)
    return replace(book, prices=prices)
