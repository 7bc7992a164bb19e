"""A fitted procedure as lines, and one line at a time to be ticked off."""

from collections.abc import Mapping
from typing import Final, NamedTuple, TextIO

from diagnose.own_words import said
from diagnose.procedures import Fitted, Line
from diagnose.words import minutes_text
from knowledge.words import HOLDS
from tui.text import clean


class Words(NamedTuple):
    """What the face itself says, in one language."""

    takes: str
    bring: str
    caution: str
    ticks: str
    left: str
    between: str
    all_done: str


ENGLISH: Final = Words(
    "Takes about {minutes}. Who: {who}.",
    "Bring: {things}.",
    "Caution",
    "Enter: done. b: back one. q: leave.",
    "Left at line {number}. The unit is {place}.",
    "between {before} and {ahead}",
    "All done.",
)
WORDS: Final[Mapping[str, Words]] = {
    "es": Words(
        "Tarda unos {minutes}. Quién: {who}.",
        "Traiga: {things}.",
        "Cuidado",
        "Enter: hecho. b: uno atrás. q: salir.",
        "Se dejó en el renglón {number}. El equipo está {place}.",
        "entre {before} y {ahead}",
        "Todo hecho.",
    ),
}


def words_in(procedure: Fitted) -> Words:
    """The face's words in the language of the procedure, in English where there are none in it."""
    return WORDS.get(procedure.language, ENGLISH)


def head_lines(procedure: Fitted) -> list[str]:
    """What is read before the first step."""
    words = words_in(procedure)
    lines = [procedure.title, procedure.purpose, procedure.safety]
    lines.append(
        words.takes.format(
            minutes=said(procedure.language, minutes_text(procedure.minutes)), who=procedure.who
        )
    )
    if procedure.tools:
        lines.append(words.bring.format(things=", ".join(procedure.tools)))
    lines += [f"{words.caution}: {caution}" for caution in procedure.cautions]
    return [clean(line) for line in lines]


def line_text(line: Line, caution: str = ENGLISH.caution) -> str:
    """One line: a numbered step, a caution with that label, or the way to another hold."""
    match line.kind:
        case "hold":
            text = f"== {line.text} =="
        case "caution":
            text = f"   {caution}: {line.text}"
        case "way":
            text = f"   - {line.text}"
        case "step":
            text = f"{line.number}. {line.text}"
    return clean(text)


def tick_off(procedure: Fitted, typed: TextIO, out: TextIO) -> None:
    """The whole procedure, a line at a time; ends early at the end of the input or at q."""
    words = words_in(procedure)
    for line in head_lines(procedure):
        print(line, file=out)
    print(words.ticks, file=out)
    lines, at = procedure.lines, 0
    while at < len(lines):
        text = line_text(lines[at], words.caution)
        print(f"[{at + 1}/{len(lines)}] {text}", end=" ", file=out, flush=True)
        answer = typed.readline()
        if not answer or answer.strip() == "q":
            left = words.left.format(number=at + 1, place=_place(procedure, at))
            print(f"\n{left}", file=out)
            return
        if answer.strip() == "b":
            at = max(0, at - 1)
        elif answer.strip():
            print(words.ticks, file=out)
        else:
            at += 1
    print(words.all_done, file=out)


def _place(procedure: Fitted, at: int) -> str:
    """The hold that the unit is in at a line, or the two that it is between."""
    lines, language = procedure.lines, procedure.language
    ahead = next(line for line in lines[at:] if line.kind != "caution")
    if ahead.kind == "step":
        return said(language, ahead.hold)
    before = next((line.hold for line in reversed(lines[:at]) if line.kind == "step"), HOLDS[0])
    ends = {"before": said(language, before), "ahead": said(language, ahead.hold)}
    return words_in(procedure).between.format(**ends)
