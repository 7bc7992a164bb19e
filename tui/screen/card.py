"""A help card over the whole screen."""

from typing import ClassVar

from textual.binding import Binding, BindingType

from knowledge.schema_card import Card
from tui.card_lines import names_text, sentences, words_in
from tui.screen.page import STRONG
from tui.screen.scrolled import ScrolledPage
from tui.screen.wrap import wrap
from tui.texts import texts_in


class CardScreen(ScrolledPage[None]):
    """What a thing looks like: its drawing, the names of its parts, and what is said of it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("v", "back", "go back", id="card_back", show=False)]

    def __init__(self, card: Card, language: str) -> None:
        super().__init__(card.title, texts_in(language).foot.help_page)
        self._card, self._language = card, language

    def rows(self, width: int) -> list[tuple[str, str]]:
        """The card."""
        return card_lines(self._card, self._language, width)


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
