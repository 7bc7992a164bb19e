"""What opens over a drill's screen: the line on which words are typed, and the help."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import Static

from diagnose.trial.drill_search import Found
from diagnose.unsure import DOUBT
from diagnose.volunteer import Offer, counted
from tui.drill_lines import ABOUT, SCREEN_KEYS
from tui.screen.page import STRONG, to_text
from tui.screen.volunteer import VolunteerScreen
from tui.screen.wrap import cut, wrap

SEARCH_FOOT = " Number or Enter takes   Up, Down move   Esc goes back"
HELP_FOOT = " Esc goes back   PgUp, PgDn scroll"


class SearchScreen(VolunteerScreen):
    """The line of `VolunteerScreen`, on which a check or a fault is searched: nothing is doubted here."""

    def __init__(
        self, title: str, find: Callable[[str], Sequence[Found]], how: str, none: str, line: str = ""
    ) -> None:
        """``how`` says what to type; ``none``, with a place for the words, that nothing was found."""

        def offers(text: str) -> tuple[Offer, ...]:
            return tuple(Offer(found.id, "", found.label) for found in find(text))

        super().__init__(offers, unsure=False)
        self._heading, self._how, self._none = title, how, none
        self.add(line)

    def add(self, letters: str) -> None:
        """Put letters on the line that were typed before it was on the screen."""
        self._line += letters
        self._offers = self._find(self._line)
        if self.is_mounted:
            self._draw()

    def on_key(self, event: Key) -> None:
        """A ? is nothing here."""
        if event.character == DOUBT:
            event.stop()
            event.prevent_default()

    def _draw(self) -> None:
        super()._draw()
        self._put("title", [(cut(self._heading, max(1, self.size.width - 2)), "")])
        self._put("foot", [(cut(SEARCH_FOOT, self.size.width), "")])

    def _rows(self, width: int, height: int) -> list[tuple[str, str]]:
        if self._offers:
            return super()._rows(width, height)
        self._shown = 0
        why = self._none.format(self._line.strip()) if counted(self._line) else self._how
        return [(row, "") for row in wrap(why, width)]


class DrillHelp(ModalScreen[None]):
    """What a drill is and what its keys do."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,question_mark,enter", "back", "go back", id="drill_help_back"),
        Binding("pagedown,down,space", "page(1)", "scroll down", id="drill_help_down"),
        Binding("pageup,up", "page(-1)", "scroll up", id="drill_help_up"),
    ]

    def compose(self) -> ComposeResult:
        """The keys, then what it is."""
        yield Static(" Help", id="head", markup=False)
        with VerticalScroll(classes="scroll", can_focus=False):
            yield Static(id="text", markup=False)
        yield Static(id="foot", markup=False)

    def on_resize(self) -> None:
        """Fit the text to the new size."""
        width = max(1, self.size.width - 2)
        lines: list[tuple[str, str]] = []
        for key, what in SCREEN_KEYS:
            lines += [(line, "") for line in wrap(what, width, f"{key}: ", "  ")]
        for paragraph in ABOUT:
            lines += [("", ""), *((line, "") for line in wrap(paragraph, width))]
        lines[0] = (lines[0][0], STRONG)
        self.query_one("#text", Static).update(to_text(lines))
        self.query_one("#foot", Static).update(cut(HELP_FOOT, self.size.width))

    def action_page(self, by: int) -> None:
        """Scroll."""
        box = self.query_one(".scroll")
        box.scroll_relative(y=by * max(1, box.size.height - 1), animate=False, immediate=True)

    def action_back(self) -> None:
        """Close the help."""
        self.dismiss(None)
