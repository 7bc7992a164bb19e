"""The Textual application of a walk."""

import time
from collections.abc import Callable, Sequence
from typing import Any, ClassVar

from textual.app import App
from textual.binding import Binding, BindingType

from diagnose.walk import Walk
from tui.screen.themes import NIGHT, SUN
from tui.screen.walk_screen import WalkScreen


class Plate(App[int]):
    """What every screen of halfsplit stands on: looks, no palette, no animation."""

    CSS_PATH = "halfsplit.tcss"
    ENABLE_COMMAND_PALETTE = False
    TITLE = "halfsplit"

    def __init__(self, **more: Any) -> None:
        super().__init__(**more)
        self.animation_level = "none"
        self.register_theme(SUN)
        self.register_theme(NIGHT)
        self.theme = "sun"


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
    ) -> None:
        super().__init__()
        self.walk_screen = WalkScreen(walk, record, " ".join(notes), monotonic, ahead)

    def on_mount(self) -> None:
        """Show the walk."""
        self.push_screen(self.walk_screen)


def run_screen(walk: Walk, record: str, notes: Sequence[str] = ()) -> int:
    """Run a walk on the screen; returns the exit code, 1 after a crash."""
    app = WalkApp(walk, record, notes)
    app.run()
    if not app.return_code:
        print(f"Everything is saved in {record}")
    return app.return_code or 0
