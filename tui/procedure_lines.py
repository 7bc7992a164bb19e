"""A fitted procedure as lines, and one line at a time to be ticked off."""

from collections.abc import Sequence
from typing import TextIO

from diagnose.procedures import Fitted, Line
from diagnose.words import SAFETY, SKILLS, minutes_text
from knowledge.words import HOLDS
from tui.text import clean

TICKS = "Enter: done. b: back one. q: leave."


def head_lines(procedure: Fitted) -> list[str]:
    """What is read before the first step."""
    lines = [procedure.title, procedure.purpose, SAFETY]
    lines.append(f"Takes about {minutes_text(procedure.minutes)}. Who: {SKILLS[procedure.skill]}.")
    if procedure.tools:
        lines.append(f"Bring: {', '.join(procedure.tools)}.")
    lines += [f"Caution: {caution}" for caution in procedure.cautions]
    return [clean(line) for line in lines]


def line_text(line: Line) -> str:
    """One line: a numbered step, a caution, or the way to another hold."""
    match line.kind:
        case "hold":
            text = f"== {line.text} =="
        case "caution":
            text = f"   Caution: {line.text}"
        case "way":
            text = f"   - {line.text}"
        case "step":
            text = f"{line.number}. {line.text}"
    return clean(text)


def tick_off(procedure: Fitted, typed: TextIO, out: TextIO) -> None:
    """The whole procedure, a line at a time; ends early at the end of the input or at q."""
    for line in head_lines(procedure):
        print(line, file=out)
    print(TICKS, file=out)
    lines, at = procedure.lines, 0
    while at < len(lines):
        print(f"[{at + 1}/{len(lines)}] {line_text(lines[at])}", end=" ", file=out, flush=True)
        answer = typed.readline()
        if not answer or answer.strip() == "q":
            print(f"\nLeft at line {at + 1}. The unit is {_place(lines, at)}.", file=out)
            return
        if answer.strip() == "b":
            at = max(0, at - 1)
        elif answer.strip():
            print(TICKS, file=out)
        else:
            at += 1
    print("All done.", file=out)


def _place(lines: Sequence[Line], at: int) -> str:
    """The hold that the unit is in at a line, or the two that it is between."""
    ahead = next(line for line in lines[at:] if line.kind != "caution")
    if ahead.kind == "step":
        return ahead.hold
    before = next((line.hold for line in reversed(lines[:at]) if line.kind == "step"), HOLDS[0])
    return f"between {before} and {ahead.hold}"
