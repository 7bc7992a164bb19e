"""Where the data of this person's callouts lies, and what they are called."""

import os
import unicodedata
from collections.abc import Mapping, MutableMapping
from pathlib import Path
from typing import Any, Final

from diagnose.store import FolderStore

ENVIRONMENT: Final = "HALFSPLIT_DATA"
CACHE_ENVIRONMENT: Final = "HALFSPLIT_CACHE"
"""Names the folder for what can be worked out again, or is empty for none."""
LONGEST: Final = 40
"""Characters of a unit's name that a file name keeps: enough to know it by, short enough for any disk."""


def data_folder(option: str | None, environment: Mapping[str, str] = os.environ) -> Path:
    """``--data`` over the environment over the system's place for such data."""
    named = option or environment.get(ENVIRONMENT)
    if named:
        return Path(named)
    from platformdirs import user_data_dir

    return Path(user_data_dir("halfsplit", appauthor=False))


def kept(environment: Mapping[str, str] = os.environ) -> MutableMapping[str, Any]:
    """Where what can be worked out again is kept; in memory alone when the environment says so."""
    named = environment.get(CACHE_ENVIRONMENT)
    if named == "":
        return {}
    if named:
        return FolderStore(Path(named))
    from platformdirs import user_cache_dir

    return FolderStore(Path(user_cache_dir("halfsplit", appauthor=False)) / "kept")


def callout_name(now: str, unit: str, mark: str) -> str:
    """A name from the clock and the unit that every file system takes; ``mark`` parts two of one second.

    >>> callout_name("2026-01-31T12:00:05Z", "Pad 7: V-101 / north", "3f9c2a")
    '20260131T120005Z-Pad-7-V-101-north-3f9c2a'
    """
    stamp = "".join(c for c in now if c.isalnum())
    letters = (c if c.isalnum() else " " for c in unicodedata.normalize("NFC", unit))
    return f"{stamp}-{'-'.join(''.join(letters).split())[:LONGEST].strip('-') or 'unit'}-{mark}"


def file_stem(callout: str) -> str:
    """The name of a callout as that of a file: another laptop may have sent any name.

    >>> file_stem("20260131T120000Z-V-101-3f9c2a"), file_stem("../../a b")
    ('20260131T120000Z-V-101-3f9c2a', '------a-b')
    """
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in callout)[:80] or "-"
