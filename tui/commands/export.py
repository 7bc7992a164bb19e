"""`halfsplit book export`: the book's network in the open Interchange Format."""

import argparse
import sys
from pathlib import Path

from tui.commands.common import add_book, the_book

ABOUT = "Write the book's network in the open Bayesian Interchange Format, for general libraries."


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add the options to the parser of the verb."""
    parser.add_argument("--bif", metavar="FILE", required=True, help="where to write it; - for stdout")
    parser.add_argument("--unit", metavar="FILE", help="the unit sheet, or the name of an example")
    add_book(parser)


def export(args: argparse.Namespace) -> None:
    """Write the network of a book for one unit; `InputProblems` when a file is at fault."""
    from diagnose.bif import bif_text
    from diagnose.sheet import Unit, read_unit

    book = the_book(args)
    unit = read_unit(args.unit, book) if args.unit else Unit()
    text = bif_text(book, unit.facts)
    if args.bif == "-":
        sys.stdout.write(text)
    else:
        _write(args.bif, text)
        print(f"Written: {args.bif}", file=sys.stderr)


def _write(name: str, text: str) -> None:
    """Write a new file; `InputProblems` when it is there already or cannot be written."""
    from knowledge.problems import InputProblems, Problem

    path = Path(name)
    try:
        with path.open("x", encoding="ascii", newline="\n") as file:
            file.write(text)
    except FileExistsError as error:
        raise InputProblems([Problem(str(path), "", "is there already", "Name a new file.")]) from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise InputProblems([Problem(str(path), "", f"cannot be written ({why})")]) from error
