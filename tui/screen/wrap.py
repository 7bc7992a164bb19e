"""Lines that fit a width in terminal cells, where a letter can take two."""

from rich.cells import cell_len, chop_cells, set_cell_size

from tui.text import clean


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


def cut(text: str, width: int) -> str:
    """A text on one line of at most ``width`` cells; what does not fit ends in three dots.

    >>> cut("Pilot vent blocked", 12)
    'Pilot ven...'
    """
    line = clean(text)
    if cell_len(line) <= width:
        return line
    return set_cell_size(line, max(0, width - 3)).rstrip() + "..."[: max(0, width)]
