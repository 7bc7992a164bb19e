"""Which open callout to go on with, before the walk itself."""

from collections.abc import Sequence

from diagnose.history.overview import Overview
from tui.lines import callout_text
from tui.looks import Looks
from tui.screen.app import Plate
from tui.screen.picker import Picker

FOOT = " Number or Enter picks   Up, Down move   Esc leaves"


class ChooserApp(Plate):
    """Gives the index among the open callouts; one past the last means a new one; None means leave."""

    def __init__(self, found: Sequence[Overview], looks: Looks | None = None) -> None:
        super().__init__(looks)
        rows = [f"Go on with {callout_text(item)}" for item in found]
        self._picker = Picker("Go on, or start new?", [*rows, "Start a new one"], foot=FOOT)

    def on_mount(self) -> None:
        """Show the list."""
        self.push_screen(self._picker, self.exit)


def run_chooser(found: Sequence[Overview], looks: Looks | None = None) -> int | None:
    """Let the person choose on the screen."""
    app = ChooserApp(found, looks)
    choice = app.run()
    if app.return_code:
        raise SystemExit(app.return_code)
    return choice
