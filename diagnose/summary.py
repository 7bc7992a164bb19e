"""A callout told in short: how it ended, what was wrong, what was done, minutes, parts, what to watch.

Everything follows from the events and the book, so that a screen, a text, a page and a file tell the same.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from diagnose.callout import Ending, Finding, State, apply, replay
from diagnose.events import CANNOT, COULD_NOT_TELL, Event, standing
from diagnose.own_words import own
from diagnose.trip import minutes_between
from diagnose.wording import answer_label, finding_label
from diagnose.words import percent_text
from knowledge.book import Book

Kind = Literal["triage", "complaint", "check", "hold", "repair", "prove", "help", "closed", "reopened"]
REPAIRED = {
    "done": "put right",
    "in_order": "looked at, in order",
    CANNOT: "could not be put right now",
}
PROVED = {
    "cured": "it dumped and shut off twice by itself",
    "not_cured": "not cured",
    COULD_NOT_TELL: "nobody could watch it yet",
}


@dataclass(frozen=True)
class Entry:
    """One thing that was answered or done."""

    at: str
    """ISO 8601 in UTC."""
    minute: float
    """Minutes since the callout was opened."""
    kind: Kind
    title: str
    answer: str


@dataclass(frozen=True)
class Summary:
    """A callout in short."""

    unit: str
    opened: str
    last: str
    """When the last thing was answered or done, ISO 8601 in UTC."""
    minutes: float
    """From the opening to the last entry by the clock, waiting and walking included."""
    ended: Ending | None
    nothing_wrong: bool
    """It looked odd, and nothing was wrong."""
    cause: str
    """Id of the cause that was proved to be it, or that waits for its proof; empty when none is known."""
    wrong: str
    """Its title."""
    why: str
    """Why such a thing happens; empty when no cause is known."""
    complaints: tuple[str, ...]
    """What was complained of, in the order told."""
    entries: tuple[Entry, ...]
    put_right: tuple[str, ...]
    """Titles of everything that was put right, in order."""
    beside: tuple[str, ...]
    """Titles of what was put right too, and was not it."""
    parts: tuple[str, ...]
    """Parts that the repairs made take."""
    checks: int
    """Checks and facts that somebody could tell."""
    watch: tuple[str, ...]
    """What to watch and what is still to do, a sentence each."""
    hold: str
    """The hold that the unit is left in."""


def summary_of(book: Book, events: Sequence[Event], possible: Iterable[tuple[str, float]] = ()) -> Summary:
    """The summary of a callout's events; ``possible``: (title, probability) of the likeliest causes now.

    Raises `diagnose.callout.BadEvent` as `replay` does.
    """
    state = replay(book, events)
    kept = standing(events)
    opened = events[0].at
    entries = tuple(_entries(book, kept))
    # What was known to be it comes last: those before it did not cure.
    found = bool(state.repaired) and state.ended in ("cured", "not_proved")
    cause = state.repaired[-1] if found else ""
    titles = tuple(book.causes[name].title for name in state.repaired)
    parts = [part for name in state.repaired for part in book.causes[name].repair.parts]
    looked = [*state.findings.values(), *(finding for _, finding in state.set_aside)]
    last = entries[-1].at if entries else opened
    return Summary(
        unit=state.unit,
        opened=opened,
        last=last,
        minutes=minutes_between(opened, last),
        ended=state.ended,
        nothing_wrong=state.ended == "cured" and book.causes[cause].nothing_wrong,
        cause=cause,
        wrong=book.causes[cause].title if cause else "",
        why=book.causes[cause].why if cause else "",
        complaints=tuple(dict.fromkeys(entry.answer for entry in entries if entry.kind == "complaint")),
        entries=entries,
        put_right=titles,
        beside=titles[:-1] if found else titles,
        parts=tuple(dict.fromkeys(parts)),
        checks=sum(finding.answer != COULD_NOT_TELL for finding in looked),
        watch=tuple(_watch(book, state, possible)),
        hold=state.hold,
    )


def words_of(book: Book, state: State, event: Event) -> tuple[Kind, str, str] | None:
    """What an event says to a person: its kind, what it is about, the answer.

    None for ticks, cautions read and notices taken. ``state``: the callout with the event in it.
    """
    match event.kind:
        case "triage":
            question = book.triage[event.id]
            return "triage", question.ask, question.outcomes[event.answer].title
        case "complaint":
            return "complaint", own(book, "What is wrong?"), book.complaints[event.answer].title
        case "check":
            return "check", book.question(event.id).ask, finding_label(book, event.id, _found(state, event))
        case "hold" | "caution" if event.answer == CANNOT:
            return "hold", _unit(book, event.id), own(book, "cannot be done now")
        case "hold":
            return "hold", _unit(book, event.id), own(book, "done")
        case "repair":
            return "repair", book.causes[event.id].title, own(book, REPAIRED[event.answer])
        case "prove":
            about = own(book, "Proof: {title}", title=book.causes[event.id].title)
            return "prove", about, own(book, PROVED[event.answer])
        case "help":
            return "help", own(book, "Help"), own(book, "called")
        case "closed" | "reopened":
            return event.kind, own(book, "Callout"), own(book, event.kind)
    return None


def _entries(book: Book, kept: Sequence[Event]) -> Iterator[Entry]:
    state = replay(book, kept[:1])
    for event in kept[1:]:
        state = apply(book, state, event)
        told = words_of(book, state, event)
        if told:
            kind, title, answer = told
            yield Entry(event.at, minutes_between(kept[0].at, event.at), kind, title, answer)


def _unit(book: Book, hold: str) -> str:
    return own(book, "Unit {hold}", hold=own(book, hold))


def _found(state: State, event: Event) -> Finding:
    return state.findings.get(event.id) or Finding(event.answer, event.text, sure=event.sure)


def _watch(book: Book, state: State, possible: Iterable[tuple[str, float]]) -> Iterator[str]:
    """What the next one has to know, the most urgent first."""
    if state.hold != "running":
        hold = own(book, state.hold).upper()
        yield own(book, "The unit is left {hold}. Tell the next one so.", hold=hold)
    if state.ended == "not_proved":
        proof = book.checks[book.causes[state.repaired[-1]].repair.prove]
        yield own(book, "It is right when: {right}", right=proof.right)
    if state.ended == "cured":
        proof = book.checks[book.causes[state.repaired[-1]].repair.prove]
        what = "At the next visit, look once more: {asked} Right is: {right}"
        yield own(book, what, asked=proof.ask, right=proof.right)
    if state.ended != "cured":
        for title, share in possible:
            yield own(book, "Still possible: {title}, {chance}.", title=title, chance=percent_text(share))
    for name in sorted(state.cannot_repair):
        yield own(book, "Still to be put right: {title}.", title=book.causes[name].title)
    for name in state.not_told:
        yield own(book, "Nobody could tell: {line}", line=book.question(name).ask)
    for name, finding in state.findings.items():
        # The cure has overtaken a reading that was taken before it.
        if not finding.sure and state.ended != "cured":
            label = answer_label(book, name, finding.answer)
            line = f"{book.question(name).ask} {label}"
            yield own(book, "Not sure, look again: {line}.", line=line)
