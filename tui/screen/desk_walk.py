"""A callout of the desk on the screen: the page of a walk, with what the phone asks for."""

import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.widgets import Input

from diagnose.message import messages_of
from diagnose.phone import PhoneLines, phone_lines
from diagnose.steps import Choice, Step
from diagnose.walk import Walk
from diagnose.walk_view import View
from knowledge.problems import InputProblems
from tui.desk import Desk, Place
from tui.desk_message import message_file, write_message
from tui.desk_text import DeskWords, desk_words
from tui.screen.desk_dialogs import MessageScreen, PhoneScreen
from tui.screen.page import answer_lines, foot_line, head_line, to_text
from tui.screen.walk_screen import WalkScreen
from tui.screen.wrap import cut, wrap
from tui.text import clean

if TYPE_CHECKING:
    from tui.screen.desk_app import DeskApp

SHARE_OF_ANSWERS = 0.45
"""Part of the window's rows that the answers may take with the words that callers use for them."""


class DeskWalkScreen(WalkScreen):
    """One callout; leaving it goes back to the list, and nothing of it is lost."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("d", "leave", "the list of callouts; nothing typed is lost", id="desk"),
        Binding("h", "sounds", "what to say if they hesitate, and how each answer may sound", id="sounds"),
        Binding("m", "message", "the question as a text message: shown, copied, and in a file", id="message"),
        Binding("e", "speak", "speak Spanish or English to the callers", id="speak"),
    ]
    app: "DeskApp"

    def __init__(
        self,
        desk: Desk,
        place: Place,
        walk: Walk,
        folder: Path,
        monotonic: Callable[[], float] = time.monotonic,
        ahead: bool = True,
    ) -> None:
        """``folder``: where messages are written."""
        record = f"{desk.history.name}, callout {place.overview.name}"
        super().__init__(walk, record, monotonic=monotonic, ahead=ahead)
        self.desk, self.place = desk, place
        self._folder = folder

    @property
    def words(self) -> DeskWords:
        """The desk's words in the language that is spoken."""
        return desk_words(self.desk.language)

    def on_walk_work_thought(self, event: WalkScreen.Thought) -> None:
        """A view that was worked out before the language changed is said in the new one."""
        event.view = self.walk.view()

    def takes_news(self) -> bool:
        """Also while the list or another callout is shown, which tell of it then; not under a dialog."""
        return self.app.get_screen_stack(f"callout {self.place.number}")[-1] is self

    def on_screen_resume(self) -> None:
        """The key that brought the callout back, bouncing, answers nothing."""
        self._dialog_closed()

    def draw(self) -> None:
        """Put the present view on the screen, and let the list know of it."""
        super().draw()
        if self.shown is None or not self.is_mounted:
            return
        if self.place.view is not self.shown:
            self.place.view = self.shown
            self.app.list_screen.draw()
        width = self.size.width
        caller = f", {self.place.overview.caller}" if self.place.overview.caller else ""
        front = cut(f" {self.place.number}{clean(caller)}:", max(4, width // 3))
        head = front + head_line(self.walk, self.shown, width - len(front)).plain
        self._put("head", to_text([(head, "")]))

    def question(self, view: View, width: int) -> tuple[list[tuple[str, str]], int]:
        """The page with what to say to one who hesitates behind the line to say."""
        lines, must = super().question(view, width)
        if view.step is None:
            return lines, must
        hesitates = f"{self.words.hesitates}: {clean(self._phone(view.step).hesitates)}"
        added = [(row, "") for row in wrap(hesitates, width)]
        asked = view.step.kind in ("check", "triage", "complaint")
        place = len(wrap(view.step.say, width)) if asked else must
        return [*lines[:place], *added, *lines[place:]], must + len(added)

    def answers(self, choices: Sequence[Choice], width: int) -> tuple[list[tuple[str, str]], int, int]:
        """The answers, each with how it may sound where there is room for that."""
        plain = answer_lines(choices, self.marked, width, self.unsure)
        step = self.shown.step if self.shown else None
        if step is None:
            return plain
        sounds = self._phone(step).sounds
        said = [
            Choice(choice.key, choice.answer, _with_words(choice.label, sounds.get(choice.answer, "")))
            for choice in choices
        ]
        full = answer_lines(said, self.marked, width, self.unsure)
        return full if len(full[0]) <= self.size.height * SHARE_OF_ANSWERS else plain

    def foot(self, view: View, width: int) -> str:
        """The keys of the page, and those of the desk behind them as far as there is room."""
        own = self.words.foot_walk.split("|")
        while len(own) > 1 and len("  ".join(own)) > width // 2:
            own.pop()
        mine = "  ".join(own)
        return foot_line(view, max(1, width - len(mine) - 2), self.unsure, self.language) + f"  {mine}"

    def _phone(self, step: Step) -> PhoneLines:
        return phone_lines(self.desk.book, step, self.desk.language)

    def half_typed(self) -> str:
        """What is typed on the line of a reading and not yet taken."""
        for screen in self.app.get_screen_stack(f"callout {self.place.number}")[1:]:
            for line in screen.query(Input):
                return line.value
        return ""

    def said_anew(self) -> None:
        """Say what is shown in the language that is spoken now."""
        if self.shown and not self.busy:
            self.shown = self.walk.view()
            self._tell(self.words.now_speaking)

    def action_speak(self) -> None:
        """Speak the other language, in every callout."""
        self.app.action_speak()

    def action_sounds(self) -> None:
        """Show what to say to one who hesitates, and how each answer may sound."""
        step = self.shown.step if self.shown else None
        if self.busy or step is None or self.room.too_small:
            return

        def heard(key: str | None) -> None:
            self._dialog_closed()
            if key is not None:
                self._give(self._doubted(key))

        self.app.push_screen(PhoneScreen(self.words, step, self._phone(step)), heard)

    def action_message(self) -> None:
        """Show the question as a text message, copy it and write it to a file."""
        step = self.shown.step if self.shown else None
        if self.busy or step is None or self.room.too_small:
            self._tell(self.words.message_none)
            return
        parts = messages_of(self.desk.book, step, self.desk.language)
        file: Path | None = message_file(self._folder, self.place.overview.name)
        trouble = ""
        try:
            write_message(message_file(self._folder, self.place.overview.name), parts)
        except InputProblems as error:
            file, trouble = None, "; ".join(problem.what for problem in error.problems)
        self.app.push_screen(MessageScreen(self.words, parts, file, trouble), lambda _: self._dialog_closed())

    def action_leave(self) -> None:
        """Go to the list; the callout stays as it is."""
        self.app.action_list()


def _with_words(label: str, said: str) -> str:
    return f"{label} “{said}”" if said else label
