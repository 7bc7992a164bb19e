"""What stands on the screen of a new unit sheet, as lines; no widget here."""

from typing import Final

from rich.cells import cell_len

from tui.screen.form_draft import FormDraft
from tui.screen.page import STRONG
from tui.screen.wrap import cut, wrap

Lines = list[tuple[str, str]]
WIDE: Final = 64
"""From this width on all parts of the sheet stand above the question, not the present one alone."""
ROOMY: Final = 14
"""Rows from which on a blank line parts the question from its answers."""
NOT_KNOWN: Final = "not known"


def head_line(form: FormDraft, width: int) -> str:
    """The unit's name, and how far one is."""
    end = f" | {form.place + 1} of {len(form.draft.asked)} "
    unit = form.draft.typed.get("unit", "")
    front = cut(f" New unit sheet{': ' + unit if unit else ''}", max(1, width - len(end)))
    return front + " " * max(0, width - cell_len(front) - len(end)) + end


def part_lines(form: FormDraft, width: int) -> Lines:
    """The parts of the sheet, with the present one in brackets and how far one is in it."""
    number, count = form.place_in_part()
    here = f"[{form.part} {number} of {count}]"
    if width < WIDE:
        return [(cut(here, width), "")]
    lines = [""]
    for part in form.parts():
        # Blanks inside a name must not part it from the rest of it.
        shown = here if part == form.part else part
        if lines[-1] and len(lines[-1]) + 2 + len(shown) > width:
            lines.append("")
        lines[-1] += ("  " if lines[-1] else "") + shown
    return [(line, "") for line in lines]


def asked_lines(form: FormDraft, width: int, rows: int) -> Lines:
    """What is asked for, how to write it, the line, and what is wrong with it, on at most so many rows.

    In a low window the way to write it gives way first; words and line never do.
    """
    about = str(form.about["about"])
    title = wrap(about[:1].upper() + about[1:], width)
    told = wrap(how(form), width)
    choices: Lines = [("", "")] if rows >= ROOMY else []
    for number, word in enumerate(form.words, 1):
        here = word == form.line
        choices.append((cut(f"{'>' if here else ' '} {number}  {word}", width), STRONG if here else ""))
    if form.words:
        choices.append((f"  0  {NOT_KNOWN}", ""))
    choices.append((_typed(form.line, width), STRONG))
    wrong = wrap(form.wrong, width, "! ") if form.wrong else []
    free = max(0, rows - len(choices))
    wrong = wrong[: max(1, free - 1)]
    title = title[: max(1, free - len(wrong))]
    told = told[: max(0, free - len(wrong) - len(title))]
    plain: Lines = [(line, "") for line in told]
    return [*_strong(title), *plain, *choices, *_strong(wrong)]


def _strong(lines: list[str]) -> Lines:
    return [(line, STRONG) for line in lines]


def _typed(line: str, width: int) -> str:
    """The line with a mark where the next letter goes; its end when it is long."""
    while line and cell_len(line) > width - 9:
        line = line[1:]
    return f"Typed: {line}_"


def how(form: FormDraft) -> str:
    """How the present field is written."""
    about = form.about
    if form.words:
        return "Press the number, or type the word."
    if "range" not in about:
        return "Type it in your own words."
    unit = about["unit"]
    kind = f"Type it with its unit, as: 12 {unit}." if unit else "Type a number."
    return f"{kind} It can be from {about['range']}."


def known_lines(form: FormDraft, width: int, rows: int) -> Lines:
    """The last of what the sheet took, newest at the end; as many as there are rows."""
    taken = [(name, form.draft.typed[name]) for name in form.draft.asked if name in form.draft.typed]
    before = [(name, line) for name, line in taken if form.draft.asked.index(name) < form.place]
    size = max((len(name) for name, _ in before), default=0)
    size = min(size, max(8, width // 2))
    return [(cut(f"{name.ljust(size)}  {line}", width), "") for name, line in before[-rows:]] if rows else []


def foot_line(form: FormDraft, width: int) -> str:
    """The keys that do something now; as many as fit, the needed ones first."""
    empty = not form.line.strip()
    keys = [f"Enter {NOT_KNOWN}" if empty and form.name != "unit" else "Enter takes it"]
    keys += ["Up back"] if form.place else []
    keys += ["Esc leave", *(["Del empty"] if not empty else [])]
    keys += ["Left Right word"] if form.words else []
    keys += ["F2 sun/dark"]
    line = ""
    for key in keys:
        longer = f"{line}  {key}" if line else f" {key}"
        line = longer if len(longer) <= width else line
    return line
