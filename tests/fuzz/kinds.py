"""What is fed with hostile input, kind by kind: it is taken or refused in words; all else is a finding."""

import asyncio
import io
import json
import random
import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import chdir, redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path
from typing import Any, Final
from unittest.mock import patch

from diagnose.batch import rank_lines
from diagnose.calculators.run import CALCULATORS, as_json, calculate
from diagnose.callout import replay
from diagnose.sheet import Unit, read_sheet, read_unit, unit_of
from diagnose.sheet_check import check_sheet
from diagnose.units import NotAQuantity, parse
from diagnose.volunteer import Findings
from knowledge.book import EXAMPLES, Book, load_book
from knowledge.problems import InputProblems
from tests.fuzz.faces import Finding, desk_keys, every_command, harmless, names, odd_file
from tests.fuzz.merging import merge_file
from tests.fuzz.mutate import mutated, text_of, words
from tests.fuzz.safety import MOST, random_callout
from tests.tui.driver import RECORD, SMALL_BOOK, new_walk, on_screen, settle, small_book
from tui.__main__ import main
from tui.plain import walk_plain

Case = Callable[[random.Random, Path], bool]
"""Runs one case in a folder of its own; whether the input was taken (and not refused)."""
READINGS: Final = ("12 psi", "0.8bar", "35 API", "1 1/2 in", "70 degF", "-3 psi", "2,5 bar", "12", "1e3 kPaa")
COMMANDS: Final = (
    *("rank", "sheet", "calc", "procedure", "book", "rig", "drill", "check", "new", "list", "show", "graph"),
    *("faults", "run", "export", "--help", "--json", "--saw", "complaint=wont_open", "output_gauge=12psi"),
    *("--set", "action=snap", "--hold", "open", "--unit", "willow-flat-v210", "unknown-unit", "--lang", "es"),
    *("actuator", "valve", "bench_low=3psi", "--list", "causes", "supply_shut", "--around", "--svg", "--bif"),
    *("set_point", "--price", "moving=30", "--explain", "--fault", "--minutes", "5", "--seed", "1", "-"),
)
KEYS: Final = (
    *"0123456789jkl?ucrntfwvxhabz /.",
    *("enter", "escape", "up", "down", "left", "right", "pageup", "pagedown", "tab", "backspace", "space"),
    *("ctrl+c", "f1", "f5", "home", "end", "delete", "shift+tab", "alt+1", "ctrl+z"),
)
"""Any key but the one that leaves, most of them more than once on average in a case."""
TYPED: Final = ("1", "2", "3", "9", "0", "u", "c", "?", "", "q", "2?", "12 psi", "/frost", "/vent blow", "j")


def _refused(error: InputProblems) -> bool:
    for problem in error.problems:
        harmless(str(problem))
        if not problem.what:
            raise Finding(f"a problem says nothing: {problem!r}")
    return False


@cache
def _sheets() -> tuple[bytes, ...]:
    return tuple(path.read_bytes() for path in sorted(EXAMPLES.glob("*.yaml")))


@cache
def _book_files() -> Mapping[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(SMALL_BOOK.glob("*.yaml"))}


@cache
def _shipped() -> Book:
    return load_book()


@cache
def _findings() -> Findings:
    return Findings(_shipped())


def book(source: random.Random, folder: Path) -> bool:
    """A book with one file made wrong."""
    place = folder / "book"
    shutil.copytree(SMALL_BOOK, place)
    name = source.choice(sorted(_book_files()))
    (place / name).write_bytes(mutated(source, [_book_files()[name]]))
    try:
        load_book(place)
    except InputProblems as error:
        return _refused(error)
    finally:
        shutil.rmtree(place)
    return True


def sheet(source: random.Random, folder: Path) -> bool:
    """A unit sheet made wrong, read, checked and fitted to the shipped book."""
    path = folder / "sheet.yaml"
    path.write_bytes(mutated(source, _sheets()))
    try:
        read, document = read_sheet(str(path))
        unit_of(read, _shipped(), document)
        check_sheet(read, lambda field: document.place(tuple(field.split("."))))
    except InputProblems as error:
        return _refused(error)
    return True


def batch(source: random.Random, folder: Path) -> bool:
    """A line of `rank --batch` made wrong."""
    right = (
        b'{"id": "7", "set": {"valve_fails": "closed"}, "saw": {"complaint": "floods"}, "hold": "running"}',
        b'{"id": 8, "unit": "unknown-unit", "saw": {"complaint": ["floods"], "output_gauge": "3 psi"}}',
        b"{}",
    )
    line = mutated(source, right).replace(b"\n", b" ")
    answers = list(rank_lines(small_book(), [line], "calls.jsonl"))
    for answer in answers:
        json.dumps(answer.to_json(), allow_nan=False)
        for problem in answer.problems:
            harmless(str(problem))
    return not any(answer.problems for answer in answers)


def reading(source: random.Random, folder: Path) -> bool:
    """A number with its unit made wrong."""
    try:
        found = parse(text_of(source, READINGS))
    except NotAQuantity:
        return False
    if not 0 <= found.value < float("inf"):
        raise Finding(f"{found} is no quantity")
    return True


def calculation(source: random.Random, folder: Path) -> bool:
    """Any numbers for a calculator, in range or not: numbers come out, or a refusal."""
    name = source.choice(sorted(CALCULATORS))
    given = [f"{entry.name}={_value(source, entry)}" for entry in CALCULATORS[name].inputs]
    if source.random() < 0.3:
        given = [text_of(source, given) for _ in given]
    try:
        json.dumps(as_json(calculate(name, given)), allow_nan=False)
    except InputProblems as error:
        return _refused(error)
    return True


def _value(source: random.Random, entry: Any) -> str:
    if getattr(entry, "words", None):
        return str(source.choice(list(entry.words)))
    number = source.choice([0.0, 1.0, source.uniform(0, 100), 10 ** source.uniform(-9, 9)])
    return f"{number:.6g} {entry.unit}".strip()


def said(source: random.Random, folder: Path) -> bool:
    """What a caller says, searched for in the book."""
    right = ("vent blowing", "frost on the regulator", "no hay gas", "stem stuck", "glass is plugged")
    return bool(_findings().search(text_of(source, right)))


def typed(source: random.Random, folder: Path) -> bool:
    """A walk answered with rubbish by lines: it goes on, or is left, and its events make it anew."""
    walk = new_walk()
    out = io.StringIO()
    walk_plain(walk, (line.replace("\n", " ") for line in words(source, TYPED, 25)), out, RECORD)
    harmless(out.getvalue())
    if replay(walk.book, walk.events) != walk.state:
        raise Finding("the events do not add up to the state")
    return len(walk.events) > 1


def keys(source: random.Random, folder: Path) -> bool:
    """A walk on the screen under keys pressed at random: it lives, and its events make it anew."""
    walk = new_walk()

    async def play() -> None:
        width, height = source.choice([(80, 24), (60, 20), (120, 40), (30, 8)])
        async with on_screen(walk, (width, height)) as pilot:
            for key in source.choices(KEYS, k=40):
                if pilot.app.return_code is None:
                    await pilot.press(key)
                    await settle(pilot)
            if pilot.app.return_code:
                raise Finding(f"the screen ended with {pilot.app.return_code}")

    asyncio.run(play())
    if replay(walk.book, walk.events) != walk.state:
        raise Finding("the events do not add up to the state")
    return len(walk.events) > 1


def callout(source: random.Random, folder: Path) -> bool:
    """Answered at random, on the small book: no step without its hold, no hold without its cautions."""
    return random_callout(small_book(), source, Unit("V-101")) < MOST


def shipped_callout(source: random.Random, folder: Path) -> bool:
    """The same on the shipped book, on one of the example units."""
    unit = read_unit(source.choice([path.stem for path in sorted(EXAMPLES.glob("*.yaml"))]), _shipped())
    return random_callout(_shipped(), source, unit) < MOST


def command_line(source: random.Random, folder: Path) -> bool:
    """Any words behind the command: done, or told what to mend."""
    given = words(source, COMMANDS, 6)
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err), patch("sys.stdin", io.StringIO("")), chdir(folder):
        try:
            code = main(given)
        except SystemExit as left:
            code = int(left.code or 0)
    if code not in (0, 2):
        raise Finding(f"{given} left with {code}: {err.getvalue()[-300:]}")
    harmless(out.getvalue())
    harmless(err.getvalue())
    return code == 0


KINDS: Final[Mapping[str, Case]] = {
    kind.__name__: kind
    for kind in (
        book,
        sheet,
        batch,
        reading,
        calculation,
        said,
        typed,
        keys,
        callout,
        command_line,
        merge_file,
        every_command,
        odd_file,
        names,
        desk_keys,
    )
}
SLOW: Final[Mapping[str, Case]] = {shipped_callout.__name__: shipped_callout}
"""Run only when they are named."""


def cases(name: str, count: int, seed: int, folder: Path) -> Iterator[tuple[int, bool | Exception]]:
    """Each case of a kind by its number: whether it was taken, or what must not have happened."""
    for number in range(count):
        try:
            yield number, (KINDS | SLOW)[name](random.Random(f"{name} {seed} {number}"), folder)
        except Exception as error:
            yield number, error
