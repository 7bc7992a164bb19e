"""Opens a callout, a new one or one to go on with, and hands it to a face."""

import argparse
import secrets
import sys
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, closing
from typing import NamedTuple

from diagnose.callout import BadEvent
from diagnose.events import opening_of
from diagnose.history.overview import Overview
from diagnose.history.saver import Saver
from diagnose.history.store import History
from diagnose.history.trouble import cannot_open
from diagnose.opening import open_callout
from diagnose.sheet import Unit, read_unit
from diagnose.spoken import known_language
from diagnose.walk import Walk
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem
from tui.clock import utc_now
from tui.commands.common import the_book
from tui.folder import callout_name, kept
from tui.learning import learned_of_store
from tui.lines import callout_text
from tui.plain import walk_plain
from tui.settings import setting
from tui.stores import open_store
from tui.texts import texts_in
from tui.voice import Voice, ask_line


class Left(Exception):
    """The person left before a callout was chosen."""


class Ready(NamedTuple):
    """A callout that can be walked."""

    walk: Walk
    record: str
    """Where it is kept, for a person."""
    notes: list[str]


class Beginning:
    """How a callout begins: what is open is looked up, a face lets a person choose, and the walk is ready."""

    def __init__(self, args: argparse.Namespace) -> None:
        self._args = args
        self._stack = ExitStack()
        self._unit: Unit | None = None
        self._resumed: Overview | None = None

    def look(self) -> Sequence[Overview]:
        """Read the book, the sheet and the store; the open callouts to choose from, none where nothing is
        to be chosen. Slow. Raises `InputProblems`.
        """
        args = self._args
        self._book = the_book(args)
        self._language = known_language(self._book, args.lang)
        self._unit = read_unit(args.unit, self._book) if args.unit else None
        self._history = self._stack.enter_context(open_store(args))
        if args.new:
            return ()
        found = self._history.open_callouts(self._unit.name if self._unit else "")
        if not args.resume:
            return found
        if not found:
            raise InputProblems(
                [Problem("--resume", "", "there is no open callout to go on with", "Leave --resume out.")]
            )
        self._resumed = found[0]
        return ()

    def ready(self, chosen: Overview | None) -> Ready:
        """The walk of the callout that was chosen, or of a new one. Raises `InputProblems`."""
        book, chosen = self._book, chosen or self._resumed
        args, by = self._args, self._args.by or setting("by")
        if chosen:
            key = chosen.key
        else:
            unit, learning = self._unit or Unit(), args.history != "none"
            key = start(self._history, unit, book, args.caller, by, learning)
        saver = Saver(self._history, key, by)
        present = replayed(book, saver, self._language)
        record = texts_in(book.language).dialog.record.format(store=self._history.name, name=_name(saver))
        return Ready(present, record, digest_notes(book, saver))

    def close(self) -> None:
        """Let go of the store."""
        self._stack.close()


def walk(args: argparse.Namespace) -> int:
    """Walk a callout line by line to its end, or until it is left; returns the exit code.

    Raises `InputProblems`, and `Left`.
    """
    beginning, typed = Beginning(args), iter(sys.stdin)
    with closing(beginning):
        found = beginning.look()
        ready = beginning.ready(_choose_plain(found, typed, args.lang) if found else None)
        for note in ready.notes:
            print(note, file=sys.stderr)
        return walk_plain(ready.walk, typed, sys.stdout, ready.record, bool(args.ahead))


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
    return [texts_in(book.language).dialog.started_with_other.format(name=_name(saver))]


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


def _choose_plain(found: Sequence[Overview], typed: Iterator[str], language: str) -> Overview | None:
    voice, texts = Voice(sys.stdout), texts_in(language)
    voice.say(texts.line.open_callouts)
    for number, item in enumerate(found, 1):
        voice.say(texts.dialog.go_on_with.format(callout=callout_text(item, language)), f"{number}. ")
    voice.say(texts.line.start_new, "n. ")
    while True:
        line = ask_line(voice, typed, texts.line.which)
        if line is None or line == "q":
            raise Left
        if line == "n":
            return None
        if line.isascii() and line.isdigit() and 1 <= int(line) <= len(found):
            return found[int(line) - 1]
        voice.say(texts.line.not_listed.format(typed=repr(line)))
