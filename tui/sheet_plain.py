"""A new unit sheet in line mode: one field after another, Enter for unknown."""

from collections.abc import Iterator
from pathlib import Path

from diagnose.sheet_draft import SheetDraft
from knowledge.problems import InputProblems, Problem
from tui.voice import Out, Voice, ask_line

HOW = "Type each value with its unit. Enter: not known. u: back to the one before. q: that is all."


def ask_sheet(path: Path, typed: Iterator[str], out: Out) -> int:
    """Ask for every field and write the sheet; returns the exit code."""
    voice, draft = Voice(out), SheetDraft()
    voice.say(HOW)
    place = 0
    while place < len(draft.asked):
        name = draft.asked[place]
        line = ask_line(voice, typed, f"{name}, {hint(draft, name)}: ")
        if line is None or (line == "q" and "unit" in draft.typed):
            break
        if line == "u":
            place = max(0, place - 1)
            continue
        try:
            draft.take(name, line)
            place += 1
        except ValueError as error:
            what, _, mend = str(error).partition(" | ")
            voice.say(f"{what.rstrip('.')}. {mend}".strip())
    if "unit" not in draft.typed:
        voice.say("Nothing is written: the unit has no name.")
        return 2
    save(draft, path)
    voice.say(written(draft, path))
    return 0


def hint(draft: SheetDraft, name: str) -> str:
    """What a field is, and how to write it."""
    about = draft.about(name)
    if "words" in about:
        return f"{about['about']} ({', '.join(about['words'])})"
    return f"{about['about']} (from {about['range']})" if "range" in about else str(about["about"])


def written(draft: SheetDraft, path: Path) -> str:
    """What is said after a sheet was written."""
    return f"Written: {path}. {len(draft.typed)} of {len(draft.asked)} fields are known."


def save(draft: SheetDraft, path: Path) -> None:
    """Write the sheet to a new file; `InputProblems` when it cannot be written."""
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(draft.to_yaml())
    except OSError as error:
        raise InputProblems([Problem(str(path), "", f"cannot be written ({error.strerror})")]) from error
