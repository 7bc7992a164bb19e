"""A message for a hand who reads: written to a file beside the callouts."""

import contextlib
import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

from knowledge.problems import InputProblems, Problem
from tui.folder import file_stem


def message_file(folder: Path, callout: str) -> Path:
    """The file of a callout's message."""
    return folder / "messages" / f"{file_stem(callout)}.txt"


def write_message(path: Path, parts: Sequence[str]) -> Path:
    """Write the parts, with a blank line between them, over the callout's message before.

    Raises `InputProblems` when it cannot be written; the file before it is whole then.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write("\n\n".join(parts) + "\n")
            Path(name).replace(path)
        except BaseException:
            with contextlib.suppress(OSError):
                Path(name).unlink()
            raise
    except OSError as error:
        what = f"the message cannot be written ({error.strerror})"
        raise InputProblems([Problem(str(path), "", what, "Name another folder with --data.")]) from error
    return path
