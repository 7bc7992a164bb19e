"""A help card over the whole screen."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from knowledge.schema_card import Card
from tui.card_lines import names_text, sentences, words_in
from tui.screen.bar import Bar
from tui.screen.help import FOOT
from tui.screen.page import STRONG, to_text
from tui.screen.wrap import cut, wrap


class CardScreen(ModalScreen[None]):
    """What a thing looks like: its drawing, the names of its parts, and what is said of it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("v,escape,q,enter", "back", "go back", id="card_back"),
        Binding("pagedown,down,space", "page(1)", "scroll down", id="card_down"),
        Binding("pageup,up", "page(-1)", "scroll up", id="card_up"),
    ]

    def __init__(self, card: Card, language: str) -> None:
        super().__init__()
        self._card, self._language = card, language

    def compose(self) -> ComposeResult:
        """The title, the card, the keys."""
        yield Bar(id="head", markup=False)
        with VerticalScroll(classes="scroll", can_focus=False):
            yield Static(id="text", markup=False)
        yield Bar(id="foot", markup=False)

    def on_resize(self) -> None:
        """Fit the card to the new size."""
        width = max(1, self.size.width - 2)
        self.query_one("#head", Static).update(cut(f" {self._card.title}", self.size.width))
        self.query_one("#text", Static).update(to_text(card_lines(self._card, self._language, width)))
        self.query_one("#foot", Static).update(cut(FOOT, self.size.width))

    def action_page(self, by: int) -> None:
        """Scroll."""
        box = self.query_one(".scroll")
        box.scroll_relative(y=by * max(1, box.size.height - 1), animate=False, immediate=True)

    def action_back(self) -> None:
        """Close the card."""
        self.dismiss(None)


def card_lines(card: Card, language: str, width: int) -> list[tuple[str, str]]:
    """The lines of a card with their style; a drawing that the width cannot hold whole is left out."""
    lines: list[tuple[str, str]] = []
    if card.rows and max(map(len, card.rows)) <= width:
        lines += [(row, "") for row in card.rows]
        lines += [(line, STRONG) for line in wrap(names_text(card), width)]
    elif card.rows:
        lines += [(line, "") for line in wrap(words_in(language).too_narrow, width)]
    for label, text in sentences(card, language):
        lines += [(line, "") for line in wrap(f"{label}: {text}", width)]
    return lines
