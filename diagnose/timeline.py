"""How a callout's answers moved the likeliest faults."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from diagnose.callout import BadEvent, State, apply, replay
from diagnose.charts import Axis, Chart, Mark, Series
from diagnose.events import Event, standing
from diagnose.evidence import Evidence
from diagnose.own_words import own, said
from diagnose.reasoner import Reasoner
from diagnose.wording import finding_label, titles_of
from knowledge.book import Book

LEADERS: Final = 5
"""Faults that are followed."""


@dataclass(frozen=True)
class Moment:
    """One answer that said something of the faults, and what was believed after it."""

    asked: str
    answer: str
    chances: tuple[float, ...]
    """Probability of each leader, in the order of `Timeline.leaders`."""
    repaired: str = ""
    """What had been put right in vain right before it; empty for none."""


@dataclass(frozen=True)
class Timeline:
    """The leaders at the end, and their probability after each answer. Both empty before the complaint."""

    leaders: tuple[str, ...] = ()
    titles: tuple[str, ...] = ()
    moments: tuple[Moment, ...] = ()


def timeline_of(book: Book, events: Iterable[Event], reasoner: Reasoner) -> Timeline:
    """The timeline of a callout; slow, for a thread beside the one that answers keys.

    ``reasoner``: compiled for this book and the unit's facts. What put it right is always a leader. Raises
    `BadEvent` when the events do not fit the book.
    """
    told = list(_told(book, standing(events)))
    if not told:
        return Timeline()
    beliefs = [reasoner.beliefs(evidence).causes for _, _, evidence, _ in told]
    last, ended = beliefs[-1], replay(book, events)
    first = [ended.repaired[-1]] if ended.repaired and ended.ended != "help" else []
    ranked = sorted(last, key=lambda name: (name not in first, -last[name]))[:LEADERS]
    leaders = tuple(sorted(ranked, key=lambda name: -last[name]))
    titles = titles_of(book)
    return Timeline(
        leaders,
        tuple(titles[name] for name in leaders),
        tuple(
            Moment(asked, answer, tuple(chances[name] for name in leaders), repaired)
            for (asked, answer, _, repaired), chances in zip(told, beliefs, strict=True)
        ),
    )


def _told(book: Book, events: list[Event]) -> Iterable[tuple[str, str, Evidence, str]]:
    """(What was asked, the answer, all that is known then, the repair in vain before it)."""
    if not events:
        raise BadEvent("there is no event")
    state, repaired = replay(book, events[:1]), ""
    for event in events[1:]:
        after = apply(book, state, event)
        if after.epoch > state.epoch:
            repaired = book.causes[state.to_prove].title
        if after.complaint and after.evidence != state.evidence:
            yield (*_words(book, after, event), after.evidence, repaired)
            repaired = ""
        state = after


def _words(book: Book, state: State, event: Event) -> tuple[str, str]:
    match event.kind:
        case "complaint":
            return own(book, "What is wrong?"), book.complaints[event.answer].title
        case "check":
            asked = book.question(event.id).ask
            return asked, finding_label(book, event.id, state.findings[event.id])
        case _:
            about = own(book, "Looked at: {title}", title=book.causes[event.id].title)
            return about, own(book, "It is in order")


def timeline_chart(timeline: Timeline, language: str = "") -> Chart:
    """The timeline as a chart: percent against the number of the answer. It needs one answer at least."""
    moments = timeline.moments
    numbers = range(1, len(moments) + 1)
    series = tuple(
        Series(title, tuple((float(n), 100 * m.chances[k]) for n, m in zip(numbers, moments, strict=True)))
        for k, title in enumerate(timeline.titles)
    )
    marks = tuple(
        Mark("x", float(number), said(language, "after a repair in vain: {title}", title=moment.repaired))
        for number, moment in zip(numbers, moments, strict=True)
        if moment.repaired
    )
    x, y = Axis(said(language, "answer")), Axis(said(language, "probability"), "%")
    title = said(language, "How the answers moved the likeliest faults")
    return Chart("timeline", title, x, y, series, marks, (), 0.0)
