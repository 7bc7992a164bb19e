"""What stands on the screen, as lines; no widget here, so that it is tested as plain values."""

from collections.abc import Sequence
from typing import Final

from rich.text import Text

from diagnose.events import COULD_NOT_TELL
from diagnose.steps import Choice, Step
from diagnose.unsure import DOUBT
from diagnose.walk import Leader, View, Walk
from diagnose.words import percent_text
from tui.lines import COMING, ending, needs_text, place_text, points
from tui.screen.wrap import cut, wrap

LABELS: Final = {
    "vessel and liquid": "Vessel",
    "displacer and arm": "Displacer",
    "spring and lever": "Spring",
    "supply": "Supply",
    "pilot and ports": "Pilot",
    "output line": "Out line",
    "actuator": "Actuator",
    "valve": "Valve",
    "discharge piping": "Piping",
}
_EIGHTHS: Final = " ▏▎▍▌▋▊▉█"
STRONG: Final = "bold"
WARNING: Final = "bold reverse"
SPARE: Final = ("Enter takes >", "t sun/dark", "/ said", "c change")
"""Keys that give way in the foot, the first one first; the help has them all."""


def bar(share: float, width: int) -> str:
    """A share as a bar of at most ``width`` cells, in eighths of a cell.

    >>> bar(0.5, 3), bar(0.0, 3)
    ('█▌', '')
    """
    eighths = round(min(1.0, max(0.0, share)) * width * 8)
    return "█" * (eighths // 8) + _EIGHTHS[eighths % 8].strip()


def head_line(walk: Walk, view: View, width: int) -> Text:
    """Unit, hold and number of the question; the unit's name gives way."""
    right = f" | now: {view.state.hold} | {place_text(walk, view)} "
    unit = cut(f" {view.unit}", max(1, width - len(right)))
    return Text(unit + right.rjust(max(0, width - len(Text(unit).plain))), no_wrap=True)


def question_lines(step: Step, hold: str, width: int) -> tuple[list[tuple[str, str]], int]:
    """Lines of a step with their style, and how many of them reach down to the last caution."""
    lines = [(line, STRONG) for line in wrap(step.say, width)]
    if step.kind == "caution":
        lines = _caution(step.say, width)
    if step.heading.rstrip(".") != step.say.rstrip("."):
        # A check is asked in plain words first; whatever is to be done is first called by its name.
        bold_heading = step.kind not in ("check", "triage", "complaint")
        heading = [(line, STRONG if bold_heading else "") for line in wrap(step.heading, width)]
        lines = heading + lines if bold_heading else lines + heading
    if step.why:
        lines += [(line, "") for line in wrap(step.why, width, "Why: ")]
    needs = needs_text(step, hold)
    if needs:
        lines += [(line, "") for line in wrap(needs, width, "Needs: ")]
    for caution in step.cautions:
        lines += _caution(caution, width)
    must = len(lines)
    for number, text in enumerate(step.steps, 1):
        lines += [(line, "") for line in wrap(text, width, f"{number}. ")]
    if step.right:
        lines += [(line, "") for line in wrap(step.right, width, "Right is: ")]
    if step.judged_by:
        lines += [(line, "") for line in wrap(step.judged_by, width)]
    if step.coming:
        lines += [(line, "") for line in wrap(step.coming, width, COMING)]
    return lines, must


def _caution(text: str, width: int) -> list[tuple[str, str]]:
    return [(line, WARNING) for line in wrap(text, width, "! CAUTION: ", "  ")]


def end_lines(walk: Walk, record: str, width: int) -> list[tuple[str, str]]:
    """The last page."""
    lines: list[tuple[str, str]] = []
    for number, (about, text) in enumerate(ending(walk, record)):
        style = STRONG if number < 2 else ""
        lines += [(line, style) for line in wrap(text, width, f"{about}: ", "  ")]
    return lines


def answer_lines(
    choices: Sequence[Choice], marked: int, width: int, unsure: bool = False
) -> tuple[list[tuple[str, str]], int, int]:
    """Lines of the answers, and the first and the last line of the marked one.

    ``unsure``: a ? stands behind the number of each answer that would be taken as not sure.
    """
    lines: list[tuple[str, str]] = []
    first = last = 0
    for number, choice in enumerate(choices):
        here = number == marked
        start = len(lines)
        doubt = DOUBT if unsure and choice.answer != COULD_NOT_TELL else " "
        front = f"{'>' if here else ' '} {choice.key}{doubt} "
        lines += [(line, STRONG if here else "") for line in wrap(choice.label, width, front)]
        if here:
            first, last = start, len(lines) - 1
    return lines, first, last


def leader_lines(leaders: Sequence[Leader], width: int) -> list[tuple[str, str]]:
    """The likely faults, one line each: percent, bar, title, change by the last answer."""
    size = 8 if width >= 70 else 5 if width >= 36 else 4
    lines = []
    for leader in leaders:
        change = points(leader)
        front = f"{percent_text(leader.probability):>4} {bar(leader.probability, size):<{size}} "
        end = f"  {change}" if change else ""
        lines.append((front + cut(leader.title, max(4, width - len(front) - len(end))) + end, ""))
    return lines


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


def strip_lines(sections: Sequence[tuple[str, float]], width: int) -> list[str]:
    """Two lines: the sections in signal order, and under each its share of the blame.

    Where all nine do not fit, those with the least blame are left out, and a `..` says so.
    """
    kept = list(sections)
    while kept:
        lost = len(kept) < len(sections)
        names, shares = _cells(kept, lost)
        if len(names) <= width:
            return [names, shares]
        kept.remove(min(kept, key=lambda item: item[1]))
    return []


def _cells(sections: Sequence[tuple[str, float]], lost: bool) -> tuple[str, str]:
    names, shares = [], []
    for name, share in sections:
        label = LABELS.get(name, name)
        size = max(7, len(label))
        number = percent_text(share) if share >= 0.005 else "-"
        names.append(label.ljust(size))
        shares.append(f"{number} {bar(share, size - 4)}".ljust(size))
    return " ".join(names) + (" .." if lost else ""), " ".join(shares)


def rule(width: int, text: str = "") -> str:
    """A line across, with a text in it.

    >>> rule(20, "Likely")
    '── Likely ──────────'
    """
    if not text:
        return "─" * width
    return cut(f"── {text} ", width).ljust(width, "─")


def foot_line(view: View, width: int, unsure: bool = False) -> str:
    """The keys that do something now; as many as fit, the needed ones first."""
    step = view.step
    if step is None:
        keys = ["q leave", "u undo", "? help", "t sun/dark"]
    else:
        keys = [f"{_answer_keys(step)} answer"]
        keys += ["r reading"] if step.reading else []
        keys += ["v view"] if step.card else []
        keys += ["n sure" if unsure else "n not sure"] if step.kind == "check" else []
        keys += ["u undo", "c change", "? help", "q leave", "/ said", "t sun/dark", "Enter takes >"]
    for spare in SPARE:
        if len(" " + "  ".join(keys)) > width and spare in keys:
            keys.remove(spare)
    line = ""
    for key in keys:
        longer = f"{line}  {key}" if line else f" {key}"
        if len(longer) <= width:
            line = longer
    return line


def _answer_keys(step: Step) -> str:
    """The keys that answer, shortly: 0-4, or 1-9 j-l."""
    every = sorted(choice.key for choice in step.choices)
    parts = [[key for key in every if key.isdigit()], [key for key in every if not key.isdigit()]]
    return " ".join(f"{part[0]}-{part[-1]}" if len(part) > 1 else part[0] for part in parts if part)


def to_text(lines: Sequence[tuple[str, str]]) -> Text:
    """Lines with styles as one text; nothing in it is taken for markup."""
    text = Text(no_wrap=True, end="")
    for number, (line, style) in enumerate(lines):
        text.append(("\n" if number else "") + line, style=style)
    return text
