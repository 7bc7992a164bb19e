"""What this machine offers halfsplit, line by line, and what is wrong with it."""

import importlib.metadata
import os
import platform
import shutil
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from knowledge.book import Book
from tui.folder import CACHE_ENVIRONMENT, ENVIRONMENT, data_folder

PACKAGES: Final = ("pyyaml", "networkx", "numpy", "pydantic", "textual", "platformdirs", "shtab")
LEAST_FREE: Final = 50_000_000
"""Bytes: a year of callouts and the cache take less."""
SMALLEST: Final = (80, 24)
"""Columns and rows that the screen is made for."""


@dataclass(frozen=True)
class Fact:
    """One thing that was looked at."""

    name: str
    value: str
    wrong: str = ""
    """What is wrong with it and how to mend it; empty when it is right."""


def self_check(book: Book, data: str | None, environment: Mapping[str, str] = os.environ) -> list[Fact]:
    """Everything that can be looked at without changing anything but an empty file in the data folder."""
    return [
        Fact("halfsplit", version_of("halfsplit")),
        Fact("python", f"{platform.python_version()} on {platform.system()}"),
        *(Fact(name, version_of(name)) for name in PACKAGES),
        Fact("book", f"{len(book.causes)} causes, {len(book.checks)} checks, digest {book.digest[:12]}"),
        _folder("data folder", data_folder(data, environment), f"Name another with --data or {ENVIRONMENT}."),
        Fact("cache folder", environment.get(CACHE_ENVIRONMENT, "the system's own")),
        *_terminal(environment),
    ]


def version_of(package: str) -> str:
    """The version of an installed package, or that it is not installed."""
    try:
        return importlib.metadata.version(package)
    except importlib.metadata.PackageNotFoundError:
        return "not installed, run from its folder"


def _folder(name: str, folder: Path, mend: str) -> Fact:
    there = next(place for place in (folder, *folder.parents) if place.exists())
    if not there.is_dir() or not os.access(there, os.W_OK):
        return Fact(name, str(folder), f"It cannot be written to. {mend}")
    free = shutil.disk_usage(there).free
    wrong = f"The disk is nearly full. Make room, or: {mend}" if free < LEAST_FREE else ""
    return Fact(name, f"{folder} ({free // 1_000_000} MB free)", wrong)


def _terminal(environment: Mapping[str, str]) -> Iterator[Fact]:
    screen = sys.stdin.isatty() and sys.stdout.isatty()
    wrong = "" if screen else "There is none here: use the line mode (walk --plain)."
    yield Fact("terminal", environment.get("TERM", "not named") if screen else "none", wrong)
    if screen:
        size = shutil.get_terminal_size()
        small = size.columns < SMALLEST[0] or size.lines < SMALLEST[1]
        wrong = f"Make the window {SMALLEST[0]} x {SMALLEST[1]} or larger." if small else ""
        yield Fact("window", f"{size.columns} x {size.lines}", wrong)
    encoding = sys.stdout.encoding or "ascii"
    whole = encoding.lower().replace("-", "") == "utf8"
    wrong = "" if whole else "Bars are drawn in plain characters. Set the terminal to UTF-8 for finer ones."
    yield Fact("characters", encoding, wrong)
    yield Fact("colours", "none (NO_COLOR is set)" if "NO_COLOR" in environment else "as the terminal has")
