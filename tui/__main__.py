"""The command line: ``halfsplit COMMAND``. Each command is one file of `tui.commands`.

Exit codes: 0 done, 1 a fault of the program or, of `book check`, a book at fault, 2 something to mend in
what was typed or in a file.
"""

import argparse
import gc
import io
import os
import sys
from collections.abc import Sequence
from typing import Final

from tui.commands import (
    book,
    calc,
    completion,
    demo,
    desk,
    drill,
    history,
    procedure,
    rank,
    reference,
    report,
    rig,
    self_check,
    sheet,
    walk,
)

ABOUT = "Find why a vessel's liquid dump does not work, one best question at a time."

COMMANDS: Final = (
    walk,
    desk,
    history,
    rank,
    report,
    sheet,
    calc,
    procedure,
    book,
    rig,
    drill,
    self_check,
    completion,
    demo,
    reference,
)
"""In the order in which the help lists them."""
LEAST_WASTE: Final = 50_000
"""New objects after which Python looks for those that nothing uses."""


class _Version(argparse.Action):
    """Looks the version up only when it is asked for: that reads the installed packages."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from tui.self_check import version_of

        print(f"halfsplit {version_of('halfsplit')}")
        parser.exit()


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    top = argparse.ArgumentParser(prog="halfsplit", description=ABOUT)
    top.add_argument("--version", action=_Version, nargs=0, help="tell the version and leave")
    commands = top.add_subparsers(dest="command", required=True, metavar="COMMAND")
    for command in COMMANDS:
        command.add_parser(commands)
    return top


def main(words: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    _make_ready()
    args = parser().parse_args(words)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that lacks a character must not end the program
    try:
        code = int(args.run(args))
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader went away (`| head`); nothing is left to say, and Python must not complain at exit.
        _forget_output()
        return 0
    except OSError as error:
        _forget_output()
        print(f"The output cannot be written ({error.strerror}).", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 0
    return code


def _make_ready() -> None:
    """Settings of the whole process that make a start quicker and change no answer."""
    # The tables are small: a second thread of the numbers' library would only keep a processor busy.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # The book is some ten thousand objects that stay; looking through them for waste finds none.
    gc.set_threshold(LEAST_WASTE)


def _forget_output() -> None:
    """What is still to be written cannot be; Python must not try again at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    sys.exit(main())
