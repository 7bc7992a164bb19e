"""The Textual application of a walk."""

import time
from collections.abc import Callable, Sequence
from typing import Any, ClassVar

from textual.app import App
from textual.binding import Binding, BindingType
from textual.filter import Monochrome

from diagnose.walk import Walk
from tui.looks import Looks, looks_of
from tui.screen.plain_cells import PlainCells
from tui.screen.themes import TERMINAL, THEMES
from tui.screen.walk_screen import WalkScreen


class Plate(App[int]):
    """What every screen of halfsplit stands on: looks, no palette, no animation."""

    CSS_PATH = "halfsplit.tcss"
    ENABLE_COMMAND_PALETTE = False
    TITLE = "halfsplit"

    def __init__(self, looks: Looks | None = None, **more: Any) -> None:
        """``looks``: those of the settings when they are left out."""
        super().__init__(**more)
        looks = looks or looks_of()
        self.animation_level = "none"
        for theme in THEMES.values():
            self.register_theme(theme)
        self.theme = looks.theme
        if looks.theme == TERMINAL.name:
            # Without any colour there is none to take away; the filter would put greys in.
            self._filters = [each for each in self._filters if not isinstance(each, Monochrome)]
        if looks.ascii_only:
            self._filters.append(PlainCells())


class WalkApp(Plate):
    """One walk on the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        # Everything is saved, so the key that people press first may simply leave.
        Binding("ctrl+c", "quit", "leave", show=False, priority=True)
    ]

    def __init__(
        self,
        walk: Walk,
        record: str,
        notes: Sequence[str] = (),
        monotonic: Callable[[], float] = time.monotonic,
        ahead: bool = True,
        looks: Looks | None = None,
    ) -> None:
        super().__init__(looks)
        self.walk_screen = WalkScreen(walk, record, " ".join(notes), monotonic, ahead)

    def on_mount(self) -> None:
        """Show the walk."""
        self.push_screen(self.walk_screen)


def run_screen(walk: Walk, record: str, notes: Sequence[str] = (), looks: Looks | None = None) -> int:
    """Run a walk on the screen; returns the exit code, 1 after a crash."""
    app = WalkApp(walk, record, notes, looks=looks)
    app.run()
    if not app.return_code:
        print(f"Everything is saved in {record}")
    return app.return_code or 0
