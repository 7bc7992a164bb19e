"""Copies of the store that are safe to take while it is in use."""

import os
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.history.engine import is_file

if TYPE_CHECKING:
    from diagnose.history.store import History


def before_migration(history: "History", number: int) -> Path:
    """Keep a file's store as it is before a migration; returns the copy. Raises `OSError`."""
    assert is_file(history.url)
    path = Path(f"{history.url.database}.before-{number}")
    copy_file(Path(str(history.url.database)), path)
    return path


def copy_file(source: Path, target: Path) -> None:
    """Copy a store of SQLite as of one moment, whoever writes to it meanwhile. Raises `OSError`.

    The copy appears under its name when it is whole.
    """
    part = target.with_name(f"{target.name}.part")
    part.unlink(missing_ok=True)
    try:
        with sqlite3.connect(source) as one, sqlite3.connect(part) as other:
            one.backup(other)
            other.execute("PRAGMA journal_mode=DELETE")
        one.close()
        other.close()
    except sqlite3.Error as error:
        raise OSError(None, str(error)) from error
    with part.open("rb+") as file:
        os.fsync(file.fileno())
    part.replace(target)
