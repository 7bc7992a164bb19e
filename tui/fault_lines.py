"""The pages of the likely faults and of the reasons, for both faces.

A page is worked out once and then laid out for any width. ``drawn``: with bars; without them, for a screen
reader, the words alone.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from diagnose.own_words import said
from diagnose.reasons import ARROW
from diagnose.steps import repair_step
from diagnose.walk import Walk
from diagnose.walk_view import View
from diagnose.words import odds_text, percent_text, weight_text
from tui.explain_lines import bar
from tui.lines import needs_text, places_text, points, texts_of
from tui.screen.wrap import wrap
from tui.texts import texts_in
from tui.texts.kinds import Texts

Lines = Callable[[int], Sequence[str]]
"""The lines of a page for a width in columns."""

BAR: Final = 13
LEAST_DRAWN: Final = 45
"""Columns below which the bars would leave too little room for the words."""
TOLD: Final = 3
"""Faults that the page of reasons tells of; each fault has a page of its own."""
LEAST_TOLD: Final = 1.0
"""Decibans below which a finding says hardly anything (`diagnose.words.SPEAKS`)."""


def fault_list(view: View, language: str = "en") -> Lines:
    """All likely faults by number, whole, and where in the loop they lie."""
    texts = texts_in(language).fault
    if not view.leaders:
        return lambda width: wrap(texts.nothing_yet, width)

    def lines(width: int) -> list[str]:
        found: list[str] = []
        for number, leader in enumerate(view.leaders, 1):
            change = points(leader)
            moved = texts.by_last.format(change=change) if change else ""
            odds = said(language, odds_text(leader.probability))
            found += wrap(leader.title, width, f"{number}  ")
            found += [*wrap(f"{percent_text(leader.probability)}, {odds}{moved}", width, "   "), ""]
        places = places_text(view, language)
        found += wrap(texts.where.format(places=places), width, "", "  ") if places else []
        if view.unlisted >= 0.005:
            found += wrap(texts.not_in_book.format(chance=percent_text(view.unlisted)), width)
        return found

    return lines


def fault_page(walk: Walk, view: View, number: int, drawn: bool = True) -> Lines:
    """One likely fault: what it is, what speaks for it and against it, how it comes about, its repair.

    Slow. ``number``: from 1; `IndexError` when there is no such leader.
    """
    leader = view.leaders[number - 1]
    entry = walk.book.causes.get(leader.id)
    texts, language = texts_of(walk), walk.book.language
    if entry is None:
        return lambda width: wrap(texts.fault.not_known, width)
    explained = walk.explained()
    cause = next(row for row in explained["causes"] if row["id"] == leader.id)
    step = repair_step(walk.book, leader.id, "")

    def lines(width: int) -> list[str]:
        why = texts.fault.why.format(reason=entry.why.removesuffix("."))
        odds = f"{percent_text(leader.probability)}, {said(language, odds_text(leader.probability))}."
        odds = f"{odds} {entry.plain}."
        found = [*wrap(leader.title, width), *wrap(odds, width), *wrap(why, width), ""]
        found += wrap(texts.fault.scale, width) if drawn and width >= LEAST_DRAWN else []
        found += _weights(explained, cause, width, drawn, texts)
        if cause["text"]:
            way = cause["text"].replace(ARROW, said(language, ", so "))
            found += ["", *wrap(texts.fault.how.format(way=way), width, "", "  ")]
        needs = needs_text(step, view.state.hold, language)
        found += ["", *wrap(texts.fault.repair.format(needs=needs), width, "", "  ")]
        front = f"! {texts.page.caution}"
        found += [row for caution in step.cautions for row in wrap(caution, width, front, "  ")]
        for place, text in enumerate(step.steps, 1):
            found += wrap(text, width, f"{place}. ")
        return found

    return lines


def _weights(
    explained: Mapping[str, Any], cause: Mapping[str, Any], width: int, drawn: bool, texts: Texts
) -> list[str]:
    """What each finding said of a cause, a bar and words each."""
    titles = {row["finding"]: _finding(row) for row in explained["findings"]}
    rows = [(texts.fault.starts_at, cause["prior_decibans"])]
    rows += [(titles[row["finding"]], row["decibans"]) for row in cause["weights"]]
    largest = max((abs(value) for _, value in rows if math.isfinite(value)), default=0.0)
    found: list[str] = []
    for number, (title, value) in enumerate(rows):
        if not math.isfinite(value):
            value = 0.0
        words = "" if number == 0 else f": {said(texts.language, weight_text(value))}"
        if drawn and width >= LEAST_DRAWN:
            front = f"{value:+6.1f} {bar(value, largest, BAR)} "
            found += wrap(f"{title}{words}.", width, front)
        else:
            told = texts.fault.decibans.format(value=f"{value:+.0f}")
            found += wrap(f"{title}{words}, {told}.", width)
    return found


def why_page(walk: Walk, view: View) -> Lines:
    """Why this is asked, what each answer said, what would change the mind, what fits worst. Slow."""
    texts = texts_of(walk).fault
    if not view.leaders:
        return lambda width: wrap((view.step and view.step.why) or texts.nothing_yet, width)
    explained = walk.explained()

    def lines(width: int) -> list[str]:
        reason = explained["reason"]
        why = reason["text"] if reason else (view.step.why if view.step else "")
        found = wrap(texts.why_this.format(reason=why), width, "", "  ")
        found += ["", *wrap(texts.each_answer, width)]
        for place, row in enumerate(explained["findings"]):
            found += wrap(f"{_finding(row)}: {_said(explained, place, walk.book.language)}.", width, "- ")
        if explained["would_change"]:
            found += ["", *wrap(texts.would_change, width)]
            found += [row for turn in explained["would_change"] for row in wrap(turn["text"], width, "- ")]
        share = explained["unexplained"]
        found += ["", *wrap(worst_text(walk, view, explained), width)]
        return found + (wrap(share["text"], width) if share and share["text"] else [])

    return lines


def _said(explained: Mapping[str, Any], place: int, language: str) -> str:
    """What a finding said of the likeliest faults, in words; those of which it said the same together."""
    told: dict[str, list[str]] = {}
    for cause in explained["causes"][:TOLD]:
        value = cause["weights"][place]["decibans"]
        if math.isfinite(value) and abs(value) >= LEAST_TOLD:
            words = said(language, weight_text(value).removesuffix(" it"))
            told.setdefault(words, []).append(cause["title"])
    each = [f"{words} {', '.join(titles)}" for words, titles in told.items()]
    return "; ".join(each) or texts_in(language).fault.hardly.format(number=TOLD)


def worst_text(walk: Walk, view: View, explained: Mapping[str, Any]) -> str:
    """Which finding fits worst with the others; that all go together when none stands apart."""
    texts = texts_of(walk).fault
    bits = [row["conflict_bits"] for row in explained["findings"]]
    known = [value for value in bits if math.isfinite(value)]
    if not known or max(known) <= 0:
        return texts.together
    worst = explained["findings"][bits.index(max(known))]
    how = texts.nothing_odd if view.fit.together else texts.second_look
    return texts.worst.format(finding=_finding(worst), how=how)


def _finding(row: Mapping[str, Any]) -> str:
    return f"{row['title']} {row['answer']}" if row["answer"] else str(row["title"])


def page_of_fault(walk: Walk, view: View, number: int, drawn: bool = True) -> Lines:
    """Page 0 lists the faults, the others tell of one each. `IndexError` when there is no such one."""
    return fault_page(walk, view, number, drawn) if number else fault_list(view, walk.book.language)
