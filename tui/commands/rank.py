"""`halfsplit rank`: findings in, likely causes and the next check out, of one callout or of many."""

import argparse
import json
import sys
from collections.abc import Iterator
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.commands.common import add_book, add_language, add_prices, mistakes

if TYPE_CHECKING:
    from argparse import _SubParsersAction

    from diagnose.batch import Teach
    from knowledge.book import Book

ABOUT = "Rank the causes for some findings, and say what to do next."
SHOWN = 8
"""Causes shown to a person; `--json` gives all of them."""


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command to a parser."""
    parser = subparsers.add_parser("rank", help=ABOUT, description=ABOUT)
    parser.add_argument("--unit", metavar="FILE", help="the unit sheet, or the name of an example")
    parser.add_argument("--set", metavar="FACT=VALUE", action="append", default=[], help="a fact of the unit")
    parser.add_argument(
        "--saw",
        metavar="CHECK=OUTCOME",
        action="append",
        default=[],
        help="a finding; a reading with its unit, like output_gauge=12psi; or complaint=…; "
        "with a ? behind it when it is not sure",
    )
    parser.add_argument("--hold", help="the state that the unit is in (default: running)")
    parser.add_argument(
        "--batch",
        metavar="FILE",
        help="many callouts, a JSON object a line like "
        '{"id": "7", "unit": "…", "set": {"action": "snap"}, "saw": {"complaint": "wont_open"}}; '
        "- for stdin. Prints an answer a line, in order; the code is 2 when a line was at fault",
    )
    add_book(parser)
    add_prices(parser)
    add_language(parser)
    parser.add_argument(
        "--history",
        metavar="URL",
        help="start from what earlier callouts have taught: default, a file, or postgresql://…",
    )
    parser.add_argument(
        "--explain", action="store_true", help="say what each finding said, and what would change it"
    )
    parser.add_argument(
        "--ahead", action="store_true", help="look further ahead for the next step; takes a second or two"
    )
    parser.add_argument("--json", action="store_true", help="print everything as JSON")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Run the command; returns the exit code."""
    with mistakes() as outcome:
        if args.batch is not None:
            outcome.code = _batch(args)
            return outcome.code
        from diagnose.question import understand
        from diagnose.reasoner import Reasoner
        from diagnose.report import rank
        from diagnose.sheet import Unit, read_unit
        from diagnose.spoken import known_language
        from tui.commands.common import the_book
        from tui.folder import kept

        book = the_book(args)
        unit = read_unit(args.unit, book) if args.unit else Unit()
        question = understand(book, unit, args.set, args.saw, args.hold or "running")
        learned = None
        if args.history:
            from tui.learning import book_of_history

            book, learned = book_of_history(args.history, unit, question.facts, book)
        found = rank(
            book,
            unit,
            question,
            Reasoner(book, question.facts, kept(), question.complaints),
            args.ahead,
            args.json or args.explain,
            known_language(book, args.lang),
            learned,
        )
        if args.json:
            print(json.dumps(found, indent=2))
        else:
            _show(found)
            if args.explain:
                from tui.explain_lines import explain_lines, takes_blocks

                ascii_only = not takes_blocks(sys.stdout.encoding)
                print("\n".join(explain_lines(found["explain"], ascii_only)))
    return outcome.code


def _batch(args: argparse.Namespace) -> int:
    """Rank every line of a file; returns 2 when any of them was at fault."""
    from diagnose.batch import rank_lines
    from knowledge.problems import InputProblems, Problem
    from tui.commands.common import the_book
    from tui.folder import kept

    beside = [name for name in ("unit", "set", "saw", "hold") if getattr(args, name)]
    if beside:
        names = ", ".join(f"--{name}" for name in beside)
        raise InputProblems([Problem("--batch", "", f"goes without {names}", "Say it in the lines.")])
    book = the_book(args)
    code = 0
    with _teaching(args.history, book) as teach:
        for answer in rank_lines(book, _lines(args.batch), args.batch, kept(), teach):
            print(json.dumps(answer.to_json()), flush=True)
            for problem in answer.problems:
                print(problem, file=sys.stderr)
                code = 2
    return code


def _teaching(named: str | None, book: "Book") -> "AbstractContextManager[Teach | None]":
    """What the named store teaches of a unit; nothing where none is named."""
    if not named:
        return nullcontext()
    from tui.learning import teaching

    return teaching(named, book)


def _lines(name: str) -> Iterator[bytes]:
    """The lines of a file, of stdin for ``-``; `InputProblems` when it cannot be read."""
    from diagnose.batch import lines_of
    from knowledge.problems import InputProblems, Problem

    try:
        if name == "-" and sys.stdin is not None:
            yield from lines_of(sys.stdin.buffer)
        else:
            with Path(name).open("rb") as stream:
                yield from lines_of(stream)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise InputProblems([Problem(str(Path(name)), "", f"cannot be read ({why})")]) from error


def _show(found: dict[str, Any]) -> None:
    from diagnose.words import minutes_text, percent_text

    for cause in found["causes"][:SHOWN]:
        print(f"{percent_text(cause['probability']):>4}  {cause['title']}  [{cause['id']}]")
        if "rests_on" in cause:
            print(f"      {cause['rests_on']}")
        for worked in cause["because"]:
            print(f"      {worked['fact']} is {worked['value']}, by calculator {worked['calculator']}")
    advice = found["advice"]
    print(f"\nNext: {advice['title']}  [{advice['kind']} {advice['id']}]")
    if advice["say"]:
        print(f"Say: {advice['say']}")
    for caution in advice["cautions"]:
        print(f"Caution: {caution}")
    print(f"Takes: {minutes_text(advice['minutes'])}, {advice['hold']}")
    if advice["risk_minutes"]:
        risk = minutes_text(advice["risk_minutes"])
        print(f"Risk: it can move the valve of a live vessel. That counts as {risk} (--price moving=…).")
    print(f"Why: {advice['why']}")
    if advice["then"]:
        print(f"Then most likely: {'; '.join(step['title'] for step in advice['then'])}")
    for note in found["notes"]:
        print(note, file=sys.stderr)
    if not found["fit"]["together"]:
        again = found["fit"]["look_again"]
        mend = f" Look again at: {again}" if again else ""
        print(f"These findings do not fit together.{mend}", file=sys.stderr)
