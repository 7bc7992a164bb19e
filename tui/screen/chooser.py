"""Which open callout to go on with, before the walk itself."""

from collections.abc import Sequence

from diagnose.history.overview import Overview
from tui.lines import callout_text
from tui.screen.picker import Picker

FOOT = " Number or Enter picks   Up, Down move   Esc leaves"


def chooser(found: Sequence[Overview]) -> Picker:
    """Gives the index among the open callouts; one past the last means a new one; None means leave."""
    rows = [f"Go on with {callout_text(item)}" for item in found]
    return Picker("Go on, or start new?", [*rows, "Start a new one"], foot=FOOT)
