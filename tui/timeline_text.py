"""A callout's timeline as text: the answers down the side, the leaders across, a bar for each."""

from string import ascii_uppercase
from typing import TYPE_CHECKING, Final

from rich.cells import cell_len

from diagnose.words import percent_text
from tui.screen.wrap import wrap
from tui.texts import texts_in

if TYPE_CHECKING:
    from diagnose.timeline import Timeline

LEAST_ANSWER: Final = 16
"""Columns that the answers keep at least."""


def timeline_lines(timeline: "Timeline", width: int = 80, language: str = "en") -> list[str]:
    """The faults by letter, then for each answer a row with each fault's percent and bar."""
    texts = texts_in(language).fault
    if not timeline.moments:
        return wrap(texts.nothing_moved, width)
    count = len(timeline.leaders)
    column = max(5, min(12, (width - max(LEAST_ANSWER, width // 3)) // count))
    room = width - column * count
    lines = wrap(texts.moved, width)
    for letter, title in zip(ascii_uppercase, timeline.titles, strict=False):
        lines += wrap(title, width, f" {letter}  ")
    heads = "".join(letter.ljust(column) for letter in ascii_uppercase[:count])
    lines.append(f"{texts.after:<{room}}{heads}".rstrip())
    for number, moment in enumerate(timeline.moments, 1):
        if moment.repaired:
            lines += wrap(texts.not_cured.format(title=moment.repaired), width, "-- ")
        cells = "".join(_cell(chance, column) for chance in moment.chances)
        lines += wrap(moment.asked, width, f"{number:>2} ")
        *more, front = wrap(moment.answer, room - 1, "   ")
        lines += [*more, f"{front}{' ' * (room - cell_len(front))}{cells}".rstrip()]
    return lines


def _cell(chance: float, column: int) -> str:
    """A percent with a bar of whole signs beside it; the bar's full length is certain."""
    bar = "#" * round(chance * (column - 5))
    return f"{percent_text(chance):>4}{bar:<{column - 5}} "[:column].ljust(column)
