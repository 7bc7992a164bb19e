"""The Textual application of a walk that is there already."""

import time
from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from diagnose.walk import Walk
from tui.looks import Looks
from tui.screen.plate import Plate
from tui.screen.walk_screen import WalkScreen
from tui.texts import texts_in


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
        print(texts_in(walk.book.language).dialog.saved_in.format(record=record))
    return app.return_code or 0
