"""The end page in words, for the screen, the line mode and the text that is pasted."""

import textwrap
from pathlib import Path
from typing import Final

from diagnose.events import opening_of
from diagnose.summary import Summary
from diagnose.walk import Walk
from diagnose.words import SAFETY, minutes_text
from tui.folder import data_folder
from tui.text import clean

WIDTH: Final = 72
"""Columns of the text that is pasted: what a message shows without breaking it again."""
HOW_IT_ENDED: Final = {
    "cured": "CURED. It dumped and shut off twice by itself.",
    "not_proved": "PUT RIGHT, NOT PROVED. Somebody must still watch it dump and shut off twice.",
    "help": "HELP IS CALLED. The fault is not found.",
    "closed": "CLOSED. Nobody goes on with it.",
    None: "STILL OPEN.",
}
NOTHING_WRONG: Final = "NOTHING WAS WRONG. It looked odd, and it works as it should."


IN_SHORT: Final = "The callout in short"
SAVED_AS: Final = "To paste or to send. It is in the file"


def save_text(walk: Walk, text: str) -> tuple[Path, str]:
    """Write the text beside the callouts; (the file, what went wrong or an empty text)."""
    name = opening_of(walk.events).callout
    path = data_folder(None) / "texts" / f"{name}.txt"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        return path, f"The text was NOT saved in {path} ({error.strerror}). Copy it from here."
    return path, ""


def moment_text(at: str) -> str:
    """A moment for people.

    >>> moment_text("2026-01-31T12:00:30Z")
    '2026-01-31 12:00 UTC'
    """
    return clean(f"{at[:10]} {at[11:16]} UTC")


def summary_rows(summary: Summary) -> list[tuple[str, str]]:
    """The end page: (what it is about, the sentence), the most needed first."""
    rows = [("How it ended", NOTHING_WRONG if summary.nothing_wrong else HOW_IT_ENDED[summary.ended])]
    if summary.wrong:
        about = "What was wrong" if summary.ended == "cured" else "Put right"
        rows.append(("What looked odd" if summary.nothing_wrong else about, summary.wrong))
        rows += [("Why it happens", summary.why)] if summary.why else []
        rows += [("Also put right, but it was not that", title) for title in summary.beside]
    else:
        rows += [("Put right", title) for title in summary.put_right or ("Nothing",)]
    rows += [("Complaint", title) for title in summary.complaints]
    checks = f"{summary.checks} check{'' if summary.checks == 1 else 's'} answered"
    rows.append(("What was done", f"{checks}, {len(summary.put_right)} put right"))
    rows.append(("Minutes", f"{minutes_text(summary.minutes)}, from {moment_text(summary.opened)}"))
    rows += [("Parts", ", ".join(summary.parts))] if summary.parts else []
    rows += [("Watch", line) for line in summary.watch]
    return [(about, clean(line)) for about, line in rows]


def summary_text(summary: Summary) -> str:
    """The whole summary as text to paste: the end page, then everything that was answered, by the minute."""
    lines = [f"halfsplit callout: {clean(summary.unit)}", ""]
    for about, text in summary_rows(summary):
        lines += textwrap.wrap(f"{about}: {text}", WIDTH, subsequent_indent="  ")
    lines += ["", "Minute by minute:"]
    for entry in summary.entries:
        front = f"{entry.minute:5.0f}  "
        told = f"{front}{clean(entry.title)} {'- ' if entry.kind != 'check' else ''}{clean(entry.answer)}"
        lines += textwrap.wrap(told, WIDTH, subsequent_indent=" " * len(front))
    lines += ["", *textwrap.wrap(SAFETY, WIDTH)]
    return "\n".join(lines) + "\n"
