"""What is wrong with something a person wrote, said so that the person can mend it."""

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake: where it is, what it is, and the edit that mends it.

    ``place`` is ``file:line`` or the name of a command-line option; ``field`` is the author's own
    trail to it (``causes.vent_blocked.base``) or empty.
    """

    place: str
    field: str
    what: str
    mend: str = ""

    def __str__(self) -> str:
        trail = f"{self.field}: " if self.field else ""
        mend = f" {self.mend}" if self.mend else ""
        stop = "" if self.what.endswith((".", "?")) else "."
        return visible(f"{self.place}: {trail}{self.what}{stop}{mend}")


def visible(text: str) -> str:
    """Text with what a terminal would obey written out, so that a message can repeat anything.

    >>> print(visible("V-101\\x1b[2J"))
    V-101\\x1b[2J
    """
    return "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)


class InputProblems(Exception):
    """Everything that is wrong with one input, all at once."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))


def nearest_name(name: str, known: Iterable[str]) -> str:
    """The known spelling that is nearest to a name; empty when none is near."""
    close = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    return close[0] if close else ""


def nearest(name: str, known: Iterable[str]) -> str:
    """A sentence that names the nearest known spelling, or all the names when few and none is near.

    >>> nearest("wont_opne", ["wont_open", "wont_close"])
    'Did you mean wont_open?'
    >>> nearest("zzz", ["direct", "indirect"])
    'It can be: direct, indirect.'
    """
    names: Sequence[str] = list(known)
    close = nearest_name(name, names)
    if close:
        return f"Did you mean {close}?"
    if 0 < len(names) <= 12:
        return f"It can be: {', '.join(names)}."
    return ""
