"""What the commands share: the book option, and mistakes of the user turned into an exit code."""

import argparse
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from knowledge.book import Book

ENGLISH: Final = "en"
"""The language that the book is written in."""


@dataclass
class Outcome:
    """How a command ended."""

    code: int = 0


@contextmanager
def mistakes() -> Iterator[Outcome]:
    """Inside, whatever is wrong with the input is printed on stderr, one line each, and gives code 2."""
    from knowledge.problems import InputProblems

    outcome = Outcome()
    try:
        yield outcome
    except InputProblems as error:
        for problem in error.problems:
            print(problem, file=sys.stderr)
        outcome.code = 2


def add_book(parser: argparse.ArgumentParser) -> None:
    """Add `--book FOLDER` to a parser."""
    parser.add_argument("--book", metavar="FOLDER", help="another book than the one that comes with it")


def add_prices(parser: argparse.ArgumentParser) -> None:
    """Add `--price NAME=MINUTES` to a parser."""
    parser.add_argument(
        "--price",
        metavar="NAME=MINUTES",
        action="append",
        default=[],
        help="what something stands for in minutes, instead of the book's own: moving (the risk of moving "
        "the valve of a live vessel), help, proof, talk or visit",
    )


def add_language(parser: argparse.ArgumentParser) -> None:
    """Add `--lang CODE` to a parser."""
    parser.add_argument(
        "--lang",
        metavar="CODE",
        default=ENGLISH,
        help="the language of the book's texts: en or es (default: en)",
    )


def the_book(args: argparse.Namespace) -> "Book":
    """The book that the options name, in the language and with the prices that they name."""
    from knowledge.book import load_book
    from knowledge.prices import with_prices
    from tui.folder import kept

    book = with_prices(load_book(_folder(args), kept()), getattr(args, "price", []))
    return speaking(args, book, getattr(args, "lang", ENGLISH))


def speaking(args: argparse.Namespace, book: "Book", language: str) -> "Book":
    """The book of the options, which is in English, with its texts in a language as far as it has them."""
    if language == ENGLISH:
        return book
    from knowledge.translation import in_language, languages_of, load_translation
    from tui.folder import kept

    # A book can be spoken in a language without having all of its texts in it.
    folder = _folder(args)
    known = language in languages_of(folder)
    return in_language(book, load_translation(folder, language, kept())) if known else book


def _folder(args: argparse.Namespace) -> Path:
    from knowledge.book import SHIPPED

    # A command of the shipped book alone has no such option.
    folder = getattr(args, "book", None)
    return Path(folder) if folder else SHIPPED


def write_out(name: str, text: str) -> None:
    """Write a text to a file that an option names; `InputProblems` when that cannot be done."""
    with writing(name):
        Path(name).write_text(text, encoding="utf-8")


@contextmanager
def writing(name: str) -> Iterator[None]:
    """Inside, a file that cannot be written is a mistake in the input that named it."""
    from knowledge.problems import InputProblems, Problem

    try:
        yield
    except OSError as error:
        what = f"cannot be written ({error.strerror})"
        raise InputProblems([Problem(name, "", what, "Name another file.")]) from error
