"""A page of text between a title and its keys, longer than the screen perhaps."""

from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen, Screen, ScreenResultType
from textual.widgets import Static

from tui.screen.bar import Bar
from tui.screen.page import to_text
from tui.screen.wrap import cut


def page_parts() -> ComposeResult:
    """The widgets of such a page: `head`, `text` that scrolls, `foot`."""
    yield Bar(id="head", markup=False)
    with VerticalScroll(classes="scroll", can_focus=False):
        yield Static(id="text", markup=False)
    yield Bar(id="foot", markup=False)


def scroll_page(screen: Screen[Any], by: int) -> None:
    """Scroll the text by so many screens of it, less the line that is kept in sight."""
    box = screen.query_one(".scroll")
    box.scroll_relative(y=by * max(1, box.size.height - 1), animate=False, immediate=True)


class ScrolledPage(ModalScreen[ScreenResultType]):
    """A page that lies over another one until it is closed; what it shows is in `rows`."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,enter", "back", "go back", id="over_back"),
        Binding("pagedown,down,space", "page(1)", "scroll down", id="over_down"),
        Binding("pageup,up", "page(-1)", "scroll up", id="over_up"),
    ]

    def __init__(self, title: str, foot: str) -> None:
        super().__init__()
        self._title, self._foot = title, foot

    def compose(self) -> ComposeResult:
        """The title, the lines, the keys."""
        yield from page_parts()

    def on_resize(self) -> None:
        """Fit everything to the new size."""
        width = self.size.width
        self.query_one("#head", Static).update(cut(f" {self._title}", width))
        self.query_one("#text", Static).update(to_text(self.rows(max(1, width - 2))))
        self.query_one("#foot", Static).update(cut(f" {self._foot}", width))

    def rows(self, width: int) -> list[tuple[str, str]]:
        """The lines with their style."""
        raise NotImplementedError

    def action_page(self, by: int) -> None:
        """Scroll."""
        scroll_page(self, by)

    def action_back(self) -> None:
        """Close the page."""
        self.dismiss(None)
