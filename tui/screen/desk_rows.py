"""The rows of the desk's list: each callout's lines as wide as the screen, and the keys at the foot."""

from collections.abc import Callable, Sequence

from tui.desk_lines import PlaceLines
from tui.screen.page import STRONG
from tui.screen.wrap import cut, wrap

Block = list[tuple[str, str]]
"""The rows of one callout, each with its style."""


def blocks_of(items: Sequence[PlaceLines], marked: int, width: int, height: int) -> list[Block]:
    """The rows of each callout: whole where all have room, else a row for each of its lines.

    ``marked``: the number of the callout that is marked.
    """
    inner = max(1, width - 2)
    whole = [_block(item, item.number == marked, inner, wrap) for item in items]
    if sum(map(len, whole)) <= height:
        return whole
    return [_block(item, item.number == marked, inner, _one_row) for item in items]


def _block(item: PlaceLines, marked: bool, width: int, fit: Callable[..., list[str]]) -> Block:
    front = f"{'>' if marked else ' '} {item.number:<2} "
    style = STRONG if marked else ""
    first = f"{item.who}. {item.trip}" if item.trip else item.who
    rows = [(row, style) for row in fit(first, width, front)]
    for text in (item.last, item.awaited):
        rows += [(row, style) for row in fit(text, width, " " * len(front))]
    return rows


def _one_row(text: str, width: int, front: str = "") -> list[str]:
    return [cut(front + text, width)]


def foot_row(keys: str, width: int) -> str:
    """The keys, parted by ``|``: as many as fit.

    >>> foot_row("n new|q leave", 9)
    ' n new'
    """
    line = ""
    for key in keys.split("|"):
        longer = f"{line}  {key}" if line else f" {key}"
        if len(longer) <= width:
            line = longer
    return line
