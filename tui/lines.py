"""The sentences that both faces show about a walk, so that they cannot tell two stories."""

from collections.abc import Sequence
from typing import NamedTuple

from diagnose.callout import Finding
from diagnose.events import Event, standing
from diagnose.history.overview import Overview
from diagnose.steps import Step
from diagnose.summary import summary_of
from diagnose.volunteer import counted
from diagnose.walk import Leader, View, Walk
from diagnose.wording import finding_label
from diagnose.words import minutes_text
from knowledge.words import hold_rank
from tui.summary_lines import summary_rows
from tui.text import clean

QUESTIONS = ("triage", "complaint", "check")
"""The kinds of step that ask something; the others tell to do something."""
NOTHING_BEFORE = "There is no earlier answer to take back."
NO_JOB = "The steps here are the whole job."
NO_FINDINGS = "Nothing has been answered yet."
NOTHING_SAVED = "The answer was NOT taken: it could not be saved"
SOMEBODY_ELSE = "Somebody else has answered:"
OTHER_BOOK = "Somebody else has gone on with this callout with another book: leave, and open it with that one"
MINE_NOT_TAKEN = "Your answer was NOT taken."
KIND_WORDS = {
    "undo": "an answer was taken back",
    "caution": "caution read for",
    "hold": "the unit is now",
    "notice": "the notice was read",
    "help": "help is called",
    "closed": "closed",
    "reopened": "opened again",
}
"""Events in a few words."""
STEP_TICKED = "a step was ticked"
ALL_TICKED = "Ticked. All steps are done: now give the answer."
WAY_BACK = "The way back: "
COMING = "After this, most likely: "
BETTER = "Looked further ahead. This is the better next step."
TYPE_WORDS = "Type what was said, like frost or vent blow. Words of three letters or more count."


class Given(NamedTuple):
    """An answer that was given and can be changed."""

    id: str
    question: str
    answer: str


def question_number(walk: Walk) -> int:
    """1 for the first question of a callout; one that is answered anew keeps its number."""
    asked: set[tuple[int, str, str]] = set()
    epoch = 0
    for event in standing(walk.events):
        if event.kind in QUESTIONS:
            asked.add((epoch, event.kind, event.id))
        epoch += event.kind == "prove"
    return len(asked) + 1


def place_text(walk: Walk, view: View) -> str:
    """How far the callout has come: the number of the question, or how many were answered."""
    number = question_number(walk)
    if view.step is None:
        return "ended"
    return f"question {number}" if view.step.kind in QUESTIONS else f"{number - 1} answered"


def needs_text(step: Step, hold: str) -> str:
    """What a step needs: the state of the unit, time and tools; empty when it needs nothing."""
    parts = []
    if step.hold and step.kind in ("check", "repair", "prove"):
        enough = hold_rank(hold) >= hold_rank(step.hold)
        parts.append(f"unit {hold}, as it is now" if enough else f"unit {step.hold}")
    if step.minutes:
        parts.append(f"{'' if step.minutes < 1 else 'about '}{minutes_text(step.minutes)}")
    if step.tools:
        parts.append(f"tools: {', '.join(step.tools)}")
    if step.parts:
        parts.append(f"parts: {', '.join(step.parts)}")
    if step.skill:
        parts.append(step.skill)
    return "; ".join(parts)


def points(leader: Leader) -> str:
    """The change of a leader by the last answer, in whole percent with its sign; empty when none."""
    change = round(leader.probability * 100) - round(leader.before * 100)
    return f"{change:+d}" if change else ""


def fit_text(walk: Walk, view: View) -> str:
    """One line when the findings do not fit together; empty when they do."""
    if view.fit.together:
        return ""
    again = view.fit.look_again
    which = f" Look again at: {asked_text(walk, again)}" if again else ""
    return clean(f"These answers do not fit together.{which}")


def asked_text(walk: Walk, name: str) -> str:
    """The question of a check, a fact or about danger, or what was complained of."""
    for asked in (walk.book.checks, walk.book.facts, walk.book.triage):
        if name in asked:
            return asked[name].ask
    complaint = walk.book.complaints.get(name)
    return complaint.title if complaint else "What is wrong?"


def answers_so_far(walk: Walk) -> list[Given]:
    """The answers that still count, the last one first."""
    given = [
        Given(name, clean(asked_text(walk, name)), clean(_answer_text(walk, name)))
        for name in walk.answered()
    ]
    return given[::-1]


def _answer_text(walk: Walk, name: str) -> str:
    book, state = walk.book, walk.state
    if name in state.triage:
        return book.triage[name].outcomes[state.triage[name]].title
    finding = state.findings.get(name)
    if finding is None:
        return "; ".join(book.complaints[told].title for told in state.complaints)
    return finding_label(book, name, finding)


def no_offers(text: str) -> str:
    """Why nothing is offered for what was typed."""
    return clean(f"No finding in the book has all of: {text.strip()}.") if counted(text) else TYPE_WORDS


def ending(walk: Walk, record: str) -> list[tuple[str, str]]:
    """The last page: (what it is about, the sentence)."""
    return [*summary_rows(summary_of(walk.book, walk.events)), ("The record", clean(record))]


def callout_text(item: Overview) -> str:
    """One open callout, to be picked from a list."""
    last = item.last.replace("T", " ").removesuffix("Z")
    caller = f", {item.caller} called" if item.caller else ""
    return clean(f"{item.unit}{caller}, {item.answers} answers, the last one {last} UTC")


def news_text(walk: Walk, events: Sequence[Event], mine_lost: bool = False) -> str:
    """What somebody else has answered meanwhile, the last two answers of it in words."""
    said = [_event_text(walk, event) for event in events]
    earlier = f"{len(said) - 2} answers before it, then " if len(said) > 2 else ""
    told = f"{SOMEBODY_ELSE} {earlier}{'; '.join(said[-2:]) or 'took answers back'}."
    return clean(f"{MINE_NOT_TAKEN} {told}" if mine_lost else told)


def _event_text(walk: Walk, event: Event) -> str:
    by = f"{event.by}: " if event.by else ""
    match event.kind:
        case "check":
            finding = Finding(event.answer, event.text, sure=event.sure)
            return f"{by}{asked_text(walk, event.id)} {finding_label(walk.book, event.id, finding)}"
        case "triage":
            return (
                f"{by}{asked_text(walk, event.id)} {walk.book.triage[event.id].outcomes[event.answer].title}"
            )
        case "complaint":
            return f"{by}what is wrong: {walk.book.complaints[event.answer].title}"
        case "repair" | "prove":
            return f"{by}{walk.title(event.id)}: {event.answer.replace('_', ' ')}"
        case "tick":
            return f"{by}{STEP_TICKED}"
        case _:
            return f"{by}{KIND_WORDS.get(event.kind, event.kind)} {event.id}".rstrip()
