"""The sentences that both faces show about a walk, so that they cannot tell two stories."""

from collections.abc import Sequence
from typing import NamedTuple

from diagnose.callout import Finding
from diagnose.events import Event, standing
from diagnose.history.overview import Overview
from diagnose.own_words import own, said
from diagnose.steps import Step
from diagnose.summary import PROVED, REPAIRED, summary_of
from diagnose.volunteer import counted
from diagnose.walk import Walk
from diagnose.walk_view import Leader, View
from diagnose.wording import finding_label
from diagnose.words import minutes_text, percent_text
from knowledge.words import hold_rank
from tui.summary_lines import summary_rows
from tui.text import clean
from tui.texts import texts_in
from tui.texts.kinds import Texts

QUESTIONS = ("triage", "complaint", "check")
"""The kinds of step that ask something; the others tell to do something."""


LEAST_SHARE = 0.01
"""A section with less blame than this is not worth a word."""


class Given(NamedTuple):
    """An answer that was given and can be changed."""

    id: str
    question: str
    answer: str


def texts_of(walk: Walk) -> Texts:
    """What the faces say themselves, in the language in which the walk's book is read."""
    return texts_in(walk.book.language)


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
    texts = texts_of(walk).page
    if view.step is None:
        return texts.ended
    if view.step.kind in QUESTIONS:
        return texts.question.format(number=number)
    return texts.answered.format(number=number - 1)


def needs_text(step: Step, hold: str, language: str = "en") -> str:
    """What a step needs: the state of the unit, time and tools; empty when it needs nothing."""
    texts, parts = texts_in(language).page, []
    if step.hold and step.kind in ("check", "repair", "prove"):
        enough = hold_rank(hold) >= hold_rank(step.hold)
        unit = texts.unit_already if enough else texts.unit
        parts.append(unit.format(hold=said(language, hold if enough else step.hold)))
    if step.minutes:
        minutes = said(language, minutes_text(step.minutes))
        parts.append(minutes if step.minutes < 1 else texts.about.format(minutes=minutes))
    if step.tools:
        parts.append(texts.tools.format(things=", ".join(step.tools)))
    if step.parts:
        parts.append(texts.parts.format(things=", ".join(step.parts)))
    if step.skill:
        parts.append(step.skill)
    return "; ".join(parts)


def points(leader: Leader) -> str:
    """The change of a leader by the last answer, in whole percent with its sign; empty when none."""
    change = round(leader.probability * 100) - round(leader.before * 100)
    return f"{change:+d}" if change else ""


def places_text(view: View, language: str) -> str:
    """The sections of the loop that have a share of the blame worth a word, with their shares."""
    blamed = [(name, share) for name, share in view.sections if share >= LEAST_SHARE]
    return ", ".join(f"{said(language, name)} {percent_text(share)}" for name, share in blamed)


def fit_text(walk: Walk, view: View) -> str:
    """One line when the findings do not fit together; empty when they do."""
    if view.fit.together:
        return ""
    texts, again = texts_of(walk).page, view.fit.look_again
    which = texts.look_again.format(question=asked_text(walk, again)) if again else ""
    return clean(f"{texts.not_together} {which}".strip())


def asked_text(walk: Walk, name: str) -> str:
    """The question of a check, a fact or about danger, or what was complained of."""
    for asked in (walk.book.checks, walk.book.facts, walk.book.triage):
        if name in asked:
            return asked[name].ask
    complaint = walk.book.complaints.get(name)
    return complaint.title if complaint else texts_of(walk).page.what_is_wrong


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


def no_offers(text: str, language: str = "en") -> str:
    """Why nothing is offered for what was typed."""
    texts = texts_in(language).message
    return clean(texts.no_offers.format(text=text.strip())) if counted(text) else texts.type_words


def ending(walk: Walk, record: str) -> list[tuple[str, str]]:
    """The last page: (what it is about, the sentence)."""
    rows = summary_rows(summary_of(walk.book, walk.events), walk.book.language)
    return [*rows, (texts_of(walk).end.record, clean(record))]


def callout_text(item: Overview, language: str = "en") -> str:
    """One open callout, to be picked from a list."""
    texts = texts_in(language).dialog
    last = item.last.replace("T", " ").removesuffix("Z")
    caller = texts.called.format(caller=item.caller) if item.caller else ""
    return clean(texts.callout.format(unit=item.unit, caller=caller, answers=item.answers, last=last))


def news_text(walk: Walk, events: Sequence[Event], mine_lost: bool = False) -> str:
    """What somebody else has answered meanwhile, the last two answers of it in words."""
    texts = texts_of(walk).message
    said = [_event_text(walk, event) for event in events]
    told = "; ".join(said[-2:]) or texts.took_back
    if len(said) > 2:
        told = texts.earlier.format(number=len(said) - 2, told=told)
    told = texts.somebody_else.format(told=told)
    return clean(f"{texts.mine_not_taken} {told}" if mine_lost else told)


def _event_text(walk: Walk, event: Event) -> str:
    by, book, texts = f"{event.by}: " if event.by else "", walk.book, texts_of(walk).message
    match event.kind:
        case "check":
            finding = Finding(event.answer, event.text, sure=event.sure)
            return f"{by}{asked_text(walk, event.id)} {finding_label(book, event.id, finding)}"
        case "triage":
            return f"{by}{asked_text(walk, event.id)} {book.triage[event.id].outcomes[event.answer].title}"
        case "complaint":
            return f"{by}{texts.was_wrong.format(title=book.complaints[event.answer].title)}"
        case "repair" | "prove":
            done = REPAIRED if event.kind == "repair" else PROVED
            return f"{by}{walk.title(event.id)}: {own(book, done[event.answer])}"
        case "tick":
            return f"{by}{texts.step_ticked}"
        case _:
            hold = own(book, event.id) if event.id in book.holds else event.id
            return f"{by}{texts.events.get(event.kind, event.kind)} {hold}".rstrip()
