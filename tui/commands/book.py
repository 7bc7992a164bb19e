"""`halfsplit book`: list and show what a book holds, check it, print its schema, export its network."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.commands import export
from tui.commands.common import add_book, mistakes, the_book

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from knowledge.book import Book

ABOUT = "List and show what the book holds, check a book, print its schema, export its network."
KINDS = ("causes", "conditions", "checks", "facts", "complaints")


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("book", help=ABOUT, description=ABOUT)
    verbs = parser.add_subparsers(dest="verb", required=True, metavar="VERB")
    listing = verbs.add_parser("list", help="list the entries of one kind")
    listing.add_argument("kind", choices=KINDS)
    showing = verbs.add_parser("show", help="show one entry, whole")
    showing.add_argument("id")
    checking = verbs.add_parser("check", help="check a book: its files, its names, its graph")
    checking.add_argument(
        "folder", nargs="?", help="a folder of YAML files (default: the book that comes with it)"
    )
    schema = verbs.add_parser("schema", help="print the JSON Schema of a book's file, for an editor")
    for verb, action in ((listing, _list), (showing, _show), (checking, _check)):
        if verb is not checking:
            add_book(verb)
        verb.add_argument("--json", action="store_true", help="print as JSON")
        verb.set_defaults(run=run, action=action)
    schema.set_defaults(run=run, action=_schema)
    exporting = verbs.add_parser("export", help=export.ABOUT, description=export.ABOUT)
    export.add_options(exporting)
    exporting.set_defaults(run=run, action=export.export)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        args.action(args)
    return outcome.code


def _list(args: argparse.Namespace) -> None:
    entries = getattr(the_book(args), args.kind)
    titles = {name: getattr(entry, "title", None) or entry.ask for name, entry in entries.items()}
    if args.json:
        _json({args.kind: [{"id": name, "title": title} for name, title in titles.items()]})
        return
    for name, title in titles.items():
        print(f"{name}\t{title}")


def _show(args: argparse.Namespace) -> None:
    book = the_book(args)
    kind, entry = _find(book, args.id)
    data = {
        "id": args.id,
        "kind": kind,
        "section": book.sections.get(args.id),
        "place": book.places[args.id],
        **entry.model_dump(by_alias=True, exclude_none=True),
    }
    if args.json:
        _json(data)
    else:
        import yaml

        print(yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=100), end="")


def _find(book: "Book", name: str) -> tuple[str, Any]:
    from knowledge.problems import InputProblems, Problem, nearest

    for kind in KINDS:
        if name in getattr(book, kind):
            return kind, getattr(book, kind)[name]
    known = [known for kind in KINDS for known in getattr(book, kind)]
    raise InputProblems([Problem("book show", "", f"the book holds no {name!r}", nearest(name, known))])


def _check(args: argparse.Namespace) -> None:
    from diagnose.book_check import check
    from diagnose.guard import band
    from knowledge.book import SHIPPED, load_book
    from knowledge.problems import InputProblems

    book = load_book(Path(args.folder) if args.folder else SHIPPED)
    verdict, cells = check(book)
    counts = {kind: len(getattr(book, kind)) for kind in KINDS}
    if args.json:
        _json(
            {
                "problems": [vars(problem) for problem in verdict.problems],
                "hints": [vars(problem) for problem in verdict.hints],
                "counts": counts,
                "cells": cells,
                "band": band(cells) if cells else "refused",
            }
        )
    else:
        for hint in verdict.hints:
            print(f"hint: {hint}")
        print(", ".join(f"{number} {kind}" for kind, number in counts.items()))
        if cells:
            print(f"{cells:,} table cells at most, with nothing known of the unit: {band(cells)}")
    if verdict.problems:
        raise InputProblems(verdict.problems)


def _schema(args: argparse.Namespace) -> None:
    from knowledge.schema import BookFile

    print(json.dumps(BookFile.model_json_schema(), indent=2))


def _json(data: dict[str, Any]) -> None:
    from diagnose.events import SCHEMA_VERSION

    print(json.dumps({"schema_version": SCHEMA_VERSION, **data}, indent=2))
