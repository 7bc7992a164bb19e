"""What a walk does beside the keys: saving, working out what is next, looking for others' answers."""

import time
from collections.abc import Callable
from contextlib import suppress
from typing import Final

from textual import work
from textual.message import Message

from diagnose.callout import BadEvent
from diagnose.history.record import Seen
from diagnose.typed import NotAnAnswer
from diagnose.walk import Walk
from diagnose.walk_view import Overtaken, View
from tui.lines import news_text
from tui.screen.walk_pages import WalkPages

STILL_UNREAD: Final = 2.0
"""Seconds in which a better question may take the place of one on the screen: later it has been read out."""
LOOKS_FOR_NEWS: Final = 2.0
"""Seconds between two looks for what somebody else has answered on the same callout."""
TRIP_EVERY: Final = 5.0
"""Seconds between two looks at the clock for the minutes to the trip."""


class WalkWork(WalkPages):
    """Changes the walk in a thread and shows what comes of it: no key waits for disk or arithmetic."""

    class Thought(Message):
        """Everything is saved, and the next view is worked out."""

        def __init__(self, view: View, changed: str = "", same_page: bool = False) -> None:
            """``changed``: what to tell when somebody else has led here; ``same_page``: steps were ticked."""
            super().__init__()
            self.view = view
            self.changed = changed
            self.same_page = same_page

    class Refused(Message):
        """Nothing was changed, and why."""

        def __init__(self, why: str) -> None:
            super().__init__()
            self.why = why

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
        self._changed_at = float("-inf")
        """When another question came that no key had asked for."""
        self.message = note

    def on_mount(self) -> None:
        """Ask the first question."""
        self.call_after_refresh(self._think)
        self.set_interval(LOOKS_FOR_NEWS, self._look_for_news)
        self.set_interval(TRIP_EVERY, self._draw_trip)

    def _change(self, act: Callable[[], object], same_page: bool = False) -> None:
        """Change the walk, off the thread that answers keys, and show what follows once it is saved."""
        self.busy = True
        self.working = "" if same_page else self.texts.page.working
        self._tell("")
        self._think(act, same_page=same_page)

    @work(thread=True, exclusive=True)
    def _think(
        self, act: Callable[[], object] | None = None, changed: str = "", same_page: bool = False
    ) -> None:
        # Messages, for they wait on nobody: the person may leave while this is being worked out.
        texts = self.texts.message
        try:
            if act:
                act()
        except Overtaken as error:
            changed, same_page = news_text(self.walk, error.events, mine_lost=True), False
        except NotAnAnswer as error:
            self.post_message(self.Refused(str(error)))
            return
        except BadEvent as error:
            self.post_message(self.Refused(texts.other_book.format(trouble=error)))
            return
        except OSError as error:
            self.post_message(self.Refused(texts.not_saved.format(trouble=error.strerror)))
            return
        self.post_message(self.Thought(self.walk.view(), changed, same_page))
        # The first search puts all findings in order: done here, no letter that is typed waits for it.
        self.walk.offers("")

    def on_walk_work_thought(self, event: Thought) -> None:
        """Show the next view."""
        self.shown = event.view
        self.busy = False
        self.working = ""
        if event.same_page:
            self._tell("")
            return
        self.marked = 0
        self.unsure = False
        self._shown_at = self._monotonic()
        if event.changed:
            # A key that was meant for the question before must not answer this one.
            self._changed_at = self._shown_at
            self.message = f" {event.changed}"
        self._draw_anew()
        if self._ahead and event.view.advice:
            self._look_ahead(event.view)
        pending, self._pending = self._pending, None
        if pending:
            pending()

    def on_walk_work_refused(self, event: Refused) -> None:
        """Say why, on the page that stands."""
        self.busy = False
        self.working = ""
        self._tell(event.why)

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

    def on_walk_work_better(self, event: Better) -> None:
        """Show the better step, if nobody can have read or touched the first one yet."""
        touched = self.busy or self.marked or self.unsure or not self.is_current
        late = self._monotonic() - self._shown_at > STILL_UNREAD
        if touched or late or not self.walk.show(event.view, event.instead_of):
            return
        self.shown = event.view
        self.message = f" {self.texts.message.better}"
        # A key that was meant for the first question must not answer this one.
        self._changed_at = self._monotonic()
        self._draw_anew()

    @work(thread=True, exclusive=True, group="news")
    def _look_for_news(self) -> None:
        """See whether somebody else has answered, off the thread that answers keys."""
        with suppress(OSError):  # an answer that cannot be saved will tell of it
            seen = self.walk.news()
            if seen:
                self.post_message(self.News(seen))

    def on_walk_work_news(self, event: News) -> None:
        """Go on from where somebody else has brought the callout to; under a dialog it waits."""
        if self.busy or not self.takes_news():
            return
        try:
            new = self.walk.take_in(event.seen)
        except BadEvent as error:
            self._tell(self.texts.message.other_book.format(trouble=error))
            return
        if new:
            self.busy = True
            told = news_text(self.walk, new)
            self._changed_at = self._monotonic()
            self._tell(told)
            self._think(changed=told)

    def takes_news(self) -> bool:
        """Whether nothing lies over the page that somebody else's answer would pull away."""
        return self.is_current
