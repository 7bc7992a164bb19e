"""What stands on the screen, as lines; no widget here, so that it is tested as plain values."""

from collections.abc import Mapping, Sequence
from typing import Final

from rich.text import Text

from diagnose.events import COULD_NOT_TELL
from diagnose.own_words import said
from diagnose.steps import Choice, Step
from diagnose.unsure import DOUBT
from diagnose.walk import TICKED, Walk
from diagnose.walk_view import View
from diagnose.words import percent_text
from tui.lines import ending, needs_text, place_text, texts_of
from tui.screen.wrap import cut, wrap
from tui.texts import texts_in
from tui.trip_lines import trip_short

_EIGHTHS: Final = " ▏▎▍▌▋▊▉█"
TICK: Final = "[x]"
NO_TICK: Final = "[ ]"
LEAST_UNIT: Final = 6
"""Columns of the top line that the unit's name keeps."""
STRONG: Final = "bold"
WARNING: Final = "bold reverse"
SPARE: Final = ("enter", "colours", "change", "why", "said", "faults")
"""Keys that give way in the foot, the first one first; the help has them all."""


def bar(share: float, width: int) -> str:
    """A share as a bar of at most ``width`` cells, in eighths of a cell.

    >>> bar(0.5, 3), bar(0.0, 3)
    ('█▌', '')
    """
    eighths = round(min(1.0, max(0.0, share)) * width * 8)
    return "█" * (eighths // 8) + _EIGHTHS[eighths % 8].strip()


def head_line(walk: Walk, view: View, width: int) -> Text:
    """Unit, hold, minutes to the trip, number of the question; the unit gives way first, then the last."""
    left, language = walk.trip(), walk.book.language
    now = texts_of(walk).page.now.format(hold=said(language, view.state.hold))
    parts = [now, *([trip_short(left, language)] if left else []), place_text(walk, view)]
    while sum(len(part) + 3 for part in parts) > width - LEAST_UNIT and len(parts) > 1:
        parts.pop()
    right = "".join(f" | {part}" for part in parts) + " "
    unit = cut(f" {view.unit}", max(1, width - len(right)))
    return Text(unit + right.rjust(max(0, width - len(Text(unit).plain))), no_wrap=True)


def question_lines(
    step: Step, hold: str, width: int, language: str = "en"
) -> tuple[list[tuple[str, str]], int]:
    """Lines of a step with their style, and how many of them reach down to the last caution."""
    texts = texts_in(language).page
    lines = [(line, STRONG) for line in wrap(step.say, width)]
    if step.kind == "caution":
        lines = _ticked_cautions(step, width, texts.caution)
    if step.heading.rstrip(".") != step.say.rstrip("."):
        # A check is asked in plain words first; whatever is to be done is first called by its name.
        bold_heading = step.kind not in ("check", "triage", "complaint")
        heading = [(line, STRONG if bold_heading else "") for line in wrap(step.heading, width)]
        lines = heading + lines if bold_heading else lines + heading
    if step.why:
        lines += _plain(step.why, width, texts.why)
    needs = needs_text(step, hold, language)
    if needs:
        lines += _plain(needs, width, texts.needs)
    for caution in step.cautions:
        read = caution in step.read
        front = f"{TICK} " if read else f"! {texts.caution}"
        lines += _plain(caution, width, front) if read else _caution(caution, width, front)
    lines += _plain(step.defer, width) if step.defer else []
    must = len(lines)
    ticked = step.kind in TICKED
    for number, text in enumerate(step.steps, 1):
        box = (TICK if number in step.ticked else NO_TICK) + " " if ticked else ""
        lines += _plain(text, width, f"{box}{number}. ")
    if step.right:
        lines += _plain(step.right, width, texts.right)
    if step.judged_by:
        lines += _plain(step.judged_by, width)
    if step.back:
        lines += _plain(" ".join(step.back), width, texts.way_back)
    if step.coming:
        lines += _plain(step.coming, width, texts.coming)
    return lines, must


def _ticked_cautions(step: Step, width: int, label: str) -> list[tuple[str, str]]:
    """The cautions of the hold ahead: those that are read, the one to read now, those to come."""
    lines = [line for text in step.read for line in _plain(text, width, f"{TICK} ")]
    lines += _caution(step.say, width, f"{NO_TICK} {label}")
    return lines + [line for text in step.unread for line in _plain(text, width, f"{NO_TICK} ")]


def _plain(text: str, width: int, first: str = "") -> list[tuple[str, str]]:
    return [(line, "") for line in wrap(text, width, first)]


def _caution(text: str, width: int, first: str) -> list[tuple[str, str]]:
    return [(line, WARNING) for line in wrap(text, width, first, "  ")]


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


def strip_lines(sections: Sequence[tuple[str, float]], width: int, language: str = "en") -> list[str]:
    """Two lines: the sections in signal order, and under each its share of the blame.

    Where all nine do not fit, those with the least blame are left out, and a `..` says so.
    """
    kept, labels = list(sections), texts_in(language).page.sections
    while kept:
        lost = len(kept) < len(sections)
        names, shares = _cells(kept, labels, lost)
        if len(names) <= width:
            return [names, shares]
        kept.remove(min(kept, key=lambda item: item[1]))
    return []


def _cells(sections: Sequence[tuple[str, float]], labels: Mapping[str, str], lost: bool) -> tuple[str, str]:
    names, shares = [], []
    for name, share in sections:
        label = labels.get(name, name)
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


def foot_line(view: View, width: int, unsure: bool = False, language: str = "en") -> str:
    """The keys that do something now; as many as fit, the needed ones first."""
    step, texts = view.step, texts_in(language).foot
    if step is None:
        prove = ["prove"] if view.state.ended == "not_proved" else []
        names = ["leave", *prove, "save", "page", "undo", "help", "colours"]
    else:
        names = ["answer"]
        names += ["tick"] if step.steps and step.kind in TICKED else []
        names += ["job"] if step.procedure else []
        names += ["reading"] if step.reading else []
        names += ["view"] if step.card else []
        names += ["sure" if unsure else "not_sure"] if step.kind == "check" else []
        names += ["undo", "help", "leave"]
        names += ["faults", "why"] if view.leaders else []
        names += ["said", "change", "colours", "enter"]
    keys = {name: getattr(texts, name).format(keys=_answer_keys(step) if step else "") for name in names}
    for spare in SPARE:
        if len(" " + "  ".join(keys.values())) > width:
            keys.pop(spare, None)
    line = ""
    for key in keys.values():
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
