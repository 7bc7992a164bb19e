"""The line on which something is typed that was said without being asked, and what it may mean."""

from collections.abc import Callable
from typing import ClassVar

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Key, Paste
from textual.screen import ModalScreen
from textual.widgets import Static

from diagnose.unsure import DOUBT
from diagnose.volunteer import Offer
from tui.lines import no_offers
from tui.screen.bar import Bar
from tui.screen.page import STRONG, to_text
from tui.screen.typed_line import after_key, after_paste
from tui.screen.wrap import cut, wrap
from tui.texts.english import ENGLISH
from tui.texts.kinds import Texts


class VolunteerScreen(ModalScreen[tuple[Offer, bool] | None]):
    """Gives the finding that was picked and whether it is sure, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "take", "take the marked finding", id="said_take"),
        Binding("up", "mark(-1)", "mark the finding above", id="said_up"),
        Binding("down", "mark(1)", "mark the finding below", id="said_down"),
        Binding("escape", "back", "go back", id="said_back"),
    ]

    def __init__(
        self, offers: Callable[[str], tuple[Offer, ...]], unsure: bool, texts: Texts = ENGLISH
    ) -> None:
        """``offers`` finds what a text may mean."""
        super().__init__()
        self._texts = texts
        self._find = offers
        self._unsure = unsure
        self._line = ""
        self._offers: tuple[Offer, ...] = ()
        self._shown = 0
        """Offers that stand on the screen whole; no other can be taken."""
        self._marked = 0

    def compose(self) -> ComposeResult:
        """The title, the line, what it may mean, the keys."""
        yield Static(classes="title", id="title", markup=False)
        yield Static(classes="words", id="line", markup=False)
        yield Static(id="offers", markup=False)
        yield Bar(id="foot", markup=False)

    def on_resize(self) -> None:
        """Fit everything to the new size."""
        self._draw()

    def on_key(self, event: Key) -> None:
        """A digit takes a finding, a ? says not sure, a letter goes on the line."""
        line = after_key(self._line, event)
        if line is None:
            return
        event.stop()
        event.prevent_default()
        if event.character == DOUBT:
            self._unsure = not self._unsure
            self._draw()
        elif event.character and event.character in "0123456789":
            self._take(int(event.character) - 1)
        else:
            self._write(line)

    def on_paste(self, event: Paste) -> None:
        """Pasted text goes on the line."""
        event.stop()
        self._write(after_paste(self._line, event.text))

    def action_take(self) -> None:
        """Take the marked finding."""
        self._take(self._marked)

    def action_mark(self, by: int) -> None:
        """Move the mark."""
        self._marked = (self._marked + by) % max(1, self._shown)
        self._draw()

    def action_back(self) -> None:
        """Take nothing."""
        self.dismiss(None)

    def _take(self, number: int) -> None:
        if 0 <= number < self._shown:
            self.dismiss((self._offers[number], not self._unsure))

    def _write(self, line: str) -> None:
        self._line = line
        self._offers = self._find(line)
        self._marked = 0
        self._draw()

    def _draw(self) -> None:
        width, height = self.size
        inner = max(1, width - 2)
        dialog, foot = self._texts.dialog, self._texts.foot
        title = f"{dialog.what_said} {dialog.doubt}" if self._unsure else dialog.what_said
        line = self._line
        while line and cell_len(line) > inner - 3:
            line = line[1:]
        self._put("title", [(cut(title, inner), "")])
        self._put("line", [(f"> {line}_", "")])
        self._put("offers", self._rows(inner, max(0, height - 3)))
        sure = (foot.sure if self._unsure else foot.not_sure).removeprefix("n ")
        self._put("foot", [(cut(f" {foot.said_page.format(sure=sure)}", width), "")])

    def _rows(self, width: int, height: int) -> list[tuple[str, str]]:
        """The offers that fit, whole; or why there is none."""
        self._shown = 0
        if not self._offers:
            why = no_offers(self._line, self._texts.language)
            return [(row, "") for row in wrap(why, width)]
        blocks = []
        for number, offer in enumerate(self._offers, 1):
            doubt = DOUBT if self._unsure else " "
            blocks.append(wrap(offer.label, width, f"  {number}{doubt} "))
        fits = sum(map(len, blocks)) <= height
        rows: list[tuple[str, str]] = []
        for number, block in enumerate(blocks):
            if len(rows) + len(block) > height - (0 if fits else 1):
                break
            here = number == self._marked
            first = f"{'>' if here else ' '}{block[0][1:]}"
            rows += [(row, STRONG if here else "") for row in (first, *block[1:])]
            self._shown += 1
        return rows if fits else [*rows, (cut(self._texts.dialog.more_offers, width), "")]

    def _put(self, name: str, lines: list[tuple[str, str]]) -> None:
        self.query_one(f"#{name}", Static).update(to_text(lines))
