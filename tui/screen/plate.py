"""What every screen of halfsplit stands on. Nothing of the book or the arithmetic is loaded with it."""

from pathlib import Path
from typing import Any

from textual.app import App
from textual.filter import Monochrome

from tui.looks import Looks, looks_of
from tui.screen.plain_cells import PlainCells
from tui.screen.themes import TERMINAL, THEMES


class Plate(App[int]):
    """What every screen of halfsplit stands on: looks, no palette, no animation."""

    CSS_PATH = Path(__file__).with_name("halfsplit.tcss")
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
