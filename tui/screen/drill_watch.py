"""The tool working a drill's vessel alone, a step at each key."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from diagnose.trial.drill_outcome import Side
from diagnose.trial.drill_vessel import Vessel
from knowledge.book import Book
from tui.drill_lines import opening_lines, watch_blocks, watched_lines
from tui.screen.page import STRONG, to_text
from tui.screen.plate import Plate
from tui.screen.scrolled import page_parts, scroll_page
from tui.screen.wrap import cut, wrap

TITLE = " The tool works it alone"
FOOT = " Enter or Down: next step   Up: the step before   PgUp, PgDn scroll   q leave"


class WatchScreen(Screen[None]):
    """The steps so far, the newest in bold."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,down,space", "step(1)", "the next step", id="watch_next"),
        Binding("up", "step(-1)", "the step before", id="watch_before"),
        Binding("pagedown", "page(1)", "scroll down", id="watch_page_down"),
        Binding("pageup", "page(-1)", "scroll up", id="watch_page_up"),
        Binding("q,escape", "leave", "leave", id="watch_leave"),
    ]

    def __init__(self, book: Book, vessel: Vessel, side: Side) -> None:
        super().__init__()
        steps = [[f"{n}. {block[0]}", *block[1:]] for n, block in enumerate(watch_blocks(book, side), 1)]
        self.blocks = [opening_lines(book, vessel), *steps, watched_lines(book, vessel, side)]
        self.at = 0

    def compose(self) -> ComposeResult:
        """The steps, and the keys."""
        yield from page_parts()

    def on_resize(self) -> None:
        """Fit the text to the new size."""
        self._draw()

    def action_step(self, by: int) -> None:
        """One step on, or one back; on from the last one, leave."""
        if self.at + by == len(self.blocks):
            self.action_leave()
            return
        self.at = max(0, self.at + by)
        self._draw()

    def action_page(self, by: int) -> None:
        """Scroll."""
        scroll_page(self, by)

    def action_leave(self) -> None:
        """Leave."""
        self.app.exit(None)

    def _draw(self) -> None:
        width = max(1, self.size.width - 2)
        lines: list[tuple[str, str]] = []
        for number, block in enumerate(self.blocks[: self.at + 1]):
            lines += [("", "")] if number else []
            style = STRONG if number == self.at else ""
            lines += [(line, style) for text in block for line in wrap(text, width)]
        self.query_one("#head", Static).update(cut(TITLE, self.size.width))
        self.query_one("#text", Static).update(to_text(lines))
        self.query_one("#foot", Static).update(cut(FOOT, self.size.width))
        box = self.query_one(".scroll")
        self.call_after_refresh(lambda: box.scroll_end(animate=False))


class WatchApp(Plate):
    """One watched walk on the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "quit", "leave", show=False, priority=True),
        Binding("f2", "theme", "sunlight or dark", id="watch_theme"),
    ]

    def __init__(self, book: Book, vessel: Vessel, side: Side) -> None:
        super().__init__()
        self.watch_screen = WatchScreen(book, vessel, side)

    def on_mount(self) -> None:
        """Show the walk."""
        self.push_screen(self.watch_screen)

    def action_theme(self) -> None:
        """Change between sunlight and dark."""
        self.theme = "night" if self.theme == "sun" else "sun"


def run_watch(book: Book, vessel: Vessel, side: Side) -> int:
    """Show the tool's walk; returns the exit code, 1 after a crash."""
    app = WatchApp(book, vessel, side)
    app.run()
    return app.return_code or 0
