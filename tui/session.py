"""Opens a callout, a new one or one to go on with, and hands it to a face."""

import argparse
import secrets
import sys
from collections.abc import Iterator, Sequence

from diagnose.callout import BadEvent
from diagnose.events import opening_of
from diagnose.history.overview import Overview
from diagnose.history.saver import Saver
from diagnose.history.store import History
from diagnose.history.trouble import cannot_open
from diagnose.sheet import Unit, read_unit
from diagnose.spoken import known_language
from diagnose.walk import Walk, open_callout
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem
from tui.clock import utc_now
from tui.commands.common import the_book
from tui.folder import callout_name, kept
from tui.learning import learned_of_store
from tui.lines import callout_text
from tui.looks import looks_of
from tui.plain import Voice, ask_line, walk_plain
from tui.settings import setting
from tui.stores import open_store


class Left(Exception):
    """The person left before a callout was chosen."""


def walk(args: argparse.Namespace) -> int:
    """Walk a callout to its end, or until it is left; returns the exit code. `InputProblems`, `Left`."""
    book = the_book(args)
    language = known_language(book, args.lang)
    unit = read_unit(args.unit, book) if args.unit else None
    looks = looks_of(args)
    typed = iter(sys.stdin)
    with open_store(args) as history:
        chosen = _choose(args, history, unit, typed)
        by = args.by or setting("by")
        key = (
            chosen.key
            if chosen
            else start(history, unit or Unit(), book, args.caller, by, args.history != "none")
        )
        saver = Saver(history, key, by)
        notes = digest_notes(book, saver)
        for note in notes:
            print(note, file=sys.stderr)
        present = replayed(book, saver, language)
        record = f"{history.name}, callout {_name(saver)}"
        if args.plain:
            return walk_plain(present, typed, sys.stdout, record)
        from tui.screen.app import run_screen

        return run_screen(present, record, notes, looks)


def start(
    history: History, unit: Unit, book: Book, caller: str = "", by: str = "", learning: bool = True
) -> str:
    """Begin a callout; returns its key. ``learning``: whether it begins with what the history has taught.

    Raises `InputProblems` when it cannot be saved.
    """
    now = utc_now()
    learned = learned_of_store(history, unit, book) if learning else None
    name = callout_name(now, unit.name, secrets.token_hex(3))
    try:
        return history.begin(open_callout(name, unit, book, now, caller, by, learned))
    except OSError as error:
        raise cannot_open(history.name, error) from error


def digest_notes(book: Book, saver: Saver) -> list[str]:
    """What to tell of a callout that was started with another book."""
    if opening_of(list(saver.events)).book == book.digest:
        return []
    return [f"{_name(saver)} was started with another book: the percents may differ from what they were."]


def replayed(book: Book, saver: Saver, language: str) -> Walk:
    """The walk of a callout that is in the store. Raises `InputProblems`."""
    try:
        return Walk(book, saver.events, saver.save, utc_now, kept(), language, saver)
    except BadEvent as error:
        what = f"this callout cannot go on with this book: {error}"
        mend = "Use the book that it was started with (--book)."
        raise InputProblems([Problem(_name(saver), "", what, mend)]) from error


def _name(saver: Saver) -> str:
    return opening_of(list(saver.events)).callout


def _choose(
    args: argparse.Namespace, history: History, unit: Unit | None, typed: Iterator[str]
) -> Overview | None:
    """The open callout to go on with, of this unit when one is named; None for a new one."""
    if args.new:
        return None
    found = history.open_callouts(unit.name if unit else "")
    if args.resume and not found:
        raise InputProblems(
            [Problem("--resume", "", "there is no open callout to go on with", "Leave --resume out.")]
        )
    if args.resume or not found:
        return found[0] if found else None
    if args.plain:
        return _choose_plain(found, typed)
    from tui.screen.chooser import run_chooser

    choice = run_chooser(found, looks_of(args))
    if choice is None:
        raise Left
    return found[choice] if choice < len(found) else None


def _choose_plain(found: Sequence[Overview], typed: Iterator[str]) -> Overview | None:
    voice = Voice(sys.stdout)
    voice.say("There are open callouts:")
    for number, item in enumerate(found, 1):
        voice.say(f"go on with {callout_text(item)}", f"{number}. ")
    voice.say("start a new one", "n. ")
    while True:
        line = ask_line(voice, typed, "Which one? ")
        if line is None or line == "q":
            raise Left
        if line == "n":
            return None
        if line.isascii() and line.isdigit() and 1 <= int(line) <= len(found):
            return found[int(line) - 1]
        voice.say(f"{line!r} is not in the list. Type a number, n or q.")
