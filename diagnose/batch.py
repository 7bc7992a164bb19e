"""Many callouts, one JSON object a line, each ranked as `rank` ranks one.

A line has any of the keys ``id`` (text or a whole number, handed back), ``unit`` (a sheet's file or the
name of an example), ``set`` (fact to value), ``saw`` (check to outcome or reading; ``complaint`` may be a
list) and ``hold``. Blank lines are passed over. What is wrong with a line is told of that line alone.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any, BinaryIO, Final

from diagnose.events import SCHEMA_VERSION
from diagnose.learned import Learned, learned_book
from diagnose.question import COMPLAINT, understand
from diagnose.reasoner import Reasoner
from diagnose.report import rank
from diagnose.sheet import Unit, read_unit
from diagnose.trees import Shapes
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest

KEYS: Final = ("id", "unit", "set", "saw", "hold")
MAX_BYTES: Final = 100_000
"""Bytes of one line. A callout with every check of the book answered is a few thousand."""
KEPT: Final = 16
"""Compiled networks, and sheets, that are kept for the lines to come; the longest unused goes first."""
SHOWN: Final = 60
"""Characters of a faulty line's own words that a message repeats."""
_OPTIONS: Final = {"--set": "set", "--saw": "saw", "--hold": "hold", "--unit": "unit"}

ReasonerOf = Callable[[tuple[tuple[str, str], ...], Learned | None], Reasoner]
"""Facts, sorted by name, and what was learned, to the network compiled for them."""
Teach = Callable[[Unit, Mapping[str, str]], Learned | None]
"""A unit, and what is known of it, to what its history has taught."""


@dataclass(frozen=True)
class Answer:
    """What is said of one line."""

    line: int
    id: str | int | None = None
    report: Mapping[str, Any] | None = None
    """What `rank` says; None when the line is at fault."""
    problems: tuple[Problem, ...] = ()

    def to_json(self) -> dict[str, Any]:
        """The line's number and id, then the report or the errors."""
        whose = {"schema_version": SCHEMA_VERSION, "line": self.line, "id": self.id}
        if self.report is not None:
            return {**whose, **self.report}
        return {**whose, "errors": [vars(problem) for problem in self.problems]}


class _Refused(Exception):
    """What is wrong with a line's JSON, and how to mend it."""

    def __init__(self, what: str, mend: str = "") -> None:
        self.what, self.mend = what, mend


def lines_of(stream: BinaryIO) -> Iterator[bytes]:
    """The lines of a stream; of one that is longer than `MAX_BYTES` no more than shows that it is."""
    while raw := stream.readline(MAX_BYTES + 1):
        yield raw
        while len(raw) > MAX_BYTES and not raw.endswith(b"\n"):
            raw = stream.readline(MAX_BYTES + 1)


def rank_lines(
    book: Book, lines: Iterable[bytes], name: str, shapes: Shapes | None = None, teach: Teach | None = None
) -> Iterator[Answer]:
    """An answer for each line that is not blank, in order, each as soon as it is asked for.

    ``name`` is the file's, for the places of mistakes; ``shapes``: where compiled
    shapes are kept; ``teach``: what earlier callouts taught of a
    line's unit. Lines with the same facts, of which the same was learned, share one compiled network, lines
    with the same sheet one reading of it.
    """
    networks: dict[tuple[tuple[tuple[str, str], ...], str], Reasoner] = {}

    def reasoners(facts: tuple[tuple[str, str], ...], learned: Learned | None) -> Reasoner:
        key = facts, learned.model_dump_json() if learned else ""
        if key not in networks:
            if len(networks) >= KEPT:
                del networks[next(iter(networks))]
            networks[key] = Reasoner(learned_book(book, learned), dict(facts), shapes)
        networks[key] = networks.pop(key)
        return networks[key]

    units = lru_cache(KEPT)(lambda sheet: read_unit(sheet, book))
    for number, raw in enumerate(lines, 1):
        if raw.strip() or len(raw) > MAX_BYTES:
            yield _answer(book, raw, number, f"{name}:{number}", reasoners, units, teach)


def _answer(
    book: Book,
    raw: bytes,
    number: int,
    place: str,
    reasoners: ReasonerOf,
    units: Callable[[str], Unit],
    teach: Teach | None,
) -> Answer:
    whose: str | int | None = None
    try:
        data = _object(raw)
        whose = _id(data)
        _known_keys(data)
        unit = _unit(data, units)
        sets, saws = _words(data, "set"), _words(data, "saw")
        question = understand(book, unit, sets, saws, _text(data, "hold", "running"))
        learned = teach(unit, question.facts) if teach else None
        reasoner = reasoners(tuple(sorted(question.facts.items())), learned)
        return Answer(number, whose, rank(reasoner.book, unit, question, reasoner, learned=learned))
    except _Refused as error:
        problems = [Problem(place, "", error.what, error.mend)]
    except InputProblems as error:
        problems = [_placed(problem, place) for problem in error.problems]
    return Answer(number, whose, problems=tuple(problems))


def _placed(problem: Problem, place: str) -> Problem:
    """The problem at its line; where it was before goes into its field."""
    before = _OPTIONS.get(problem.place, f"unit {problem.place}")
    words = problem.field if problem.field.isprintable() else _shown(problem.field)
    return replace(problem, place=place, field=f"{before} {words}".strip())


def _shown(words: str) -> str:
    """Words of a line in quotation marks, cut short, with nothing in them that a terminal would obey."""
    return ascii(words if len(words) <= SHOWN else words[:SHOWN] + "...")


def _object(raw: bytes) -> dict[str, Any]:
    """The JSON object of a line; `_Refused` when there is none."""
    if len(raw) > MAX_BYTES:
        raise _Refused(f"is longer than {MAX_BYTES:,} bytes", "Put each callout on a line of its own.")
    try:
        data = json.loads(
            raw.decode("utf-8-sig"), object_pairs_hook=_without_doubles, parse_constant=_not_a_number
        )
    except UnicodeDecodeError as error:
        raise _Refused("is not UTF-8 text", "Save it as UTF-8.") from error
    except json.JSONDecodeError as error:
        raise _Refused(f"is not JSON: {error.msg} (column {error.colno})") from error
    except RecursionError as error:
        raise _Refused("is nested too deep") from error
    except ValueError as error:
        raise _Refused("holds a number that is too long") from error
    if not isinstance(data, dict):
        raise _Refused("is not an object", 'Write it as {"saw": {…}}.')
    return data


def _known_keys(data: Mapping[str, Any]) -> None:
    for key in data:
        if key not in KEYS:
            raise _Refused(f"there is no key {_shown(key)}", nearest(key, KEYS))


def _without_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise _Refused(f"{_shown(key)} is there twice", "Give it once; several complaints are a list.")
        found[key] = value
    return found


def _not_a_number(word: str) -> None:
    raise _Refused(f"{word} is not a number that JSON has")


def _id(data: Mapping[str, Any]) -> str | int | None:
    value = data.get("id")
    if value is not None and (isinstance(value, bool) or not isinstance(value, str | int)):
        raise _Refused("id is neither text nor a whole number")
    return value


def _text(data: Mapping[str, Any], key: str, default: str = "") -> str:
    value = data.get(key, default)
    if not isinstance(value, str):
        raise _Refused(f"{key} is not text", "Put it in quotation marks.")
    return value


def _unit(data: Mapping[str, Any], units: Callable[[str], Unit]) -> Unit:
    if "unit" not in data:
        return Unit()
    name = _text(data, "unit")
    try:
        return units(name)
    except (OSError, ValueError) as error:  # a name that no file can have
        why = getattr(error, "strerror", None) or str(error)
        raise _Refused(f"there is no unit sheet {_shown(name)} ({why})") from error


def _words(data: Mapping[str, Any], key: str) -> list[str]:
    """What `understand` takes: NAME=VALUE for each entry, for each complaint of a list."""
    entries = data.get(key, {})
    if not isinstance(entries, dict):
        raise _Refused(f"{key} is not an object", f'Write it as "{key}": {{"name": "value"}}.')
    words = []
    for name, value in entries.items():
        several = value if name == COMPLAINT and key == "saw" and isinstance(value, list) else [value]
        for one in several:
            if not isinstance(one, str):
                raise _Refused(f"{key} {_shown(name)}: the value is not text", "Put it in quotation marks.")
            words.append(f"{name}={one}")
    return words
