"""The screen of a drill: its keys."""

import time
from collections.abc import Callable
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.events import Key
from textual.message import Message

from diagnose.trial.drill import Drill, Page, Refused
from diagnose.trial.drill_outcome import Outcome, outcome
from diagnose.volunteer import Offer
from tui.drill_lines import (
    ABOUT,
    COMPARING,
    FAULT,
    LIST,
    MENU,
    NO_CHECK,
    NO_FAULT,
    SCREEN_KEYS,
    SEARCH,
    SURE,
    TYPE_CHECK,
    TYPE_FAULT,
    WHICH_CHECK,
    WHICH_FAULT,
    WHICH_SECTION,
    WORKING,
    YES_NO,
)
from tui.screen.drill_dialogs import SearchScreen
from tui.screen.drill_look import DrillLook
from tui.screen.drill_page import choices_of
from tui.screen.help import HelpScreen
from tui.screen.picker import Picker
from tui.screen.plate import Plate
from tui.screen.walk_screen import SAME_KEY_AGAIN


class DrillScreen(DrillLook):
    """Shows a drill's page, and hands the drill what is chosen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"choose('{n}')", f"choose {n}", id=f"drill_{n}", show=False) for n in range(10)),
        Binding("enter", "take_marked", "choose the marked line", id="drill_take"),
        Binding("up", "mark(-1)", "mark the line above", id="drill_up"),
        Binding("down", "mark(1)", "mark the line below", id="drill_down"),
        Binding("pagedown,space", "page(1)", "scroll down", id="drill_page_down"),
        Binding("pageup", "page(-1)", "scroll up", id="drill_page_up"),
        Binding("question_mark", "help", "help", id="drill_help"),
        Binding("q", "leave", "leave", id="drill_leave"),
    ]

    class Done(Message):
        """What was chosen is worked out; ``wrong`` says why nothing was done."""

        def __init__(self, page: Page, came: Outcome | None, wrong: str) -> None:
            super().__init__()
            self.page, self.came, self.wrong = page, came, wrong

    class Ended(Message):
        """It has ended, and the tool's own walk is still to be worked out."""

    def __init__(self, drill: Drill, monotonic: Callable[[], float] = time.monotonic) -> None:
        super().__init__(drill)
        self.busy = False
        self._monotonic = monotonic
        self._last_key = ("", float("-inf"))
        self._dialog_shut = float("-inf")

    def on_mount(self) -> None:
        """Show the first page."""
        self.call_after_refresh(lambda: self._do(lambda: None))

    def _do(self, act: Callable[[], None]) -> None:
        """Change the drill off the thread that answers keys, and show what follows."""
        self.busy = True
        self._tell(WORKING)
        self._work(act)

    @work(thread=True, exclusive=True)
    def _work(self, act: Callable[[], None]) -> None:
        wrong = ""
        try:
            act()
        except Refused as error:
            wrong = str(error)
        page, came = self.drill.page(), self.came
        if page.state.ended and not came:
            self.post_message(self.Ended())
            came = outcome(self.drill)
        self.post_message(self.Done(page, came, wrong))

    def on_drill_screen_ended(self) -> None:
        """Say what takes so long."""
        self._tell(COMPARING)

    def on_drill_screen_done(self, event: Done) -> None:
        """Show the next page."""
        if event.page is not self.shown:
            self.marked = 0
            self.query_one("#question").scroll_home(animate=False)
        self.shown, self.came, self.busy = event.page, event.came, False
        self._tell(event.wrong)
        self.call_after_refresh(self.draw_rule)

    def _tell(self, message: str) -> None:
        self.message = f" {message}" if message else ""
        self.draw()

    def _deaf(self, key: str) -> bool:
        """Whether a key must not count now: a finger that bounces chooses nothing on the next page."""
        now = self._monotonic()
        again = key == self._last_key[0] and now - self._last_key[1] < SAME_KEY_AGAIN
        self._last_key = (key, now)
        bounced = again or now - self._dialog_shut < SAME_KEY_AGAIN
        return bounced or self.busy or self.too_small() or not self.is_current

    def action_choose(self, key: str) -> None:
        """Choose the line with that digit."""
        if self.shown is None or self._deaf(key):
            return
        if self.shown.step is None and not self.shown.state.ended and key in dict(MENU):
            self._menu(key)
        else:
            self._do(lambda: self.drill.answer(key))

    def action_take_marked(self) -> None:
        """Choose the marked line; at the end, leave."""
        if self.shown is not None and self.shown.state.ended and not self.busy:
            self.action_leave()
        elif self.shown is not None and (choices := choices_of(self.shown)):
            self.action_choose(choices[self.marked].key)

    def action_mark(self, by: int) -> None:
        """Move the mark."""
        count = len(choices_of(self.shown)) if self.shown and not self.busy else 0
        if count:
            self.marked = (self.marked + by) % count
            self.draw()

    def action_page(self, by: int) -> None:
        """Scroll the page."""
        box = self.query_one("#question")
        box.scroll_relative(y=by * max(1, box.size.height - 1), animate=False, immediate=True)
        self.call_after_refresh(self.draw_rule)

    def on_key(self, event: Key) -> None:
        """A letter begins a search, and those typed before it is on the screen go on its line."""
        letter = event.character or ""
        choosing = self.shown is not None and self.shown.step is None and not self.shown.state.ended
        if not letter.isalpha() or letter == "q" or not choosing or self.busy or self.too_small():
            return
        event.stop()
        top = self.app.screen
        if isinstance(top, SearchScreen):
            top.add(letter)
        elif top is self:
            self._search(letter)

    def _menu(self, key: str) -> None:
        if key == SEARCH:
            self._search("")
        elif key == LIST:
            self._list()
        elif key == FAULT:
            dialog = SearchScreen(WHICH_FAULT, self.drill.find_fault, TYPE_FAULT, NO_FAULT)
            self.app.push_screen(dialog, self._searched(self.drill.name))
        else:
            self._ask(Picker(SURE, YES_NO), lambda number: None if number else self._do(self.drill.give_up))

    def _search(self, line: str) -> None:
        dialog = SearchScreen(WHICH_CHECK, self.drill.find_check, TYPE_CHECK, NO_CHECK, line)
        self.app.push_screen(dialog, self._searched(self.drill.look))

    def _searched(self, take: Callable[[str], None]) -> Callable[[tuple[Offer, bool] | None], None]:
        def chosen(picked: tuple[Offer, bool] | None) -> None:
            self._dialog_shut = self._monotonic()
            if picked:
                self._do(lambda: take(picked[0].question))

        return chosen

    def _list(self) -> None:
        places = self.drill.by_section()

        def check_of(place: int) -> None:
            found = places[place][1]
            rows = [item.label for item in found]
            self._ask(Picker(WHICH_CHECK, rows), lambda n: self._do(lambda: self.drill.look(found[n].id)))

        rows = [f"{name} ({len(found)} checks)" for name, found in places]
        self._ask(Picker(WHICH_SECTION, rows), check_of)

    def _ask(self, picker: Picker, then: Callable[[int], None]) -> None:
        def chosen(number: int | None) -> None:
            self._dialog_shut = self._monotonic()
            if number is not None:
                then(number)

        self.app.push_screen(picker, chosen)

    def action_help(self) -> None:
        """Show the help."""
        self.app.push_screen(HelpScreen(SCREEN_KEYS, ABOUT))

    def action_leave(self) -> None:
        """Leave; a drill is not kept."""
        self.app.exit(None)


class DrillApp(Plate):
    """One drill on the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "quit", "leave", show=False, priority=True),
        Binding("f2", "theme", "sunlight or dark", id="drill_theme"),
    ]

    def __init__(self, drill: Drill, monotonic: Callable[[], float] = time.monotonic) -> None:
        super().__init__()
        self.drill_screen = DrillScreen(drill, monotonic)

    def on_mount(self) -> None:
        """Show the drill."""
        self.push_screen(self.drill_screen)

    def action_theme(self) -> None:
        """Change between sunlight and dark."""
        self.theme = "night" if self.theme == "sun" else "sun"


def run_drill(drill: Drill) -> tuple[Outcome | None, int]:
    """Play a drill on the screen; how it ended, None when it was left, and the exit code, 1 after a crash."""
    app = DrillApp(drill)
    app.run()
    return app.drill_screen.came, app.return_code or 0
