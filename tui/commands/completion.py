"""`halfsplit completion SHELL`: what makes a shell complete the commands and options."""

import argparse
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from argparse import _SubParsersAction

SHELLS: Final = ("bash", "zsh", "tcsh")


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add `completion` to the command line."""
    parser = subparsers.add_parser(
        "completion",
        help="print what makes a shell complete halfsplit's commands",
        description="Print a script for the shell. For bash: halfsplit completion bash >> ~/.bashrc",
    )
    parser.add_argument("shell", choices=SHELLS, metavar="SHELL", help=f"one of: {', '.join(SHELLS)}")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the script."""
    import shtab

    from tui.__main__ import parser

    print(shtab.complete(parser(), shell=args.shell))
    return 0
