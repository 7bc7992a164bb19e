"""Runs `walk` in this process with lines typed."""

import argparse
import io
from contextlib import redirect_stderr, redirect_stdout
from typing import NamedTuple

import pytest

from diagnose.events import Event
from diagnose.history.overview import Overview
from diagnose.history.store import History
from tests.tui.driver import SMALL_BOOK
from tui.commands.walk import add_parser
from tui.folder import data_folder
from tui.stores import FILE


class Done(NamedTuple):
    """What a command came to."""

    returncode: int
    stdout: str
    stderr: str


def run(*args: str, typed: str = "") -> Done:
    """Run the command to its end in this process, with these lines typed."""
    parser = argparse.ArgumentParser()
    add_parser(parser.add_subparsers())
    out, talk = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(talk):
        patch.setattr("sys.stdin", io.StringIO(typed))
        parsed = parser.parse_args(["walk", "--book", str(SMALL_BOOK), *args])
        code = parsed.run(parsed)
    return Done(code, out.getvalue(), talk.getvalue())


def lines(*answers: str) -> str:
    """Answers as typed lines."""
    return "".join(f"{answer}\n" for answer in answers)


def store() -> History:
    """The store in this test's data folder."""
    return History.open(str(data_folder(None) / FILE), lambda: "2026-02-01T00:00:00Z")


def callouts() -> list[Overview]:
    """The callouts in this test's data folder, in the order in which they were opened."""
    if not (data_folder(None) / FILE).exists():
        return []
    with store() as history:
        return history.callouts()[::-1]


def events_of(item: Overview) -> list[Event]:
    """The line of one of them."""
    with store() as history:
        return list(history.events(item.key))
