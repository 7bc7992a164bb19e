"""What stands on a calculator's screen, as lines; no widget here, so that it is tested as plain values."""

from typing import Final

from rich.cells import cell_len, chop_cells, set_cell_size

from diagnose.calculators.base import Input
from diagnose.calculators.curves import DRAWN
from diagnose.calculators.run import value_text
from tui.screen.calc_form import CalcForm
from tui.screen.page import STRONG
from tui.screen.wrap import cut, wrap
from tui.text import clean

LEAST: Final = (40, 12)
"""Columns and rows below which the screen only says that it is too small."""
WIDE: Final = 64
"""From this width on a line says what its input is beside the value."""
VALUE: Final = 27
"""Columns of a value: the longest that stands there without being typed is `from the sheet: 0.85 SG`."""

Lines = list[tuple[str, str]]


def detail_rows(width: int) -> int:
    """Rows under the inputs that tell of the marked one."""
    return 2 if width >= WIDE else 3


def input_rows(width: int, height: int, inputs: int) -> int:
    """Rows for the inputs: up to half of what head, rule, foot and detail leave, whatever is typed.

    >>> input_rows(80, 24, 17), input_rows(80, 24, 4), input_rows(40, 12, 17)
    (10, 4, 3)
    """
    return max(1, min(inputs, (height - 3 - detail_rows(width) + 1) // 2))


def head_line(form: CalcForm, width: int) -> str:
    """What it calculates, and where the mark is."""
    end = f" | {form.marked + 1} of {len(form.calculator.inputs)} "
    front = cut(f" {form.calculator.about}", max(1, width - len(end)))
    return front + " " * max(0, width - cell_len(front) - len(end)) + end


def input_lines(form: CalcForm, width: int, rows: int) -> Lines:
    """As many inputs as there are rows, the marked one among them; ^ and v say that there are more."""
    inputs = form.calculator.inputs
    first = min(max(0, form.marked - rows // 2), max(0, len(inputs) - rows))
    names = max(len(entry.name) for entry in inputs)
    last = min(len(inputs), first + rows) - 1
    lines: Lines = []
    for number in range(first, last + 1):
        more = "^" if number == first > 0 else "v" if number == last < len(inputs) - 1 else " "
        line = _input_line(form, number, width, names, ">" if number == form.marked else more)
        lines.append((line, STRONG if number == form.marked else ""))
    return lines


def _input_line(form: CalcForm, number: int, width: int, names: int, mark: str) -> str:
    entry, here = form.calculator.inputs[number], number == form.marked
    front = f"{mark} {entry.name.ljust(names)}  "
    room = width - len(front)
    if width < WIDE:
        return front + _value(form, entry, here, room)
    value = set_cell_size(_value(form, entry, here, VALUE), VALUE)
    return f"{front}{value}  {_beside(form, entry, room - VALUE - 2)}"


def _value(form: CalcForm, entry: Input, here: bool, room: int) -> str:
    """The value of a line: what is typed, its end when it is long; a mark where the next letter goes."""
    typed, mark = clean(form.typed.get(entry.name, "")), "_" if here else ""
    if not typed:
        source, value = form.standing(entry)
        stands = f"{source}: {value}" if value else source
        return cut(f"{mark} ({stands})" if mark else stands, room)
    bad = "! " if entry.name in form.wrong else ""
    room -= len(bad) + len(mark)
    while typed and cell_len(typed) > room:
        typed = typed[1:]
    return f"{bad}{typed}{mark}"


def _beside(form: CalcForm, entry: Input, room: int) -> str:
    if entry.name in form.wrong:
        return cut(f"! {form.wrong[entry.name]}", room)
    kind = " | ".join(entry.words) or entry.unit
    kind = f" [{kind}]" if kind else ""
    return cut(entry.about, room - len(kind)) + kind if len(kind) <= room // 2 else cut(entry.about, room)


def detail_lines(form: CalcForm, width: int) -> Lines:
    """The marked input in full, and first of all what is wrong with it."""
    entry, rows = form.entry, detail_rows(width)
    if entry.name in form.wrong:
        return [(line, STRONG) for line in wrap(form.wrong[entry.name], width, "! ")[:rows]]
    if entry.words:
        words = ", ".join(f"{number} {word}" for number, word in enumerate(entry.words, 1))
        text = f"{entry.about}. Press: {words}."
    else:
        text = f"{entry.about}. {f'Type it as: 12 {entry.unit}' if entry.unit else 'Type a number'}."
    return [(line, "") for line in _whole(text, width, rows)]


def _whole(text: str, width: int, rows: int) -> list[str]:
    lines = wrap(text, width, "  ")
    return lines if len(lines) <= rows else [*lines[: rows - 1], cut(f"{lines[rows - 1]} ...", width)]


def result_lines(form: CalcForm, width: int) -> Lines:
    """Why there is no answer, the answers, the notes, the sources."""
    lines: Lines = []
    for why in form.against:
        lines += [(line, STRONG) for line in wrap(why, width, "! ")]
    if form.result is None:
        return lines
    found = [(value_text(a.value, a.unit), a.about) for a in form.result.answers]
    size = min(max((cell_len(value) for value, _ in found), default=0), max(8, width // 3))
    mark = "old " if form.old else ""
    for value, about in found:
        parts = chop_cells(value, size) if cell_len(value) > size else [value.rjust(size)]
        lines += [(f"{mark}{part}", "") for part in parts[:-1]]
        lines += [(line, "" if form.old else STRONG) for line in wrap(about, width, f"{mark}{parts[-1]}  ")]
    for note in form.result.notes:
        lines += [(line, "") for line in wrap(note, width, f"{mark}Note: ", "  ")]
    for source in form.result.sources:
        lines += [(line, "") for line in wrap(source, width, f"{mark}Source: ", "  ")]
    return lines


def rule_text(form: CalcForm, above: bool, below: bool) -> str:
    """What stands over the answers: whether they are of now, and where there are more."""
    if form.result is None:
        text = "No answer yet"
    elif form.old:
        text = "OLD answers: not of what is typed now"
    else:
        text = "Answers" if form.result.in_range else "Answers, rough: outside the formula's range"
    keys = [key for key, there in (("PgUp", above), ("PgDn", below)) if there]
    return f"{text} - {', '.join(keys)}: more" if keys else text


def foot_line(form: CalcForm, width: int) -> str:
    """The keys that do something now; as many as fit, the needed ones first."""
    can_leave = bool(form.entry.words) or not form.line
    keys = ["Esc list", *(["q leave"] if can_leave else []), "Up Down move"]
    keys += ["Left Right word"] if form.entry.words else []
    keys += ["Del empty"] if form.line else []
    keys += ["F3 curve"] if form.calculator.name in DRAWN and form.result else []
    keys += ["PgDn answers", "F2 sun/dark"]
    line = ""
    for key in keys:
        longer = f"{line}  {key}" if line else f" {key}"
        line = longer if len(longer) <= width else line
    return line
