"""The screen in ASCII alone, for terminals that cannot show more: each sign becomes one as wide."""

import unicodedata
from typing import Final

from rich.cells import cell_len
from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

SIGNS: Final = str.maketrans(
    {
        **dict.fromkeys("█", "#"),
        **dict.fromkeys("▉▊▋▌", "="),
        **dict.fromkeys("▍▎▏", "-"),
        **dict.fromkeys("▀▔▁▂▃▄▅▆▇─━═", "-"),
        **dict.fromkeys("│┃║▐▕", "|"),
        **dict.fromkeys("┌┐└┘├┤┬┴┼╭╮╰╯╱╲", "+"),
        **dict.fromkeys("“”„", '"'),
        **dict.fromkeys("‘’", "'"),
        **dict.fromkeys("—–−", "-"),
        **dict.fromkeys("→►", ">"),
        **dict.fromkeys("←", "<"),
        **dict.fromkeys("·•…", "."),
        "×": "x",
        "°": " ",
        "¿": " ",
        "¡": " ",
    }
)


def plain_cells(text: str) -> str:
    """The text in ASCII, as wide as before.

    >>> plain_cells("── “Größe” █▌"), plain_cells("漢")
    ('-- "Gro?e" #=', '??')
    """
    return "".join(letter if letter.isascii() else _plain(letter) for letter in text.translate(SIGNS))


def _plain(letter: str) -> str:
    bare = [part for part in unicodedata.normalize("NFKD", letter) if not unicodedata.combining(part)]
    width = cell_len(letter)
    return bare[0] if len(bare) == width == 1 and bare[0].isascii() else "?" * width


class PlainCells(LineFilter):
    """Puts every line that is drawn into ASCII."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """The same segments in ASCII."""
        return [
            segment
            if segment.text.isascii() or segment.control
            else segment._replace(text=plain_cells(segment.text))
            for segment in segments
        ]
