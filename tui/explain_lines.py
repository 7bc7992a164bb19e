"""The explanation that `rank --explain` prints: plain lines, with a signed bar for each weight.

Only what the report holds is shown; nothing is worked out here but the length of a bar.
"""

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any, Final

from diagnose.words import percent_text
from tui.text import clean

BAR: Final = 21
"""Characters of a bar: one for the middle, and as many on either side."""
WIDTH: Final = 78
TOLD: Final = 3
"""Causes told to a person; `--json` gives all that are explained."""


def bar(value: float | None, largest: float, width: int = BAR, ascii_only: bool = False) -> str:
    """A signed bar of ``width`` characters: to the right of the middle what speaks for, to the left against.

    ``largest``: the value, or its negative, that fills a whole side. What is not zero shows one mark at
    least. Without a value, only the middle.

    >>> bar(5, 10, 9, ascii_only=True), bar(-10, 10, 9, ascii_only=True), bar(0, 10, 9, ascii_only=True)
    ('    |##  ', '####|    ', '    |    ')
    """
    side = (width - 1) // 2
    mark, middle = ("#", "|") if ascii_only else ("█", "│")
    length = max(1, round(min(1.0, abs(value) / largest) * side)) if value and largest > 0 else 0
    drawn = mark * length
    left, right = (drawn, "") if value and value < 0 else ("", drawn)
    return f"{left:>{side}}{middle}{right:<{side}}"


def explain_lines(explain: Mapping[str, Any], ascii_only: bool = False) -> list[str]:
    """The lines of the key ``explain`` of a report, at most 78 characters wide.

    ``ascii_only``: for a terminal that has no block characters.
    """
    lines = []
    titles = {found["finding"]: _finding_text(found) for found in explain["findings"]}
    for cause in explain["causes"][:TOLD]:
        lines += ["", *_cause_lines(cause, titles, ascii_only)]
    if explain["would_change"]:
        lines += ["", "What would change this:"]
        lines += [line for turn in explain["would_change"] for line in _wrapped(turn["text"])]
    share = explain["unexplained"]
    if share and share["text"]:
        lines += ["", *textwrap.wrap(clean(share["text"]), WIDTH)]
    return lines


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(clean(text), WIDTH, initial_indent="  ", subsequent_indent="    ")


def _cause_lines(cause: Mapping[str, Any], titles: Mapping[str, str], ascii_only: bool) -> list[str]:
    shown = [cause["prior_decibans"], *(step["decibans"] for step in cause["weights"])]
    marks = [*shown, cause["posterior_decibans"]]
    largest = max((abs(value) for value in marks if value is not None), default=0.0)
    chance = cause["probability"]
    told = "no chance known" if chance is None else percent_text(chance)
    lines = textwrap.wrap(f"{clean(cause['title'])}, {told}", WIDTH)
    if cause["text"]:
        lines += _wrapped(cause["text"])
    lines.append("  In decibans (10 is ten times the odds): against it left, for it right.")
    names = ["Before anything was seen", *(titles[step["finding"]] for step in cause["weights"])]
    rows = zip(names, shown, strict=True)
    lines += [_row(name, value, largest, ascii_only) for name, value in rows]
    return [*lines, _row("Now, all together", cause["posterior_decibans"], largest, ascii_only)]


def _row(name: str, value: float | None, largest: float, ascii_only: bool) -> str:
    number = "     -" if value is None else f"{value:+6.1f}"
    room = WIDTH - len("  ") - len(number) - BAR - 2
    return f"  {_cut(name, room)} {number} {bar(value, largest, ascii_only=ascii_only)}"


def _cut(text: str, room: int) -> str:
    """The text in exactly ``room`` characters; what is left out is told by dots.

    >>> _cut("a long name", 8), _cut("short", 8)
    ('a lon...', 'short   ')
    """
    text = clean(text)
    return f"{text:<{room}}" if len(text) <= room else text[: room - 3] + "..."


def _finding_text(found: Mapping[str, Any]) -> str:
    """What was found, the answer first: a long question may be cut."""
    return f"{found['answer']}: {found['title']}" if found["answer"] else str(found["title"])


def takes_blocks(encoding: str | None, characters: Sequence[str] = "█│") -> bool:
    """Whether a stream of this encoding can write the bars' block characters.

    >>> takes_blocks("utf-8"), takes_blocks("ascii"), takes_blocks(None)
    (True, False, False)
    """
    try:
        "".join(characters).encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
