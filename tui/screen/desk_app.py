"""The Textual application of the desk: the list, and each callout in a stack of screens of its own."""

import time
from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual import work
from textual.binding import Binding, BindingType
from textual.events import Event, Key
from textual.message import Message

from diagnose.spoken import languages
from knowledge.problems import InputProblems
from tui.desk import Desk, Place
from tui.looks import Looks
from tui.screen.desk_list import DeskList
from tui.screen.desk_walk import DeskWalkScreen
from tui.screen.plate import Plate
from tui.screen.walk_screen import SAME_KEY_AGAIN

LIST = "list"
"""The name of the list's stack of screens."""


def stack_of(number: int) -> str:
    """The name of a callout's stack of screens."""
    return f"callout {number}"


class DeskApp(Plate):
    """The desk. Switching leaves every screen as it is, with whatever is open or half typed on it."""

    DEFAULT_MODE = LIST
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "quit", "leave", show=False, priority=True),
        # The help tells the first one's key for all nine.
        Binding("f1", "callout(1)", "callout 1", id="callout_1", show=False, priority=True),
        *(
            Binding(f"f{n}", f"callout({n})", f"callout {n}", id=f"go_{n}", show=False, priority=True)
            for n in range(2, 10)
        ),
        Binding("tab", "turn", "the list, and back", id="turn", show=False, priority=True),
    ]

    class Opened(Message):
        """A callout is worked out as far as its next question."""

        def __init__(self, place: Place) -> None:
            super().__init__()
            self.place = place

    class Spoken(Message):
        """Another language is spoken."""

    def __init__(
        self,
        desk: Desk,
        folder: Path,
        monotonic: Callable[[], float] = time.monotonic,
        ahead: bool = True,
        sheets: Path | None = None,
        looks: Looks | None = None,
    ) -> None:
        """``folder``: where messages are written; ``sheets``: where unit sheets are looked for."""
        super().__init__(looks)
        self.desk, self.folder, self.sheets = desk, folder, sheets
        self.monotonic, self._ahead = monotonic, ahead
        self.add_mode(LIST, lambda: DeskList(self.desk))
        self.screens: dict[int, DeskWalkScreen] = {}
        self.problems: InputProblems | None = None
        """What is to be mended in the book; the desk has ended then."""
        self.wanted = 0
        """The callout that is to be shown as soon as it is opened; 0 for none."""
        self._looking: set[int] = set()
        """Callouts that are being worked out in a thread of their own, and cannot be answered meanwhile."""
        self._last = 0
        """The callout that was shown last."""
        self._switch = ("", float("-inf"))
        """The key that switched last, and when."""

    def on_mount(self) -> None:
        """Read the book once the frame is there."""
        self.call_after_refresh(self._read_book)

    @work(thread=True, group="book")
    def _read_book(self) -> None:
        """Off the thread that answers keys; a book at fault ends the desk, which then says what to mend."""
        try:
            _ = self.desk.book
        except InputProblems as error:
            self.problems = error
            self.call_from_thread(self.exit)

    async def on_event(self, event: Event) -> None:
        """The key that switched, bouncing, is not typed into what it has brought up."""
        if isinstance(event, Key):
            key, when = self._switch
            if event.key == key and self.monotonic() - when < SAME_KEY_AGAIN:
                return
        await super().on_event(event)

    def action_callout(self, number: int, key: str = "") -> None:
        """Show a callout; one that is not opened yet as soon as it is. ``key``: the one that asked for it."""
        place = self.desk.place(number)
        if place is None:
            self.action_list()
            self.list_screen.tell_no_such(number)
            return
        self._switch = (key or f"f{number}", self.monotonic())
        if number in self.screens and number not in self._looking:
            self.wanted = 0
            self._last = number
            self.switch_mode(stack_of(number))
            return
        self.wanted = number
        self.switch_mode(LIST)
        self.list_screen.tell_opening(number)
        self.open(number)

    def never_shown(self) -> list[int]:
        """The callouts that are opened and whose page was not shown yet."""
        return [number for number, screen in self.screens.items() if not screen.is_mounted]

    def open(self, number: int) -> None:
        """Open a callout, or take in what others did with it, in a thread of its own."""
        screen = self.screens.get(number)
        if number not in self._looking and not (screen and screen.is_mounted):
            self._looking.add(number)
            self._open(number)

    @work(thread=True)
    def _open(self, number: int) -> None:
        self.post_message(self.Opened(self.desk.look(number)))

    def on_desk_app_opened(self, event: Opened) -> None:
        """Give the callout its screen, and show it if that is what is wanted."""
        place = event.place
        self._looking.discard(place.number)
        if place.trouble:
            self.list_screen.tell(f"! {place.trouble}")
        elif place.walk and place.number not in self.screens:
            screen = DeskWalkScreen(self.desk, place, place.walk, self.folder, self.monotonic, self._ahead)
            self.screens[place.number] = screen
            self.add_mode(stack_of(place.number), lambda: screen)
        if self.wanted == place.number:
            self.wanted = 0
            if place.number in self.screens and self.current_mode == LIST:
                self.list_screen.tell("")
                self.action_callout(place.number)
        self.list_screen.draw()

    @property
    def list_screen(self) -> DeskList:
        """The list, whatever lies over it."""
        screen = self.get_screen_stack(LIST)[0]
        assert isinstance(screen, DeskList)
        return screen

    def action_list(self) -> None:
        """Show the list."""
        self._switch = ("", float("-inf"))
        self.switch_mode(LIST)
        self.list_screen.draw()

    def action_turn(self) -> None:
        """From a callout to the list, and from the list back to the callout."""
        if self.current_mode != LIST:
            self.action_list()
        elif self._last:
            self.action_callout(self._last, "tab")

    def action_speak(self) -> None:
        """Speak the next of the book's languages, in every callout."""
        if not self.desk.ready:
            return
        known = languages(self.desk.book)
        here = known.index(self.desk.language) if self.desk.language in known else 0
        self._speak(known[(here + 1) % len(known)])

    @work(thread=True, exclusive=True, group="speak")
    def _speak(self, language: str) -> None:
        """Have the book in the language, off the thread that answers keys."""
        self.desk.speak(language)
        self.post_message(self.Spoken())

    def on_desk_app_spoken(self) -> None:
        """Say everything that is shown in the language."""
        for screen in self.screens.values():
            screen.said_anew()
        self.list_screen.draw()

    def half_typed(self, number: int) -> str:
        """What is half typed in a callout; empty when nothing is."""
        screen = self.screens.get(number)
        return screen.half_typed() if screen and screen.is_mounted else ""


def run_desk(desk: Desk, folder: Path, sheets: Path, looks: Looks, ahead: bool) -> int:
    """Run the desk on the screen; returns the exit code, 1 after a crash.

    Raises `InputProblems` for a book that is at fault.
    """
    app = DeskApp(desk, folder, sheets=sheets, looks=looks, ahead=ahead)
    app.run()
    if app.problems:
        raise app.problems
    if not app.return_code:
        print(f"Everything is saved in {desk.history.name}")
    return app.return_code or 0
