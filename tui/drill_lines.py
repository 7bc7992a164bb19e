"""The sentences of a drill, for the screen and for the line mode."""

import textwrap
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from diagnose.events import COULD_NOT_TELL
from diagnose.trial.drill import Drill, Page, Part
from diagnose.trial.drill_outcome import Did, Outcome, Side
from diagnose.trial.drill_vessel import HIDDEN, Vessel
from diagnose.units import from_si
from diagnose.words import SAFETY
from knowledge.book import Book
from tui.lines import needs_text
from tui.text import clean

SEARCH, LIST, FAULT, GIVE_UP = "7", "8", "9", "0"
MENU: Final = (
    (SEARCH, "Look for a check by words"),
    (LIST, "Pick a check from the list"),
    (FAULT, "Name the fault and put it right"),
    (GIVE_UP, "Give up: tell me what it is"),
)
"""What can be chosen beside the checks that are offered."""
NEXT: Final = "What do you do next?"
SETTING_UP: Final = "Setting up the vessel ..."
WORKING: Final = "Taken. Working it out ..."
COMPARING: Final = "It has ended. Working out the tool's own walk ..."
LEFT: Final = "Left. A drill is not kept."
NO_CHECK: Final = "No check that can be made now has all of: {}."
NO_FAULT: Final = "No fault in the book has all of: {}."
TYPE_CHECK: Final = "Type a word of the check, like gauge or vent. Words of three letters or more count."
TYPE_FAULT: Final = "Type a word of the fault, like plugged or spring. Words of three letters or more count."
WHICH_CHECK: Final = "Which check?"
WHICH_FAULT: Final = "Which fault is it?"
WHICH_SECTION: Final = "Where do you want to look?"
SURE: Final = "Give up, and be told what it is?"
YES_NO: Final = ("Yes: tell me", "No: go on")
TOLD_ANEW: Final = "To have this vessel again: "

ABOUT: Final = (
    "A drill. The tool plays a vessel that has something wrong with it. You make checks. Each one costs "
    "minutes, and some need the unit to be taken out of service first. When you know the fault, name it: "
    "that makes the repair, and you are told whether it is cured. Then you see the tool's own walk beside "
    "yours.",
    "Read the cautions before you take the unit further out of service, as you would at the vessel.",
    "Nothing here is real, and nothing is kept.",
    SAFETY,
)
SCREEN_KEYS: Final = (
    ("1 to 9, or 0", "choose that line at once"),
    ("Up, Down, Enter", "move the mark to a line, and choose it"),
    ("any letter", "look for a check: go on typing, pick from the list"),
    ("PgUp, PgDn", "scroll what stands above: what was seen so far, and the unit's sheet"),
    ("F2", "screen for sunlight, or for the dark"),
    ("?", "this help; Esc goes back"),
    ("q", "leave; a drill is not kept"),
)
PLAIN_KEYS: Final = (
    ("1 to 9, or 0", "choose that line"),
    ("vent blow", "look for a check: type words of it, pick from the list"),
    ("list", "all checks, by where they are made"),
    ("fault plugged", "name the fault: type words of it after fault, pick from the list"),
    ("seen", "what was seen so far, and the unit's sheet"),
    ("give up", "end it, and be told what it is"),
    ("?", "this help"),
    ("q", "leave; a drill is not kept"),
)
_PARTS: Final[Mapping[Part, str]] = {
    "way": "to change the state of the unit",
    "walk": "to get to that part of it",
    "look": "for the check",
    "tell": "to tell the answer",
    "work": "for the repair",
    "back": "to bring it back in service",
    "proof": "to watch two full cycles",
}


def minutes(amount: float) -> str:
    """Minutes, not rounded, so that they add up.

    >>> minutes(4.5), minutes(260)
    ('4.5 min', '260 min')
    """
    return f"{amount:g} min"


def opening_lines(book: Book, vessel: Vessel) -> list[str]:
    """What is told before the first choice."""
    return [
        f"Drill, {vessel.wanted.level}, seed {vessel.wanted.seed}. {TOLD_ANEW}{again(vessel)}",
        call_line(book, vessel.complaint),
        *sheet_lines(book, vessel),
    ]


def call_line(book: Book, complaint: str) -> str:
    """What is complained of."""
    return clean(f"The call: {book.complaints[complaint].title}.")


def again(vessel: Vessel) -> str:
    """The command that gives the same vessel."""
    wanted = vessel.wanted
    words = [f"halfsplit drill --seed {wanted.seed} --level {wanted.level}"]
    words += [f"--fault {wanted.fault}"] if wanted.fault != HIDDEN else []
    words += [f"--severity {wanted.severity:g}"] if wanted.severity != 1 else []
    words += [f"--set-up {wanted.set_up}"] if wanted.set_up else []
    return " ".join(words)


def sheet_lines(book: Book, vessel: Vessel) -> list[str]:
    """The unit's sheet in plain words."""
    values, facts = vessel.ready.unit.values, vessel.ready.unit.facts

    def number(name: str, unit: str) -> str:
        return f"{from_si(float(values[name]), unit):.4g} {unit}"

    size = f"{number('vessel.diameter', 'in')} across and {number('vessel.length', 'ft')} long"
    level, inflow = number("vessel.level", "in"), number("vessel.inflow", "bbl/d")
    lines = [f"The unit: a {values['vessel.orientation']} vessel, {size}. {inflow} come in."]
    lines.append(f"The controller is to hold the level at {level}.")
    told = [name for name in book.facts if name in facts]
    return lines + [
        clean(f"{book.facts[name].title}: {book.facts[name].values[facts[name]]}.") for name in told
    ]


def news_lines(book: Book, page: Page) -> list[str]:
    """What came of the last answer, a sentence or two each."""
    return [step_text(book, Did(*entry)) + f" ({minutes(entry[3])})" * (entry[3] > 0) for entry in page.news]


def seen_lines(book: Book, steps: Iterable[tuple[str, str, str, float]]) -> list[str]:
    """Everything that was seen and put right so far, the last first."""
    kept = [Did(*entry) for entry in steps if entry[0] in ("check", "repair")]
    return [step_text(book, did) for did in kept[::-1]]


def step_text(book: Book, did: Did) -> str:
    """One step and what came of it."""
    return clean(_step_text(book, did))


def _step_text(book: Book, did: Did) -> str:
    match did.kind:
        case "check":
            return f"{book.question(did.id).ask} {_answer(book, did)}."
        case "hold":
            return f"The unit is now {did.id}."
        case "repair" if did.answer == "done":
            return f"Put right: {book.causes[did.id].title}."
        case "repair":
            return f"Looked at, and in order: {book.causes[did.id].title}."
        case "prove":
            return "CURED: it dumped and shut off twice." if did.answer == "cured" else "NOT CURED."
        case "complaint":
            return call_line(book, did.answer)
        case _:
            return "Help is called." if did.minutes else "Given up."


def _answer(book: Book, did: Did) -> str:
    """The words for an answer; a reading is its own."""
    labels = book.checks[did.id].outcomes if did.id in book.checks else book.facts[did.id].values
    return {COULD_NOT_TELL: "Could not tell", **labels}.get(did.answer, did.answer)


def needs_line(page: Page) -> str:
    """The state that the unit must be in for a step, and what else it needs; empty when it needs nothing."""
    if not page.step:
        return ""
    now, place = page.state.hold, page.place
    unit = f"the unit {place}, as it is now" if place == now else f"the unit {place}; now it is {now}"
    rest = needs_text(replace(page.step, hold=""), now)
    parts = [part for part in (unit if place else "", rest) if part]
    return f"Needs: {'; '.join(parts)}." if parts else ""


def price_line(page: Page) -> str:
    """What the step costs, and of what that is made up; empty where it has no price yet."""
    if not page.price:
        return ""
    parts = ", ".join(f"{minutes(amount)} {_PARTS[part]}" for part, amount in page.price)
    return f"Costs {minutes(sum(amount for _, amount in page.price))}: {parts}."


def ending_lines(book: Book, came: Outcome) -> list[str]:
    """How it ended, what was wrong, and the two sums."""
    own, tool = came.own, came.tool
    how = {"cured": "CURED", "help": "GIVEN UP"}.get(own.ended or "", "LEFT BEFORE THE END")
    lines = [f"{how} after {minutes(own.minutes)}."]
    for name in came.vessel.faults:
        cause = book.causes[name]
        lines.append(clean(f"What was wrong: {cause.title}. {cause.plain}."))
    lines.append(f"You: {_sum(own)}. The tool: {_sum(tool)}, {minutes(tool.minutes)}.")
    more = came.minutes_more
    if more is not None:
        than = (
            "as many minutes as"
            if not more
            else f"{minutes(abs(more))} {'more' if more > 0 else 'less'} than"
        )
        lines.append(f"You took {than} the tool.")
    if tool.ended == "help":
        lines.append("The tool did not find it: it called for help.")
    return lines


def _sum(side: Side) -> str:
    return f"{_count(side.checks, 'check')}, {_count(side.wrong, 'wrong repair')}"


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def beside_lines(book: Book, came: Outcome, width: int) -> list[str]:
    """Both walks, in two columns where the width allows, else one below the other."""
    narrow = width < 60
    column = width if narrow else (width - 2) // 2
    own, tool = _column(book, "You", came.own, column), _column(book, "The tool", came.tool, column)
    if narrow:
        return [*own, "", *tool]
    rows = max(len(own), len(tool))
    own, tool = own + [""] * (rows - len(own)), tool + [""] * (rows - len(tool))
    return [f"{left:<{column}}  {right}".rstrip() for left, right in zip(own, tool, strict=True)]


def _column(book: Book, title: str, side: Side, width: int) -> list[str]:
    lines = [f"{title}, minutes and steps"]
    for did in side.steps:
        if did.kind == "complaint" and did is side.steps[0]:
            continue
        front = f"{did.minutes:>5g}  "
        lines += textwrap.wrap(
            step_text(book, did), max(12, width), initial_indent=front, subsequent_indent=" " * len(front)
        )
    return [*lines, f"{side.minutes:>5g}  in all"]


def watch_blocks(book: Book, side: Side) -> list[list[str]]:
    """The tool's walk, a block for each step: why, what came of it, and the minutes so far."""
    blocks, spent = [], 0.0
    for did in side.steps[1:]:
        spent += did.minutes
        block = [step_text(book, did)]
        if did.why:
            block.append(clean(f"Why: {did.why}"))
        if did.minutes:
            block.append(f"{minutes(did.minutes)}; {minutes(spent)} so far.")
        blocks.append(block)
    return blocks


def watched_lines(book: Book, vessel: Vessel, side: Side) -> list[str]:
    """How the watched walk ended."""
    how = "CURED" if side.ended == "cured" else "HELP IS CALLED"
    wrong = "; ".join(book.causes[name].title for name in vessel.faults)
    return [f"{how} after {minutes(side.minutes)}, {_sum(side)}.", clean(f"What was wrong: {wrong}.")]


def main_lines(drill: Drill, page: Page) -> list[str]:
    """What stands below the news: the call where they do not tell it, what was seen before, and the sheet."""
    seen = seen_lines(drill.book, drill.bill.log[: len(drill.bill.log) - len(page.news)])
    lines = ["Seen before, the last first:", *seen] if seen else []
    told = any(kind == "complaint" for kind, *_ in page.news)
    call = [] if told else [call_line(drill.book, page.state.complaint)]
    return [*call, *lines, *sheet_lines(drill.book, drill.vessel)]
