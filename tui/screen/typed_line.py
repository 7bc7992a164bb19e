"""A line that is typed on a screen without a text box: what one key or one paste makes of it."""

from typing import Final

from textual.events import Key

from tui.text import clean

LONGEST: Final = 200
"""Characters that a line takes: more than any value needs, and a paste by mistake stays harmless."""


def after_key(line: str, event: Key) -> str | None:
    """The line after a key; None when the key does not type.

    Backspace takes the last letter away, Delete the whole line.
    """
    if event.key in ("backspace", "ctrl+h"):
        return line[:-1]
    if event.key == "delete":
        return ""
    if event.character and event.is_printable and not event.key.startswith(("alt+", "ctrl+")):
        return (line + event.character)[:LONGEST]
    return None


def after_paste(line: str, pasted: str) -> str:
    """The line after a paste.

    >>> after_paste("24 ", "in\\n")
    '24 in'
    """
    return (line + clean(pasted).rstrip())[:LONGEST]
