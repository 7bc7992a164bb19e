"""Text made fit for a terminal."""

import unicodedata
from typing import Final

_PLAIN: Final = str.maketrans(
    {
        "“": '"',
        "”": '"',
        "‘": "'",
        "’": "'",
        "—": "-",
        "–": "-",
        "…": "...",
        "×": "x",
        "·": "-",
        "°": " deg ",
        "≥": ">=",
        "≤": "<=",
        "½": "1/2",
        "¿": "",
        "¡": "",
    }
)


def clean(text: str) -> str:
    """Text without control characters, which could drive the terminal, and on one line.

    >>> clean("V-101\\x1b[2J\\nnorth")
    'V-101[2J north'
    """
    return "".join(c if c.isprintable() else " " if c in "\n\t" else "" for c in text)


def for_encoding(text: str, encoding: str | None) -> str:
    """The text with whatever the encoding cannot take replaced by plain characters.

    >>> for_encoding("go to “running” — now", "ascii"), for_encoding("¿Está cerrada?", "ascii")
    ('go to "running" - now', 'Esta cerrada?')
    """
    name = encoding or "ascii"
    try:
        text.encode(name)
    except UnicodeEncodeError:
        bare = unicodedata.normalize("NFKD", text.translate(_PLAIN))
        letters = "".join(c for c in bare if not unicodedata.combining(c))
        return letters.encode(name, "replace").decode(name)
    return text
