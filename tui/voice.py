"""Lines said and lines typed: what every line mode stands on."""

import textwrap
from collections.abc import Iterable, Iterator
from typing import Protocol

from tui.text import clean, for_encoding

WIDTH = 78


class Out(Protocol):
    """Where lines go: a text stream."""

    @property
    def encoding(self) -> str | None:
        """The character set that it takes."""
        ...

    def write(self, text: str, /) -> object:
        """Take a text."""
        ...

    def flush(self) -> None:
        """Let it be seen now."""
        ...


class Voice:
    """Writes wrapped lines in characters that the stream can take."""

    def __init__(self, out: Out) -> None:
        self._out = out

    def say(self, text: str = "", indent: str = "") -> None:
        """One paragraph; lines after the first are indented as far as ``indent``."""
        line = for_encoding(clean(text), self._out.encoding)
        # A file name or a number with its sign stays whole, so that it can be copied and heard as one.
        wrapped = textwrap.wrap(
            line,
            WIDTH,
            initial_indent=indent,
            subsequent_indent=" " * len(indent),
            break_on_hyphens=False,
            break_long_words=False,
        )
        self._out.write("\n".join(wrapped or [""]) + "\n")

    def draw(self, rows: Iterable[str]) -> None:
        """Lines of a drawing, as they are."""
        self._out.write("".join(f"{for_encoding(row, self._out.encoding)}\n" for row in rows))

    def prompt(self, text: str) -> None:
        """Ask for a line."""
        self._out.write(text)
        self._out.flush()


def ask_line(voice: Voice, typed: Iterator[str], prompt: str) -> str | None:
    """The next line without its ends; None at the end of the input or on Ctrl+C."""
    voice.prompt(prompt)
    try:
        line = next(typed, None)
    except KeyboardInterrupt:
        line = None
    if line is None:
        voice.say()
        return None
    return line.strip()
