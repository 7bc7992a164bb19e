"""Lines that fit a width in terminal cells, where a letter can take two."""

from typing import Final

from rich.cells import cell_len, chop_cells, set_cell_size

from tui.text import clean

DANGLING: Final = frozenset(
    ["a", "an", "and", "by", "for", "from", "in", "is", "of", "on", "or", "the", "to", "with"]
)
"""Words that must not end a text that was shortened."""


def wrap(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """Break a text into lines of at most ``width`` cells; a word too long for a line is cut.

    ``first`` stands before the first line, ``rest`` (blanks as wide as ``first``) before the others.

    >>> wrap("look at the gauge", 14, "1 ")
    ['1 look at the', '  gauge']
    """
    rest = " " * cell_len(first) if rest is None else rest
    room = max(1, width - max(cell_len(first), cell_len(rest)))
    lines = [""]
    for word in clean(text).split():
        if not lines[-1]:
            lines[-1] = word
        elif cell_len(lines[-1]) + 1 + cell_len(word) <= room:
            lines[-1] += " " + word
        else:
            lines.append(word)
        if cell_len(lines[-1]) > room:
            lines[-1:] = chop_cells(lines[-1], room)
    return [first + lines[0], *(rest + line for line in lines[1:])]


def cut_words(text: str, width: int) -> str:
    """A text on one line of at most ``width`` cells, without the words at its end that do not fit.

    >>> cut_words("Pilot vent blocked by ice", 20), cut_words("Blocked", 5)
    ('Pilot vent ...', 'Bl...')
    """
    words = clean(text).split()
    if cell_len(" ".join(words)) <= width:
        return " ".join(words)
    while len(words) > 1 and (cell_len(" ".join(words)) + 4 > width or words[-1].lower() in DANGLING):
        words.pop()
    return cut(f"{' '.join(words)} ...", width) if len(words) > 1 else cut(clean(text), width)


def cut(text: str, width: int) -> str:
    """A text on one line of at most ``width`` cells; what does not fit ends in three dots.

    >>> cut("Pilot vent blocked", 12)
    'Pilot ven...'
    """
    line = clean(text)
    if cell_len(line) <= width:
        return line
    return set_cell_size(line, max(0, width - 3)).rstrip() + "..."[: max(0, width)]
