"""What stands on the screen of a drill, as lines; no widget here."""

from dataclasses import replace

from diagnose.steps import Choice, Step
from diagnose.trial.drill import Drill, Page
from diagnose.trial.drill_outcome import Outcome
from tui.drill_lines import (
    MENU,
    NEXT,
    beside_lines,
    ending_lines,
    main_lines,
    minutes,
    needs_line,
    news_lines,
    opening_lines,
    price_line,
)
from tui.screen.page import STRONG, question_lines
from tui.screen.wrap import cut, wrap

Lines = list[tuple[str, str]]
LEAST_PAGE = 3
"""Rows that the page keeps, however many choices there are."""


def head_line(drill: Drill, page: Page, width: int) -> str:
    """The drill, the state of the unit and the minutes."""
    wanted = drill.vessel.wanted
    right = f" | now: {page.state.hold} | {minutes(page.minutes)} so far "
    left = cut(f" Drill {wanted.seed}, {wanted.level}", max(1, width - len(right)))
    return left + right.rjust(max(0, width - len(left)))


def choices_of(page: Page) -> tuple[Choice, ...]:
    """What can be chosen by a digit: what the step asks, or the checks that are offered and the menu."""
    if page.step:
        return page.step.choices
    if page.state.ended:
        return ()
    offers = [Choice(str(number), found.id, found.label) for number, found in enumerate(page.offers, 1)]
    return (*offers, *(Choice(key, key, what) for key, what in MENU))


def page_lines(drill: Drill, page: Page, width: int) -> tuple[Lines, int]:
    """The page, and how many of its lines must be seen before anything is chosen."""
    lines: Lines = []
    for text in news_lines(drill.book, page):
        lines += [(line, STRONG) for line in wrap(text, width)]
    if page.step:
        step, must = _step_lines(page.step, page, width)
        return [*lines, *step], len(lines) + must
    texts = main_lines(drill, page) if len(drill.bill.log) > 1 else opening_lines(drill.book, drill.vessel)
    must = len(lines)
    for text in texts:
        lines += [(line, "") for line in wrap(text, width)]
    return lines, must


def _step_lines(step: Step, page: Page, width: int) -> tuple[Lines, int]:
    """The step, with what it needs and costs after the question, and the lines down to its last caution."""
    bare = replace(step, hold="", minutes=0.0, tools=(), parts=(), skill="")
    lines, must = question_lines(bare, page.state.hold, width)
    asked, _ = question_lines(replace(bare, cautions=(), steps=(), right="", judged_by=""), "", width)
    needs = [
        (line, "")
        for text in filter(None, (needs_line(page), price_line(page)))
        for line in wrap(text, width)
    ]
    return [*lines[: len(asked)], *needs, *lines[len(asked) :]], must + len(needs)


def end_lines(drill: Drill, page: Page, came: Outcome, width: int) -> Lines:
    """The last page."""
    lines: Lines = []
    for text in news_lines(drill.book, page):
        lines += [(line, "") for line in wrap(text, width)]
    for number, text in enumerate(ending_lines(drill.book, came)):
        lines += [(line, STRONG if number < 2 else "") for line in wrap(text, width)]
    return [*lines, ("", ""), *((line, "") for line in beside_lines(drill.book, came, width))]


def rule_text(page: Page, more: bool, must: bool, hidden: bool) -> str:
    """What stands in the line under the page; ``hidden``: whether there are choices out of sight."""
    if page.step and page.step.cautions and must:
        return "PgDn: READ THE CAUTIONS below"
    below = "Down: more choices" if hidden else ""
    if more:
        return f"PgDn: more. {below}" if hidden else "PgDn: more of this below"
    if page.state.ended:
        return ""
    return below or ("Answers" if page.step else NEXT)


def foot_line(page: Page) -> str:
    """The keys that do something now."""
    if page.state.ended:
        return " q leave   PgUp, PgDn scroll   ? help   F2 sun/dark"
    if page.step:
        return " Number or Enter chooses   PgUp, PgDn scroll   ? help   q leave"
    return " Number or Enter chooses   letters look for a check   ? help   q leave"
