"""Runs `walk` in this process with lines typed."""

import argparse
import io
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.tui.driver import SMALL_BOOK
from tui.commands.walk import add_parser
from tui.folder import data_folder


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


def callouts() -> list[Path]:
    """The files in this test's data folder."""
    return sorted((data_folder(None) / "callouts").glob("*.jsonl"))
