"""How the screen looks: its colours, and whether it must do with ASCII alone."""

import argparse
import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from knowledge.problems import InputProblems, Problem, nearest
from tui.explain_lines import takes_blocks
from tui.settings import setting, settings_file

THEMES: Final = ("sun", "night", "terminal")
"""For sunlight, for the dark, and the terminal's own colours (`tui.screen.themes`)."""
YES: Final = ("yes", "true", "1")


@dataclass(frozen=True)
class Looks:
    """What a screen begins with."""

    theme: str = THEMES[0]
    ascii_only: bool = False


def add_looks(parser: argparse.ArgumentParser) -> None:
    """Add `--theme NAME` and `--ascii` to a parser."""
    parser.add_argument(
        "--theme", choices=THEMES, help="colours: for sunlight, for the dark, or the terminal's own"
    )
    parser.add_argument("--ascii", action="store_true", help="draw with plain letters and signs alone")


def looks_of(
    args: argparse.Namespace | None = None,
    environment: Mapping[str, str] = os.environ,
    encoding: str | None = None,
) -> Looks:
    """The options, else the settings, else what suits: no colour where `NO_COLOR` asks for none, ASCII where
    the terminal's encoding has no more. Raises `InputProblems` for settings that cannot be so.
    """
    theme = getattr(args, "theme", None) or setting("theme")
    if theme and theme not in THEMES:
        place, mend = str(settings_file(environment)), nearest(theme, THEMES)
        raise InputProblems([Problem(place, "theme", f"{theme!r} is no theme", mend)])
    usual = "terminal" if "NO_COLOR" in environment else THEMES[0]
    bare = getattr(args, "ascii", False) or setting("ascii").lower() in YES
    return Looks(theme or usual, bare or not takes_blocks(encoding or sys.stdout.encoding))
