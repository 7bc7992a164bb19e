"""The pages of the likely faults and of the reasons, for both faces.

A page is worked out once and then laid out for any width. ``drawn``: with bars; without them, for a screen
reader, the words alone.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from diagnose.reasons import ARROW
from diagnose.steps import repair_step
from diagnose.walk import View, Walk
from diagnose.words import odds_text, percent_text, weight_text
from tui.explain_lines import bar
from tui.lines import needs_text, points
from tui.screen.wrap import wrap

Lines = Callable[[int], Sequence[str]]
"""The lines of a page for a width in columns."""

BAR: Final = 13
LEAST_DRAWN: Final = 45
"""Columns below which the bars would leave too little room for the words."""
TOLD: Final = 3
"""Faults that the page of reasons tells of; each fault has a page of its own."""
LEAST_TOLD: Final = 1.0
"""Decibans below which a finding says hardly anything (`diagnose.words.SPEAKS`)."""
NOTHING_YET: Final = "Nothing has been complained of yet. First say what is wrong."
NOT_KNOWN: Final = "The book does not know this one. Call somebody who knows more."
NO_SUCH_FAULT: Final = "There is no such fault. f lists them, f 1 tells of the likeliest."
SCALE: Final = "For it to the right, against it to the left. 10 is ten times the odds."
GO_TOGETHER: Final = "All answers go together."
STARTS_AT: Final = "Before anything was answered"


def fault_list(view: View) -> Lines:
    """All likely faults by number, whole, and where in the loop they lie."""
    if not view.leaders:
        return lambda width: wrap(NOTHING_YET, width)

    def lines(width: int) -> list[str]:
        found: list[str] = []
        for number, leader in enumerate(view.leaders, 1):
            change = points(leader)
            moved = f", {change} by the last answer" if change else ""
            share = leader.probability
            found += wrap(leader.title, width, f"{number}  ")
            found += [*wrap(f"{percent_text(share)}, {odds_text(share)}{moved}", width, "   "), ""]
        rest = [f"{name} {percent_text(share)}" for name, share in view.sections if share >= 0.01]
        found += wrap(f"Where in the loop: {', '.join(rest)}", width, "", "  ") if rest else []
        if view.unlisted >= 0.005:
            found += wrap(f"Not in the book: {percent_text(view.unlisted)}", width)
        return found

    return lines


def fault_page(walk: Walk, view: View, number: int, drawn: bool = True) -> Lines:
    """One likely fault: what it is, what speaks for it and against it, how it comes about, its repair.

    Slow. ``number``: from 1; `IndexError` when there is no such leader.
    """
    leader = view.leaders[number - 1]
    entry = walk.book.causes.get(leader.id)
    if entry is None:
        return lambda width: wrap(NOT_KNOWN, width)
    explained = walk.explained()
    cause = next(row for row in explained["causes"] if row["id"] == leader.id)
    step = repair_step(walk.book, leader.id, "")

    def lines(width: int) -> list[str]:
        why = f"Why: {entry.why.removesuffix('.')}."
        odds = f"{percent_text(leader.probability)}, {odds_text(leader.probability)}. {entry.plain}."
        found = [*wrap(leader.title, width), *wrap(odds, width), *wrap(why, width), ""]
        found += wrap(SCALE, width) if drawn and width >= LEAST_DRAWN else []
        found += _weights(explained, cause, width, drawn)
        if cause["text"]:
            way = cause["text"].replace(ARROW, ", so ")
            found += ["", *wrap(f"How it comes about: {way}", width, "", "  ")]
        found += ["", *wrap(f"To put it right: {needs_text(step, view.state.hold)}", width, "", "  ")]
        found += [row for caution in step.cautions for row in wrap(caution, width, "! CAUTION: ", "  ")]
        for place, text in enumerate(step.steps, 1):
            found += wrap(text, width, f"{place}. ")
        return found

    return lines


def _weights(explained: Mapping[str, Any], cause: Mapping[str, Any], width: int, drawn: bool) -> list[str]:
    """What each finding said of a cause, a bar and words each."""
    titles = {row["finding"]: _finding(row) for row in explained["findings"]}
    rows = [(STARTS_AT, cause["prior_decibans"])]
    rows += [(titles[row["finding"]], row["decibans"]) for row in cause["weights"]]
    largest = max((abs(value) for _, value in rows if math.isfinite(value)), default=0.0)
    found: list[str] = []
    for number, (title, value) in enumerate(rows):
        if not math.isfinite(value):
            value = 0.0
        words = "" if number == 0 else f": {weight_text(value)}"
        if drawn and width >= LEAST_DRAWN:
            front = f"{value:+6.1f} {bar(value, largest, BAR)} "
            found += wrap(f"{title}{words}.", width, front)
        else:
            found += wrap(f"{title}{words}, {value:+.0f} decibans.", width)
    return found


def why_page(walk: Walk, view: View) -> Lines:
    """Why this is asked, what each answer said, what would change the mind, what fits worst. Slow."""
    if not view.leaders:
        return lambda width: wrap(view.step.why if view.step and view.step.why else NOTHING_YET, width)
    explained = walk.explained()

    def lines(width: int) -> list[str]:
        reason = explained["reason"]
        why = reason["text"] if reason else (view.step.why if view.step else "")
        found = wrap(f"Why this: {why}", width, "", "  ")
        found += ["", *wrap("What each answer said:", width)]
        for place, row in enumerate(explained["findings"]):
            found += wrap(f"{_finding(row)}: {_said(explained, place)}.", width, "- ")
        if explained["would_change"]:
            found += ["", *wrap("What would change the mind:", width)]
            found += [row for turn in explained["would_change"] for row in wrap(turn["text"], width, "- ")]
        share = explained["unexplained"]
        found += ["", *wrap(worst_text(walk, view, explained), width)]
        return found + (wrap(share["text"], width) if share and share["text"] else [])

    return lines


def _said(explained: Mapping[str, Any], place: int) -> str:
    """What a finding said of the likeliest faults, in words; those of which it said the same together."""
    told: dict[str, list[str]] = {}
    for cause in explained["causes"][:TOLD]:
        value = cause["weights"][place]["decibans"]
        if math.isfinite(value) and abs(value) >= LEAST_TOLD:
            told.setdefault(weight_text(value).removesuffix(" it"), []).append(cause["title"])
    said = [f"{words} {', '.join(titles)}" for words, titles in told.items()]
    return "; ".join(said) or f"says hardly anything of the {TOLD} likeliest"


def worst_text(walk: Walk, view: View, explained: Mapping[str, Any]) -> str:
    """Which finding fits worst with the others; that all go together when none stands apart."""
    bits = [row["conflict_bits"] for row in explained["findings"]]
    known = [value for value in bits if math.isfinite(value)]
    if not known or max(known) <= 0:
        return GO_TOGETHER
    worst = explained["findings"][bits.index(max(known))]
    how = "It is worth a second look" if not view.fit.together else "That is nothing odd"
    return f"What fits worst with the others: {_finding(worst)}. {how}."


def _finding(row: Mapping[str, Any]) -> str:
    return f"{row['title']} {row['answer']}" if row["answer"] else str(row["title"])


def page_of_fault(walk: Walk, view: View, number: int, drawn: bool = True) -> Lines:
    """Page 0 lists the faults, the others tell of one each. `IndexError` when there is no such one."""
    return fault_page(walk, view, number, drawn) if number else fault_list(view)
