"""Opens a callout, a new one or one to go on with, and hands it to a face."""

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

from diagnose.callout import BadEvent
from diagnose.callouts import Callouts, OpenCallout, open_callouts
from diagnose.events import Event, opening_of
from diagnose.journal import Journal
from diagnose.sheet import Unit, read_unit
from diagnose.spoken import known_language
from diagnose.walk import Walk, open_callout
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem
from tui.clock import utc_now
from tui.commands.common import the_book
from tui.folder import callout_name, callout_path, callouts_folder, data_folder, kept
from tui.lines import callout_text
from tui.plain import Voice, ask_line, walk_plain


class Left(Exception):
    """The person left before a callout was chosen."""


def walk(args: argparse.Namespace) -> int:
    """Walk a callout to its end, or until it is left; returns the exit code. `InputProblems`, `Left`."""
    book = the_book(args)
    language = known_language(book, args.lang)
    unit = read_unit(args.unit, book) if args.unit else None
    data = data_folder(args.data)
    typed = iter(sys.stdin)
    chosen = _choose(args, book, unit, data, typed)
    journal, events = _resumed(chosen) if chosen else _started(data, unit or Unit(), book)
    with journal:
        notes = _digest_notes(book, events, journal.path)
        for note in notes:
            print(note, file=sys.stderr)
        present = _replayed(book, events, journal, language)
        if args.plain:
            return walk_plain(present, typed, sys.stdout, journal.path)
        from tui.screen.app import run_screen

        return run_screen(present, journal.path, notes)


def _choose(
    args: argparse.Namespace, book: Book, unit: Unit | None, data: Path, typed: Iterator[str]
) -> OpenCallout | None:
    """The open callout to go on with, of this unit when one is named; None for a new one."""
    if args.new:
        return None
    found = open_callouts(callouts_folder(data), book)
    if unit:
        found = Callouts(tuple(item for item in found.open if item.opening.unit == unit.name), found.damaged)
    if args.resume:
        _tell_damaged(found)
        if not found.open:
            raise InputProblems(
                [Problem("--resume", "", "there is no open callout to go on with", "Leave --resume out.")]
            )
        return found.open[0]
    if not found.open and not found.damaged:
        return None
    if args.plain:
        _tell_damaged(found)
        return _choose_plain(found, typed)
    from tui.screen.chooser import run_chooser

    choice = run_chooser(found)
    if choice is None:
        raise Left
    return found.open[choice] if choice < len(found.open) else None


def _choose_plain(found: Callouts, typed: Iterator[str]) -> OpenCallout | None:
    if not found.open:
        return None
    voice = Voice(sys.stdout)
    voice.say("There are open callouts:")
    for number, item in enumerate(found.open, 1):
        voice.say(f"go on with {callout_text(item)}", f"{number}. ")
    voice.say("start a new one", "n. ")
    while True:
        line = ask_line(voice, typed, "Which one? ")
        if line is None or line == "q":
            raise Left
        if line == "n":
            return None
        if line.isascii() and line.isdigit() and 1 <= int(line) <= len(found.open):
            return found.open[int(line) - 1]
        voice.say(f"{line!r} is not in the list. Type a number, n or q.")


def _tell_damaged(found: Callouts) -> None:
    for problem in found.damaged:
        print(problem, file=sys.stderr)


def _resumed(chosen: OpenCallout) -> tuple[Journal, list[Event]]:
    return Journal.open(chosen.path)


def _started(data: Path, unit: Unit, book: Book) -> tuple[Journal, list[Event]]:
    now = utc_now()
    path = callout_path(data, callout_name(now, unit.name))
    first = open_callout(path.stem, unit, book, now)
    try:
        return Journal.create(path, first), [first]
    except OSError as error:
        what = f"the callout cannot be saved there ({error.strerror})"
        raise InputProblems([Problem(str(path), "", what, "Name another folder with --data.")]) from error


def _digest_notes(book: Book, events: list[Event], path: Path) -> list[str]:
    if opening_of(events).book == book.digest:
        return []
    return [f"{path.name} was started with another book: the percents may differ from what they were."]


def _replayed(book: Book, events: list[Event], journal: Journal, language: str) -> Walk:
    try:
        return Walk(book, events, journal.append, utc_now, kept(), language)
    except BadEvent as error:
        what = f"this callout cannot go on with this book: {error}"
        raise InputProblems(
            [Problem(str(journal.path), "", what, "Use the book that it was started with (--book).")]
        ) from error
