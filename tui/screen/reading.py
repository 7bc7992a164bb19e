"""The line on which a reading is typed."""

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from diagnose.own_words import said
from diagnose.steps import Step
from diagnose.unsure import told
from tui.text import clean
from tui.texts import texts_in


class ReadingScreen(ModalScreen[None]):
    """Takes a reading; a bad one is told of, stays on the line and can be mended."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "back", "go back", id="reading_back")]

    def __init__(
        self, step: Step, attempt: Callable[[str], str], unsure: bool = False, language: str = "en"
    ) -> None:
        """``attempt`` takes the text, and returns what is wrong with it or an empty text.

        ``unsure``: say that it will be taken as not sure.
        """
        super().__init__()
        self._step = step
        self._unsure = unsure
        self._attempt = attempt
        self._texts = texts_in(language).dialog
        self._how = step.reading.removeprefix(said(language, " or ").lstrip())

    def compose(self) -> ComposeResult:
        """The question, how to type it, the line."""
        yield Static(clean(self._step.heading), classes="title", markup=False)
        doubt = f"{self._texts.doubt} " if self._unsure else ""
        words = doubt + self._texts.type_reading.format(how=clean(self._how))
        yield Static(words, classes="words", markup=False)
        yield Input(id="typed")
        yield Static(id="wrong", classes="title", markup=False)

    def on_mount(self) -> None:
        """The line waits for typing."""
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Try what was typed."""
        number, _ = told(event.value)
        if number.isdigit() and any(number == choice.key for choice in self._step.choices):
            # A bare digit would be taken for the answer of that number.
            wrong = self._texts.no_unit.format(typed=repr(number), how=self._how)
        else:
            wrong = self._attempt(event.value)
        if wrong:
            self.query_one("#wrong", Static).update(f"! {clean(wrong)}")
        else:
            self.dismiss(None)

    def action_back(self) -> None:
        """Type no reading."""
        self.dismiss(None)
