"""The lines at the top and at the foot of a screen."""

from rich.style import Style
from textual.strip import Strip
from textual.widgets import Static

REVERSED = Style(reverse=True)


class Bar(Static):
    """A line that is reversed over the whole width, also where nothing is written."""

    def render_line(self, y: int) -> Strip:
        """The line, as wide as the widget, reversed."""
        line = super().render_line(y).extend_cell_length(self.size.width, self.rich_style)
        return line.apply_style(REVERSED)
