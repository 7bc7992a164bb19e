"""What both faces of the desk show of a callout: its lines in the list, and its page for the phone."""

from collections.abc import Sequence
from typing import NamedTuple

from diagnose.callout import State
from diagnose.events import Event
from diagnose.phone import PhoneLines
from diagnose.steps import Step
from diagnose.summary import words_of
from diagnose.trip import minutes_between
from diagnose.words import minutes_text
from knowledge.book import Book
from tui.desk import Desk, Place
from tui.desk_text import DeskWords, desk_words, filled
from tui.text import clean
from tui.trip_lines import whole_minutes


class PlaceLines(NamedTuple):
    """A callout in the list."""

    number: int
    who: str
    """Caller, unit and since when."""
    trip: str
    """How near its trip it is; empty once it has ended."""
    last: str
    """The last question and its answer."""
    awaited: str
    """What is asked and how long ago, or how it ended."""


def place_lines(desk: Desk, place: Place, now: str) -> PlaceLines:
    """The lines of a callout at this moment (ISO 8601 in UTC)."""
    words = desk_words(desk.language)
    overview = place.overview
    since = filled(words.since, time=passed(overview.opened, now, words.under_a_minute))
    who = f"{overview.caller or words.nobody}, {overview.unit}, {since}"
    ended = place.view is not None and place.view.step is None
    trip = "" if ended else f"{words.trip}: {_trip(desk, words, place) or words.trip_unknown}"
    told = last_answer(desk.book, place.state, place.answered) if place.state else words.opening
    last = f"{words.last}: {told or words.nothing_answered}"
    return PlaceLines(place.number, clean(who), clean(trip), clean(last), clean(_awaited(words, place, now)))


def _awaited(words: DeskWords, place: Place, now: str) -> str:
    if place.trouble:
        return f"! {words.cannot_open}: {place.trouble}"
    note = place.handed_over
    if note and not (place.walk and place.walk.events[-1].at > note.at):
        return filled(words.handed_over, time=clock_time(note.at), file=note.text)
    if place.walk is None or place.view is None:
        return words.opening
    if place.view.step is None:
        ended = place.view.state.ended or ""
        return f"{words.ended}: {words.endings.get(ended, ended)}"
    asked_at = place.walk.events[-1].at
    typed = f" [{words.half_typed}: {place.typed}]" if place.typed else ""
    awaited = filled(words.awaited, time=passed(asked_at, now, words.under_a_minute))
    return f"{awaited}: {place.view.step.heading}{typed}"


def _trip(desk: Desk, words: DeskWords, place: Place) -> str:
    """The minutes to the trip, with a mark as they get short; else what was said of danger last."""
    left = place.walk.trip() if place.walk else None
    if left:
        whole = whole_minutes(left)
        when = f"{words.trip_bounds[left.bound]} {minutes_text(max(0, whole))}"
        if left.bound == "over" and whole < 1:
            when = words.trip_again
        elif left.minutes <= 0:
            when = words.trip_due
        return f"{'!' * left.mark}{when}"
    told = place.state.triage if place.state else {}
    if not told:
        return ""
    triage = desk.book.triage
    name = next((name for name in reversed(list(triage)) if name in told), "")
    return triage[name].outcomes[told[name]].title if name else ""


def last_answer(book: Book, state: State, events: Sequence[Event]) -> str:
    """The last question that was answered, and its answer; empty when none was."""
    for event in reversed(events):
        told = words_of(book, state, event)
        if told:
            _, about, answer = told
            return f"{about} {answer}" if about.endswith("?") else f"{about}: {answer}"
    return ""


def title_line(desk: Desk) -> str:
    """The list's title: how many are open, and the language that is spoken."""
    words = desk_words(desk.language)
    count = sum(not (place.view and place.view.step is None) for place in desk.places)
    return f"{words.title}: {filled(words.many, count=count)}"


def passed(then: str, now: str, shortest: str) -> str:
    """The time between two moments, for people; ``shortest`` stands for less than a minute.

    >>> passed("2026-01-31T12:00:00Z", "2026-01-31T12:35:00Z", "no time")
    '35 min'
    """
    minutes = minutes_between(then, now)
    return minutes_text(minutes) if minutes >= 1 else shortest


def clock_time(moment: str) -> str:
    """Hours and minutes of a moment, in UTC as it is kept.

    >>> clock_time("2026-01-31T12:05:00Z")
    '12:05 UTC'
    """
    return f"{moment[11:16]} UTC"


def sound_lines(step: Step, lines: PhoneLines) -> list[tuple[str, str, str]]:
    """(key, answer, what it may sound like) of each answer; the last is empty where nothing is known."""
    return [
        (choice.key, clean(choice.label), clean(_quoted(lines, choice.answer))) for choice in step.choices
    ]


def _quoted(lines: PhoneLines, answer: str) -> str:
    said = lines.sounds.get(answer, "")
    return f"“{said}”" if said else ""
