"""The likely faults on the walk's screen, and two columns side by side."""

from collections.abc import Sequence
from typing import Final

from rich.cells import cell_len
from rich.text import Text

from diagnose.own_words import said
from diagnose.steps import Choice
from diagnose.walk_view import Leader
from diagnose.words import odds_text, percent_text
from tui.lines import points
from tui.screen.wrap import cut_words, wrap

ODDS_WIDTH: Final = 9
LEAST_LEFT: Final = 28
"""Columns that the answers keep at least, where the faults stand beside them."""
BESIDE_LABEL: Final = 8
"""Columns of an answer beside its label: mark, number, doubt, edges."""


def leader_lines(leaders: Sequence[Leader], width: int, rows: int, language: str = "en") -> list[str]:
    """The likely faults in at most so many rows: percent, in words, change by the last answer, title.

    What a rate rests on stands behind its title where there is room. A title that is too long for its line
    goes on below where rows are left over, and is shortened by words where none are.
    """
    spare = rows - len(leaders)
    lines: list[str] = []
    for leader in leaders:
        front = _front(leader, width, language)
        room = max(4, width - cell_len(front))
        parts = wrap(leader.title, room)
        if len(parts) - 1 > max(0, spare):
            first = parts[: max(0, spare)]
            left = " ".join(parts[len(first) :])
            parts = [*first, cut_words(left, room)]
        spare -= len(parts) - 1
        rests = f" ({leader.rests_on})" if leader.rests_on else ""
        if cell_len(parts[-1] + rests) <= room:
            parts = [*parts[:-1], parts[-1] + rests]
        lines.append(front + parts[0])
        lines += [" " * cell_len(front) + part for part in parts[1:]]
    return lines


def _front(leader: Leader, width: int, language: str) -> str:
    percent, change = f"{percent_text(leader.probability):>4} ", f"{points(leader):>3} "
    odds = f"{said(language, odds_text(leader.probability)):<{ODDS_WIDTH}}" if width >= 38 else ""
    return percent + odds + change


def split(choices: Sequence[Choice], width: int) -> int:
    """Columns for the answers, the rest being the faults': as few as hold the longest answer, up to half."""
    longest = max((cell_len(choice.label) for choice in choices), default=0)
    return min(width // 2, max(LEAST_LEFT, longest + BESIDE_LABEL))


def beside(left: Sequence[tuple[str, str]], right: Sequence[str], width: int) -> list[Text]:
    """Two columns as rows; the left one is ``width`` cells wide."""
    rows = []
    for number in range(max(len(left), len(right))):
        line, style = left[number] if number < len(left) else ("", "")
        row = Text(line, style=style, no_wrap=True)
        row.pad_right(max(0, width - row.cell_len))
        row.append(right[number] if number < len(right) else "", style="not bold not reverse")
        rows.append(row)
    return rows
