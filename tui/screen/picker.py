"""A full-screen list to pick one line from."""

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.screen.bar import Bar
from tui.screen.page import STRONG, to_text
from tui.screen.wrap import cut, wrap
from tui.texts.english import ENGLISH


class Picker(ModalScreen[int | None]):
    """Gives the index of the picked line, or None when nothing was picked."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(str(n % 10), f"pick({n - 1})", f"pick {n}", id=f"pick_{n}", show=False)
            for n in range(1, 11)
        ),
        Binding("enter", "pick_marked", "pick the marked line", id="pick_marked"),
        Binding("up", "mark(-1)", "mark the line above", id="pick_up"),
        Binding("down", "mark(1)", "mark the line below", id="pick_down"),
        Binding("escape,q", "back", "go back", id="pick_back"),
    ]

    def __init__(
        self,
        title: str,
        rows: Sequence[str],
        notes: Sequence[str] = (),
        foot: str = ENGLISH.foot.picker,
    ) -> None:
        super().__init__()
        self._title = title
        self._rows = list(rows)
        self._notes = list(notes)
        self._foot = foot
        self._marked = 0

    def compose(self) -> ComposeResult:
        """Title, what went wrong, the lines, the keys."""
        yield Static(self._title, classes="title", markup=False)
        for note in self._notes:
            yield Static(f"! {note}", classes="words", markup=False)
        with VerticalScroll(classes="scroll", can_focus=False):
            yield Static(id="rows", markup=False)
        yield Bar(id="foot", markup=False)

    def on_resize(self) -> None:
        """Fit the lines to the new size."""
        self._draw()

    def action_pick(self, number: int) -> None:
        """Pick by number."""
        if number < len(self._rows):
            self.dismiss(number)

    def action_pick_marked(self) -> None:
        """Pick the marked line."""
        self.dismiss(self._marked)

    def action_mark(self, by: int) -> None:
        """Move the mark."""
        self._marked = (self._marked + by) % len(self._rows)
        self._draw()

    def action_back(self) -> None:
        """Pick nothing."""
        self.dismiss(None)

    def _draw(self) -> None:
        width = self.size.width
        lines: list[tuple[str, str]] = []
        last = 0
        for number, row in enumerate(self._rows):
            here = number == self._marked
            key = str((number + 1) % 10) if number < 10 else " "
            front = f"{'>' if here else ' '} {key}  "
            lines += [(line, STRONG if here else "") for line in wrap(row, max(1, width - 2), front)]
            last = len(lines) if here else last
        self.query_one("#rows", Static).update(to_text(lines))
        self.query_one("#foot", Static).update(cut(f" {self._foot}", width))
        box = self.query_one(".scroll")
        self.call_after_refresh(lambda: box.scroll_to(y=max(0, last - box.size.height), animate=False))
