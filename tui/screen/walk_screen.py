"""The screen of a walk: its keys."""

import time
from collections.abc import Callable
from contextlib import suppress
from typing import ClassVar, Final

from textual import work
from textual.binding import Binding, BindingType
from textual.message import Message

from diagnose.callout import BadEvent
from diagnose.history.record import Seen
from diagnose.typed import NotAnAnswer
from diagnose.unsure import DOUBT, told
from diagnose.volunteer import Offer
from diagnose.walk import TICKED, Overtaken, View, Walk
from tui.lines import answers_so_far, news_text
from tui.screen.picker import Picker
from tui.screen.reading import ReadingScreen
from tui.screen.volunteer import VolunteerScreen
from tui.screen.walk_pages import WalkPages

SAME_KEY_AGAIN: Final = 0.4
"""Seconds in which the same answer key counts once: a gloved finger bounces for 0.1 to 0.2 s, and nobody
reads the next question in less than half a second."""
STILL_UNREAD: Final = 2.0
"""Seconds in which a better question may take the place of one on the screen: later it has been read out."""
LOOKS_FOR_NEWS: Final = 2.0
"""Seconds between two looks for what somebody else has answered on the same callout."""
TRIP_EVERY: Final = 5.0
"""Seconds between two looks at the clock for the minutes to the trip."""


class WalkScreen(WalkPages):
    """Asks, takes answers, shows what they mean."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"answer('{n}')", f"answer {n}", id=f"answer_{n}", show=False) for n in range(10)),
        *(Binding(key, f"answer('{key}')", f"answer {key}", id=f"answer_{key}", show=False) for key in "jkl"),
        Binding("enter", "take_marked", "take the marked answer", id="take_marked"),
        Binding("up", "mark(-1)", "mark the answer above", id="mark_up"),
        Binding("down", "mark(1)", "mark the answer below", id="mark_down"),
        Binding("space,x", "tick", "tick the next step", id="tick"),
        Binding("pagedown", "page(1)", "scroll the question down", id="page_down"),
        Binding("pageup", "page(-1)", "scroll the question up", id="page_up"),
        Binding("u", "undo", "take the last answer back", id="undo"),
        Binding("c", "change", "change an earlier answer", id="change"),
        Binding("r", "reading", "type a reading", id="reading"),
        Binding("n", "doubt", "not sure", id="doubt"),
        Binding("v", "view", "what it looks like", id="view"),
        Binding("slash", "volunteer", "what was just said", id="volunteer"),
        Binding("p", "hand_over", "write the hand-over page", id="hand_over"),
        Binding("f", "faults", "the likely faults, and a page for each", id="faults"),
        Binding("w", "why", "why this", id="why"),
        Binding("o", "job", "the whole job", id="job"),
        Binding("g", "pictures", "timeline and graphs", id="pictures"),
        Binding("s", "save_text", "the callout in short, as a text file", id="save_text"),
        Binding("y", "prove", "prove now what was put right and not proved", id="prove"),
        Binding("t", "theme", "sunlight, dark, own colours", id="theme"),
        Binding("question_mark", "help", "help", id="help"),
        Binding("q", "leave", "leave", id="leave"),
    ]

    class Thought(Message):
        """The next view is worked out."""

        def __init__(self, view: View) -> None:
            super().__init__()
            self.view = view

    class Better(Message):
        """Looking further ahead has found a better step."""

        def __init__(self, view: View, instead_of: View) -> None:
            super().__init__()
            self.view = view
            self.instead_of = instead_of

    class News(Message):
        """Somebody else has answered."""

        def __init__(self, seen: Seen) -> None:
            super().__init__()
            self.seen = seen

    def __init__(
        self,
        walk: Walk,
        record: str,
        note: str = "",
        monotonic: Callable[[], float] = time.monotonic,
        ahead: bool = True,
    ) -> None:
        super().__init__(walk, record, monotonic)
        self._ahead = ahead
        self._shown_at = float("-inf")
        self.message = note
        self._last_key = ("", float("-inf"))

    def on_mount(self) -> None:
        """Ask the first question."""
        self.call_after_refresh(self._think)
        self.set_interval(LOOKS_FOR_NEWS, self._look_for_news)
        self.set_interval(TRIP_EVERY, self._draw_trip)

    @work(thread=True, exclusive=True)
    def _think(self) -> None:
        """Work the next view out, off the thread that answers keys."""
        # A message, for it waits on nobody: the person may leave while this is being worked out.
        self.post_message(self.Thought(self.walk.view()))

    def on_walk_screen_thought(self, event: Thought) -> None:
        """Show the next view."""
        self.shown = event.view
        self.marked = 0
        self.unsure = False
        self.busy = False
        self.working = ""
        self._shown_at = self._monotonic()
        self._draw_anew()
        if self._ahead and event.view.advice:
            self._look_ahead(event.view)
        pending, self._pending = self._pending, None
        if pending:
            pending()

    def _draw_trip(self) -> None:
        """Show the minutes to the trip, where there are any to count."""
        if not self.busy and self.walk.trip():
            self.draw()

    def _draw_anew(self) -> None:
        self.query_one("#question").scroll_home(animate=False)
        self.draw()
        self.call_after_refresh(self.draw_rule)

    @work(thread=True, exclusive=True, group="ahead")
    def _look_ahead(self, view: View) -> None:
        """Look for a better step beside the thread that answers keys."""
        better = self.walk.looked_ahead()
        if better:
            self.post_message(self.Better(better, view))

    def on_walk_screen_better(self, event: Better) -> None:
        """Show the better step, if nobody can have read or touched the first one yet."""
        touched = self.busy or self.marked or self.unsure or not self.is_current
        late = self._monotonic() - self._shown_at > STILL_UNREAD
        if touched or late or not self.walk.show(event.view, event.instead_of):
            return
        self.shown = event.view
        self.message = f" {self.texts.message.better}"
        # A key that was meant for the first question must not answer this one.
        self._dialog_shut = self._monotonic()
        self._draw_anew()

    @work(thread=True, exclusive=True, group="news")
    def _look_for_news(self) -> None:
        """See whether somebody else has answered, off the thread that answers keys."""
        with suppress(OSError):  # an answer that cannot be saved will tell of it
            seen = self.walk.news()
            if seen:
                self.post_message(self.News(seen))

    def on_walk_screen_news(self, event: News) -> None:
        """Go on from where somebody else has brought the callout to; under a dialog it waits."""
        if self.busy or not self.takes_news():
            return
        try:
            new = self.walk.take_in(event.seen)
        except BadEvent as error:
            self._tell(self.texts.message.other_book.format(trouble=error))
            return
        if new:
            self._moved_by_others(news_text(self.walk, new))

    def takes_news(self) -> bool:
        """Whether nothing lies over the page that somebody else's answer would pull away."""
        return self.is_current

    def _moved_by_others(self, message: str) -> None:
        """Show the question that somebody else's answer has led to."""
        # A key that was meant for the question before must not answer this one.
        self._dialog_shut = self._monotonic()
        self.busy = True
        self._tell(message)
        self._think()

    def _save(self, act: Callable[[], object]) -> str:
        """Change the walk; returns what went wrong, or an empty text."""
        try:
            act()
        except NotAnAnswer as error:
            return str(error)
        except BadEvent as error:
            return self.texts.message.other_book.format(trouble=error)
        except OSError as error:
            return self.texts.message.not_saved.format(trouble=error.strerror)
        return ""

    def _do(self, act: Callable[[], object]) -> str:
        """Change the walk and show what follows; returns what went wrong, or an empty text."""
        try:
            if message := self._save(act):
                return message
        except Overtaken as error:
            self._moved_by_others(news_text(self.walk, error.events, mine_lost=True))
            return ""
        self.busy = True
        self.working = self.texts.page.working
        self._tell("")
        self._think()
        return ""

    def _try(self, act: Callable[[], object]) -> None:
        message = self._do(act)
        if message:
            self._tell(message)

    def _deaf(self, key: str) -> bool:
        """Whether an answer key must not count now."""
        now = self._monotonic()
        again = key == self._last_key[0] and now - self._last_key[1] < SAME_KEY_AGAIN
        self._last_key = (key, now)
        return again or now - self._dialog_shut < SAME_KEY_AGAIN or self.busy or self.room.too_small

    def _doubted(self, answer: str) -> str:
        """The answer as it is typed, with its doubt."""
        text, sure = told(answer)
        return text if sure and not self.unsure else text + DOUBT

    def action_answer(self, key: str) -> None:
        """Give the answer with that number."""
        if self._deaf(key) or self.shown is None or self.shown.step is None:
            return
        keys = [choice.key for choice in self.shown.step.choices]
        if key not in keys:
            self._tell(self.texts.message.no_answer.format(key=key))
            return
        self.marked = keys.index(key)
        self._try(lambda: self.walk.answer(self._doubted(key)))

    def action_take_marked(self) -> None:
        """Give the marked answer."""
        if self.shown is None:
            return
        if self.shown.step is None:
            self.action_leave()
        elif not self._deaf("enter"):
            choice = self.shown.step.choices[self.marked]
            self._try(lambda: self.walk.answer(self._doubted(choice.answer)))

    def action_mark(self, by: int) -> None:
        """Move the mark."""
        if self.busy or self.shown is None or self.shown.step is None:
            return
        self.marked = (self.marked + by) % len(self.shown.step.choices)
        self.draw()

    def action_page(self, by: int) -> None:
        """Scroll the question."""
        box = self.query_one("#question")
        box.scroll_relative(y=by * max(1, self.room.question - 1), animate=False, immediate=True)
        self.call_after_refresh(self.draw_rule)

    def action_tick(self) -> None:
        """Tick the next step of the page; where there are none, scroll."""
        if self.busy or self.shown is None or self.room.too_small:
            return
        if self.shown.step is None or self.shown.step.kind not in TICKED or not self.shown.step.steps:
            self.action_page(1)
            return
        try:
            message = self._save(self.walk.tick)
        except Overtaken as error:
            self._moved_by_others(news_text(self.walk, error.events, mine_lost=True))
            return
        # A tick works nothing out anew, so this is there at once.
        self.shown = self.walk.view()
        self._tell(message)

    def action_undo(self) -> None:
        """Take the last answer back."""
        if self.busy or self.room.too_small:
            return

        def undo() -> None:
            if not self.walk.undo():
                raise NotAnAnswer(self.texts.message.nothing_before)

        self._try(undo)

    def action_change(self) -> None:
        """Pick an earlier answer to change."""
        if self.busy or self.shown is None or self.shown.step is None or self.room.too_small:
            return
        given = answers_so_far(self.walk)
        if not given:
            self._tell(self.texts.message.no_findings)
            return

        def chosen(number: int | None) -> None:
            self._dialog_closed()
            if number is not None:
                self._try(lambda: self.walk.ask(given[number].id))

        rows = [f"{item.question} {item.answer}" for item in given]
        self.app.push_screen(
            Picker(self.texts.dialog.which_change, rows, foot=self.texts.foot.picker), chosen
        )

    def action_reading(self) -> None:
        """Type a reading."""
        if self.busy or self.shown is None or self.shown.step is None or self.room.too_small:
            return
        step = self.shown.step
        if not step.reading:
            self._tell(self.texts.message.no_reading)
            return

        def attempt(text: str) -> str:
            return self._do(lambda: self.walk.answer(self._doubted(text)))

        self.app.push_screen(ReadingScreen(step, attempt, self.unsure, self.language), self._dialog_closed)

    def action_doubt(self) -> None:
        """Take the next answer as not sure, or as sure again."""
        if self.busy or self.shown is None or self.shown.step is None or self.room.too_small:
            return
        if self.shown.step.kind == "check":
            self.unsure = not self.unsure
            self._tell("")
        else:
            self._tell(self.texts.message.cannot_doubt)

    def action_volunteer(self) -> None:
        """Type what was just said, and take the finding."""
        if self.busy or self.shown is None or self.shown.step is None or self.room.too_small:
            return

        def chosen(picked: tuple[Offer, bool] | None) -> None:
            self._dialog_closed()
            if picked is not None:
                offer, sure = picked
                self._try(lambda: self.walk.volunteer(offer.question, offer.answer, sure))

        self.app.push_screen(VolunteerScreen(self.walk.offers, self.unsure, self.texts), chosen)

    def action_prove(self) -> None:
        """Ask for the proof of what ended without one."""
        if not self.busy and self.shown and self.shown.step is None:
            self._try(self.walk.prove_now)

    def action_leave(self) -> None:
        """Leave; everything is saved."""
        self.app.exit(None)
