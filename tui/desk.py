"""The desk: several callouts open at once, each with a number that it keeps as long as the desk is open."""

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

from diagnose.callout import BadEvent, State
from diagnose.events import Event, standing
from diagnose.history.overview import Overview
from diagnose.history.saver import Saver
from diagnose.history.store import History
from diagnose.sheet import Unit
from diagnose.walk import Walk
from diagnose.walk_view import View
from knowledge.book import Book
from knowledge.problems import InputProblems
from tui.session import replayed, start

HANDED_OVER: Final = "handed_over"
"""The id of the note that a callout was handed over."""


@dataclass
class Place:
    """A callout on the desk. What is worked out of it is there once it has been opened."""

    number: int
    overview: Overview
    walk: Walk | None = None
    view: View | None = None
    """What is asked now, as far as it is worked out."""
    typed: str = ""
    """What is half typed as an answer."""
    trouble: str = ""
    """Why it cannot be opened."""
    handed_over: Event | None = None
    opening: threading.Lock = field(default_factory=threading.Lock, repr=False)

    @property
    def state(self) -> State | None:
        """Where it stands; None while it is not opened."""
        return self.walk.state if self.walk else None

    @property
    def answered(self) -> list[Event]:
        """The answers that count, the opening left out; none while it is not opened."""
        return standing(self.walk.events)[1:] if self.walk else []


class Desk:
    """Opens callouts of a store, begins new ones, knows them by number. Safe to use from several threads."""

    def __init__(
        self,
        books: Callable[[str], Book],
        history: History,
        clock: Callable[[], str],
        language: str,
        by: str = "",
    ) -> None:
        """``books`` gives the book in a language; ``language``: what is spoken; ``by``: the name that is
        kept with the answers.
        """
        self._books = books
        self._book: Book | None = None
        self._reading = threading.Lock()
        self.history = history
        self.clock = clock
        self.language = language
        self._by = by
        self._places: dict[int, Place] = {}
        self._lock = threading.Lock()

    @property
    def book(self) -> Book:
        """The book in the language that is spoken; slow the first time. Raises `InputProblems`."""
        with self._reading:
            if self._book is None:
                self._book = self._books(self.language)
            return self._book

    @property
    def ready(self) -> bool:
        """Whether the book is read."""
        return self._book is not None

    @property
    def places(self) -> list[Place]:
        """Everything on the desk, by number."""
        with self._lock:
            return list(self._places.values())

    def place(self, number: int) -> Place | None:
        """The callout of that number."""
        return self._places.get(number)

    def refresh(self) -> list[int]:
        """Put open callouts of the store on the desk that are not yet there; returns their numbers."""
        found = sorted(self.history.open_callouts(), key=lambda item: (item.opened, item.key))
        return [place.number for place in map(self._put, found) if place]

    def with_news(self, numbers: Sequence[int]) -> list[int]:
        """Those of these callouts that somebody else has gone on with, or ended; changes nothing."""
        walks = [(number, self._places[number].walk) for number in numbers]
        return [number for number, walk in walks if walk and walk.news()]

    def _put(self, overview: Overview) -> Place | None:
        with self._lock:
            if any(place.overview.key == overview.key for place in self._places.values()):
                return None
            place = Place(len(self._places) + 1, overview)
            place.handed_over = self._handed_over(overview)
            self._places[place.number] = place
        return place

    def _handed_over(self, overview: Overview) -> Event | None:
        """The remark that it was handed over, if nobody has answered since."""
        notes = [note for note in self.history.record(overview.key).remarks if note.id == HANDED_OVER]
        return notes[-1] if notes and notes[-1].at >= overview.last else None

    def begin(self, unit: Unit | None, caller: str = "") -> Place:
        """Begin a callout. Raises `InputProblems` when it cannot be saved."""
        key = start(self.history, unit or Unit(), self.book, caller, self._by)
        return self._put(self.history.overview(key)) or self._of_key(key)

    def _of_key(self, key: str) -> Place:
        return next(place for place in self.places if place.overview.key == key)

    def open(self, number: int) -> Place:
        """Have a callout ready to be answered. Slow the first time: not for the thread that answers keys.

        Raises `InputProblems` when it cannot go on with this book.
        """
        place = self._places[number]
        with place.opening:
            if place.walk is None:
                place.walk = replayed(
                    self.book, Saver(self.history, place.overview.key, self._by), self.language
                )
        return place

    def look(self, number: int) -> Place:
        """Open a callout and work out what is asked; trouble is noted with it. Slow, as `open`."""
        try:
            place = self.open(number)
            if place.walk:
                news = place.walk.news()
                if news:
                    place.walk.take_in(news)
                place.view = place.walk.view()
        except (InputProblems, BadEvent, OSError) as error:
            place = self._places[number]
            place.trouble = str(error)
        return place

    def speak(self, language: str) -> None:
        """Speak another language in every callout. Slow: the book's texts may have to be read."""
        book = self._books(language)
        self.language, self._book = language, book
        for place in self.places:
            if place.walk:
                place.walk.speak(language, book)
                place.view = place.walk.view() if place.view else None
