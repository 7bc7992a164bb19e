"""The pages that open over the desk: a line to type, a message, and a question as it goes over the phone."""

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from diagnose.phone import PhoneLines
from diagnose.steps import Step
from tui.desk_lines import sound_lines
from tui.desk_text import DeskWords, filled
from tui.screen.page import STRONG
from tui.screen.scrolled import ScrolledPage
from tui.screen.wrap import wrap
from tui.text import clean


class LineScreen(ModalScreen[str | None]):
    """Gives the line that was typed, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "go back", id="line_back")]

    def __init__(self, title: str, how: str) -> None:
        super().__init__()
        self._title, self._how = title, how

    def compose(self) -> ComposeResult:
        """What is asked, how to type it, the line."""
        yield Static(clean(self._title), classes="title", markup=False)
        yield Static(clean(self._how), classes="words", markup=False)
        yield Input(id="typed")

    def on_mount(self) -> None:
        """The line waits for typing."""
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the line."""
        self.dismiss(clean(event.value).strip())

    def action_back(self) -> None:
        """Type nothing."""
        self.dismiss(None)


class MessageScreen(ScrolledPage[str | None]):
    """A message, which is on the clipboard where the terminal lets it, and in a file in any case."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"copy({n})", f"copy part {n}", id=f"copy_{n}", show=False) for n in range(1, 10)),
    ]

    def __init__(self, words: DeskWords, parts: Sequence[str], file: Path | None, trouble: str = "") -> None:
        """``trouble``: why there is no file."""
        super().__init__(words.message_title, words.message_foot)
        self._words, self._parts, self._file, self._trouble = words, parts, file, trouble

    def on_mount(self) -> None:
        """Copy all of it."""
        self.app.copy_to_clipboard("\n\n".join(self._parts))

    def rows(self, width: int) -> list[tuple[str, str]]:
        """The parts, then where they are."""
        rows: list[tuple[str, str]] = []
        for part in self._parts:
            rows += [(row, STRONG) for line in part.split("\n") for row in wrap(clean(line), width)]
            rows.append(("", ""))
        about = [filled(self._words.message_parts, count=len(self._parts))] if len(self._parts) > 1 else []
        about.append(f"! {self._trouble}" if self._trouble else "")
        about.append(filled(self._words.message_file, file=self._file) if self._file else "")
        about.append(self._words.message_copied)
        return rows + [(row, "") for line in filter(None, about) for row in wrap(line, width)]

    def action_copy(self, number: int) -> None:
        """Copy one part."""
        if number <= len(self._parts):
            self.app.copy_to_clipboard(self._parts[number - 1])


class PhoneScreen(ScrolledPage[str | None]):
    """Gives the key of an answer that was heard, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, f"hear('{key}')", f"answer {key}", show=False) for key in "0123456789jkl"),
        Binding("h", "back", "go back", id="phone_back", show=False),
    ]

    def __init__(self, words: DeskWords, step: Step, lines: PhoneLines) -> None:
        super().__init__(words.phone_title, words.phone_foot)
        self._words, self._step, self._lines = words, step, lines

    def rows(self, width: int) -> list[tuple[str, str]]:
        """The cautions, what to say, what to say then, and each answer as it may sound."""
        first = [f"! {self._words.read_first}: {clean(text)}" for text in self._step.cautions]
        say = f"{self._words.say}: {clean(self._lines.say)}"
        rows = [(row, STRONG) for line in (*first, say) for row in wrap(line, width)]
        hesitates = f"{self._words.hesitates}: {clean(self._lines.hesitates)}"
        rows += [("", ""), *((row, "") for row in wrap(hesitates, width)), ("", "")]
        for key, answer, said in sound_lines(self._step, self._lines):
            rows += [(row, STRONG) for row in wrap(answer, width, f"{key}  ")]
            rows += [(row, "") for row in wrap(said, width, "   ")] if said else []
        return rows

    def action_hear(self, key: str) -> None:
        """Take an answer."""
        if any(choice.key == key for choice in self._step.choices):
            self.dismiss(key)
