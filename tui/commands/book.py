"""`halfsplit book`: list and show what a book holds, check it, print its schema, export its network."""

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.book_lines import around_lines, graph_lines, pair_lines
from tui.card_lines import alone
from tui.commands import export
from tui.commands.common import add_book, add_language, mistakes, the_book, write_out

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from knowledge.book import Book

ABOUT = "List and show what the book holds, check a book, print its schema, export its network."
KINDS = ("causes", "conditions", "checks", "facts", "complaints", "cards")


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
    drawing = verbs.add_parser("graph", help="draw the graph, or the part around one entry, in loop order")
    drawing.add_argument("--around", metavar="ID", help="a cause, condition, check or complaint")
    drawing.add_argument("--unit", metavar="FILE", help="leave out links that cannot hold on this unit")
    how = drawing.add_mutually_exclusive_group()
    how.add_argument("--svg", metavar="FILE", help="as a picture")
    how.add_argument("--text", action="store_true", help="as text (this is the default)")
    add_book(drawing)
    drawing.set_defaults(run=run, action=_graph)
    schema = verbs.add_parser("schema", help="print the JSON Schema of a book's file, for an editor")
    for verb, action in ((listing, _list), (showing, _show), (checking, _check)):
        if verb is not checking:
            add_book(verb)
            add_language(verb)
        verb.add_argument("--json", action="store_true", help="print as JSON")
        verb.set_defaults(run=run, action=action)
    schema.set_defaults(run=run, action=_schema)
    exporting = verbs.add_parser("export", help=export.ABOUT, description=export.ABOUT)
    export.add_options(exporting)
    exporting.set_defaults(run=run, action=export.export)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        outcome.code = args.action(args) or 0
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
    elif kind == "cards":
        print("\n".join(alone(entry, args.lang)))
    elif kind in ("causes", "conditions"):
        from diagnose.book_graph import graph_of

        print("\n".join([*_facts_of(data), "", *around_lines(graph_of(book, args.id), args.id)]))
    else:
        import yaml

        print(yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=100), end="")


def _facts_of(data: dict[str, Any]) -> list[str]:
    """What a cause or a condition says of itself besides its links."""
    import yaml

    own = {key: value for key, value in data.items() if key not in ("leads_to", "say_in")}
    return yaml.safe_dump(own, sort_keys=False, allow_unicode=True, width=100).splitlines()


def _graph(args: argparse.Namespace) -> None:
    from diagnose.book_graph import graph_of
    from diagnose.sheet import read_unit
    from knowledge.problems import InputProblems, Problem, nearest

    book = the_book(args)
    try:
        facts = read_unit(args.unit, book).facts if args.unit else {}
        graph = graph_of(book, args.around or "", facts)
    except KeyError as error:
        names = [*book.causes, *book.conditions, *book.checks, *book.complaints]
        what = f"there is no {args.around!r} in the graph"
        raise InputProblems([Problem("--around", "", what, nearest(args.around, names))]) from error
    if args.svg is None:
        if args.around:
            from diagnose.unit_graph import in_loop_order
            from tui.graph_text import loop_lines

            print("\n".join(loop_lines(graph, in_loop_order(graph, args.around))))
        else:
            print("\n".join(graph_lines(graph)))
        return
    from tui.graph_svg import graph_svg

    title = f"Around {args.around}" if args.around else "The whole book, in the order of the signal"
    write_out(args.svg, graph_svg(graph, title))
    print(f"Written: {args.svg}", file=sys.stderr)


def _find(book: "Book", name: str) -> tuple[str, Any]:
    from knowledge.problems import InputProblems, Problem, nearest

    for kind in KINDS:
        if name in getattr(book, kind):
            return kind, getattr(book, kind)[name]
    known = [known for kind in KINDS for known in getattr(book, kind)]
    raise InputProblems([Problem("book show", "", f"the book holds no {name!r}", nearest(name, known))])


def _check(args: argparse.Namespace) -> int:
    from diagnose.book_check import check
    from diagnose.guard import band
    from knowledge.book import SHIPPED, load_book
    from knowledge.translation import folder_hints

    folder = Path(args.folder) if args.folder else SHIPPED
    book = load_book(folder)
    report = check(book)
    hints = [*report.hints, *folder_hints(folder, book)]
    counts = {kind: len(getattr(book, kind)) for kind in KINDS}
    most = max(report.cells.values(), default=0)
    if args.json:
        _json(
            {
                "problems": [vars(problem) for problem in report.problems],
                "hints": [vars(hint) for hint in hints],
                "counts": counts,
                "cells": report.cells,
                "band": band(most) if most else "refused",
                "pairs": [vars(pair) for pair in report.pairs],
            }
        )
        return 1 if report.problems else 0
    for hint in hints:
        print(f"hint: {hint}")
    for problem in report.problems:
        print(problem, file=sys.stderr)
    print(", ".join(f"{number} {kind}" for kind, number in counts.items()))
    if most:
        print(f"{most:,} table cells at most, with nothing known of the unit: {band(most)}")
    if report.pairs:
        print("\n".join(pair_lines(book, report.pairs)))
    return 1 if report.problems else 0


def _schema(args: argparse.Namespace) -> None:
    from knowledge.schema import BookFile

    print(json.dumps(BookFile.model_json_schema(), indent=2))


def _json(data: dict[str, Any]) -> None:
    from diagnose.events import SCHEMA_VERSION

    print(json.dumps({"schema_version": SCHEMA_VERSION, **data}, indent=2))
