"""The line on which words are typed, that opens over a drill's screen."""

from collections.abc import Callable, Sequence

from textual.events import Key

from diagnose.trial.drill_search import Found
from diagnose.unsure import DOUBT
from diagnose.volunteer import Offer, counted
from tui.screen.volunteer import VolunteerScreen
from tui.screen.wrap import cut, wrap

SEARCH_FOOT = " Number or Enter takes   Up, Down move   Esc goes back"


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
