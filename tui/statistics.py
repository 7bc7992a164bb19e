"""A store's statistics for the commands: the ledger read, the unit found, values made ready for JSON."""

import argparse
import sys
from collections.abc import Mapping
from dataclasses import asdict, is_dataclass
from datetime import datetime
from math import isfinite
from typing import Any, Final

from diagnose.history.ledger import Ledger
from diagnose.history.store import History
from diagnose.history.teacher import Teacher, teacher_of
from diagnose.sheet import read_unit
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest
from tui.folder import kept
from tui.statistics_lines import reading

TELLS: Final = 200
"""Callouts that wait above which somebody is told how far the reading is."""


def teacher(history: History, book: Book) -> Teacher:
    """A teacher who has read all that waited; says on stderr how far it is where it takes long."""
    ledger = Ledger(history, book, kept())
    waiting = ledger.waiting()

    def told(done: int) -> None:
        if waiting > TELLS:
            print(f"\r{reading(done, waiting)}", end="", file=sys.stderr, flush=True)

    found = teacher_of(ledger, None, told)
    if waiting > TELLS:
        print(file=sys.stderr)
    return found


def place_of(args: argparse.Namespace, teacher: Teacher) -> tuple[str, str, Mapping[str, str]]:
    """(Site, unit, known facts) that the options name. Raises `InputProblems`.

    Without a sheet the facts are those of the unit's last callout, but for what changes from day to day.
    """
    book = teacher.ledger.book
    if args.sheet:
        sheet = read_unit(args.sheet, book)
        return args.site or sheet.site, args.unit or sheet.name, sheet.facts
    sites = sorted({site for site, unit in teacher.ledger.places() if unit == args.unit})
    if not args.unit or args.site:
        site = args.site
    elif len(sites) == 1:
        site = sites[0]
    else:
        raise _which_unit(args.unit, sites, teacher)
    last = teacher.ledger.callouts(site, args.unit, newest=1)
    facts = last[0].facts if last else {}
    lasting = {
        name: value for name, value in facts.items() if name not in book.facts or book.facts[name].sheet
    }
    return site, args.unit, lasting


def _which_unit(unit: str, sites: list[str], teacher: Teacher) -> InputProblems:
    if sites:
        mend = f"Name one with --site: {', '.join(sites)}."
        return InputProblems([Problem("--unit", unit, "stands at several sites", mend)])
    units = sorted({unit for _, unit in teacher.ledger.places()})
    return InputProblems([Problem("--unit", unit, "has no callout that has ended", nearest(unit, units))])


def site_of(args: argparse.Namespace, teacher: Teacher) -> str:
    """The site that the options name, or the only one. Raises `InputProblems`."""
    sites = sorted({site for site, _ in teacher.ledger.places()})
    if args.site or len(sites) == 1:
        if args.site and args.site not in sites:
            what = "has no callout that has ended"
            raise InputProblems([Problem("--site", args.site, what, nearest(args.site, sites))])
        return str(args.site or sites[0])
    if not sites:
        raise InputProblems([Problem("--site", "", "there is no callout that has ended yet", "")])
    raise InputProblems([Problem("--site", "", "there are several", f"Name one: {', '.join(sites)}.")])


def plain(value: Any) -> Any:
    """A value as JSON has it: dataclasses as objects, times as text, no number as null."""
    match value:
        case float():
            return value if isfinite(value) else None
        case datetime():
            return value.isoformat()
        case dict():
            return {key: plain(part) for key, part in value.items()}
        case list() | tuple():
            return [plain(part) for part in value]
    if is_dataclass(value) and not isinstance(value, type):
        return plain(asdict(value))
    return value


def flat(row: Mapping[str, Any], front: str = "") -> dict[str, Any]:
    """An object of JSON as one row of a table: what is inside a part is named ``part.name``.

    >>> flat({"unit": "V-1", "mtbf": {"value": 3.0, "low": 1.0}, "months": [1, 2]})
    {'unit': 'V-1', 'mtbf.value': 3.0, 'mtbf.low': 1.0, 'months': '1 2'}
    """
    found: dict[str, Any] = {}
    for key, value in row.items():
        if isinstance(value, dict):
            found |= flat(value, f"{front}{key}.")
        else:
            found[front + key] = " ".join(map(str, value)) if isinstance(value, list) else value
    return found


def table(rows: list[dict[str, Any]]) -> str:
    """Objects of JSON as CSV, a column for each key of any of them."""
    from tui.csv_text import csv_text

    flattened = [flat(row) for row in rows]
    columns = list(dict.fromkeys(name for row in flattened for name in row))
    return csv_text(columns, [{k: "" if v is None else v for k, v in row.items()} for row in flattened])
