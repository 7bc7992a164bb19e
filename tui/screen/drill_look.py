"""The parts of a drill's screen and what is put in them."""

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from diagnose.trial.drill import Drill, Page
from diagnose.trial.drill_outcome import Outcome
from tui.screen.bar import Bar
from tui.screen.drill_page import (
    LEAST_PAGE,
    Lines,
    choices_of,
    end_lines,
    foot_line,
    head_line,
    page_lines,
    rule_text,
)
from tui.screen.look import TOO_SMALL
from tui.screen.page import STRONG, answer_lines, rule, to_text
from tui.screen.room import BARE
from tui.screen.wrap import cut


class DrillLook(Screen[None]):
    """Shows a drill's page. What keys do is in `tui.screen.drill_screen`."""

    def __init__(self, drill: Drill) -> None:
        super().__init__()
        self.drill = drill
        self.shown: Page | None = None
        self.came: Outcome | None = None
        self.marked = 0
        self.message = ""
        self._hidden = False
        """Whether there are choices out of sight."""
        self._rows = self._must = self._room = 0
        """Lines of the page, those that must be seen, and rows that there are for them."""

    def compose(self) -> ComposeResult:
        """The parts, top to bottom."""
        yield Static(id="small", markup=False)
        yield Bar(id="head", markup=False)
        with VerticalScroll(id="question", can_focus=False):
            yield Static(id="page", markup=False)
        yield Static(id="rule", markup=False)
        with VerticalScroll(id="answers", can_focus=False):
            yield Static(id="choices", markup=False)
        yield Bar(id="foot", markup=False)

    def on_resize(self) -> None:
        """Fit everything to the new size."""
        self.draw()

    def too_small(self) -> bool:
        """Whether the window is too small to show anything."""
        return self.size.width < BARE[0] or self.size.height < BARE[1]

    def draw(self) -> None:
        """Put the present page on the screen."""
        if not self.is_mounted:
            return
        width, height = self.size
        small = self.too_small()
        for name in ("small", "head", "question", "rule", "answers", "foot"):
            self.query_one(f"#{name}").display = (name == "small") == small
        self._put("small", [(TOO_SMALL, "")])
        if small:
            return
        page, inner = self.shown, max(1, width - 2)
        self._put("foot", [(cut(self.message or (foot_line(page) if page else ""), width), "")])
        if page is None:
            return
        self._put("head", [(head_line(self.drill, page, width), "")])
        if self.came:
            lines = end_lines(self.drill, page, self.came, inner)
            self._must = 0
        else:
            lines, self._must = page_lines(self.drill, page, inner)
        self._rows = len(lines)
        self._put("page", lines)
        self._draw_choices(page, inner, height)
        self.draw_rule()

    def _draw_choices(self, page: Page, width: int, height: int) -> None:
        answers, first, last = answer_lines(choices_of(page), self.marked, width)
        rows = min(len(answers), max(1, height - 3 - LEAST_PAGE))
        self._hidden = rows < len(answers)
        self._room = height - 3 - (rows if answers else 0)
        box = self.query_one("#answers")
        box.display = bool(answers)
        box.styles.height = max(1, rows)
        self._put("choices", answers)
        box.scroll_to(y=min(first, max(0, last + 1 - rows)), animate=False)

    def draw_rule(self) -> None:
        """The line under the page says when there is more of it, and above all more cautions."""
        page, box = self.shown, self.query_one("#question")
        if page is not None:
            seen = self._room + round(box.scroll_offset.y)
            text = rule_text(page, self._rows > seen, self._must > seen, self._hidden)
            self._put("rule", [(rule(self.size.width, text), STRONG if self._rows > seen else "")])

    def _put(self, name: str, lines: Lines) -> None:
        self.query_one(f"#{name}", Static).update(to_text(lines))
