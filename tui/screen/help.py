"""The full-screen help."""

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.help_text import ABOUT, SCREEN_KEYS
from tui.screen.page import STRONG, to_text
from tui.screen.wrap import cut, wrap

FOOT = " Esc goes back   PgUp, PgDn scroll"


class HelpScreen(ModalScreen[None]):
    """What the keys do and what the numbers mean."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,question_mark,enter", "back", "go back", id="help_back"),
        Binding("pagedown,down,space", "page(1)", "scroll down", id="help_down"),
        Binding("pageup,up", "page(-1)", "scroll up", id="help_up"),
    ]

    def __init__(self, keys: Sequence[tuple[str, str]] = SCREEN_KEYS, about: Sequence[str] = ABOUT) -> None:
        """``keys``: (key, what it does); ``about``: paragraphs on what is shown. A walk's by default."""
        super().__init__()
        self._keys, self._about = keys, about

    def compose(self) -> ComposeResult:
        """The keys, then what the screen means."""
        yield Static(" Help", id="head", markup=False)
        with VerticalScroll(classes="scroll", can_focus=False):
            yield Static(id="text", markup=False)
        yield Static(id="foot", markup=False)

    def on_resize(self) -> None:
        """Fit the text to the new size."""
        width = max(1, self.size.width - 2)
        size = max(len(key) for key, _ in self._keys) + 2
        lines: list[tuple[str, str]] = []
        for key, what in self._keys:
            front = key.ljust(size) if width >= 40 else f"{key}: "
            lines += [(line, "") for line in wrap(what, width, front, None if width >= 40 else "  ")]
        for paragraph in self._about:
            lines += [("", ""), *((line, "") for line in wrap(paragraph, width))]
        lines[0] = (lines[0][0], STRONG)
        self.query_one("#text", Static).update(to_text(lines))
        self.query_one("#foot", Static).update(cut(FOOT, self.size.width))

    def action_page(self, by: int) -> None:
        """Scroll."""
        box = self.query_one(".scroll")
        box.scroll_relative(y=by * max(1, box.size.height - 1), animate=False, immediate=True)

    def action_back(self) -> None:
        """Close the help."""
        self.dismiss(None)
