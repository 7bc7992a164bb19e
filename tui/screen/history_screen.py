"""The history on the screen: a site's units, searched by typing, and the file of one."""

from collections.abc import Sequence
from typing import ClassVar, Final

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.events import Key
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from diagnose.history.pages import SitePage, UnitRow, site_page, unit_file
from diagnose.history.teacher import Teacher
from tui.history_pages import head_of_rows, row_text, site_lines, unit_lines
from tui.screen.bar import Bar
from tui.screen.page import STRONG, to_text
from tui.screen.plate import Plate
from tui.screen.scrolled import page_parts
from tui.screen.typed_line import after_key
from tui.screen.wrap import cut, wrap

WORKING: Final = "Reading the history ..."
NO_UNIT: Final = "No unit, and no unit's usual fault, has all of these letters."
NOTHING: Final = "No callout has been closed yet. halfsplit demo shows what would stand here."
LIST_FOOT: Final = " Letters search   Up, Down, Enter opens a unit   Tab the site   Esc leaves"
PAGE_FOOT: Final = " Esc goes back   PgUp, PgDn, Up, Down scroll"
LEAST: Final = (24, 6)
"""Columns and rows below which the screen only says that it is too small."""


def matching(rows: Sequence[UnitRow], typed: str) -> list[UnitRow]:
    """The units whose name, or whose most frequent fault, holds every word typed."""
    words = typed.casefold().split()
    return [row for row in rows if all(word in f"{row.unit} {row.leading}".casefold() for word in words)]


class PageScreen(Screen[None]):
    """A page of lines that is worked out off the thread that answers keys."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,enter,left", "back", "go back", id="history_page_back"),
        Binding("pagedown,space", "page(1)", "scroll down", id="history_page_down"),
        Binding("pageup", "page(-1)", "scroll up", id="history_page_up"),
        Binding("down", "line(1)", "a line down", id="history_line_down"),
        Binding("up", "line(-1)", "a line up", id="history_line_up"),
    ]

    class Ready(Message):
        """The page can be drawn for any width."""

        def __init__(self, lines: object) -> None:
            super().__init__()
            self.lines = lines

    def __init__(self, teacher: Teacher, row: UnitRow | None, page: SitePage) -> None:
        """The file of ``row``; the page of the site for None."""
        super().__init__()
        self._teacher, self._row, self._page = teacher, row, page
        self._lines = (lambda width: site_lines(page, width)) if row is None else None
        self.busy = row is not None

    def compose(self) -> ComposeResult:
        """Title, lines, keys."""
        yield from page_parts()

    def on_mount(self) -> None:
        """Work it out."""
        if self.busy:  # Once it is laid out: what comes earlier can be left undrawn.
            self.call_after_refresh(self._work)

    @work(thread=True, exclusive=True)
    def _work(self) -> None:
        assert self._row is not None
        self._file = unit_file(self._teacher, self._row.site, self._row.unit)
        self.post_message(self.Ready(None))

    def on_page_screen_ready(self, _event: Ready) -> None:
        """Draw it."""
        book = self._teacher.ledger.book
        self._lines = lambda width: unit_lines(book, self._file, width)
        self.busy = False
        self.draw()

    def on_resize(self) -> None:
        """Fit it to the new size."""
        self.draw()

    def draw(self) -> None:
        """Put the page on the screen."""
        width = self.size.width
        lines = self._lines(max(LEAST[0], width - 2)) if self._lines else [WORKING]
        name = self._row.unit if self._row else self._page.site or "All sites"
        self.query_one("#head", Static).update(cut(f" {name}", width))
        self.query_one("#text", Static).update(to_text([(line, "") for line in lines]))
        self.query_one("#foot", Static).update(cut(PAGE_FOOT, width))

    def action_page(self, by: int) -> None:
        """Scroll by a page."""
        self.action_line(by * max(1, self.query_one(".scroll").size.height - 1))

    def action_line(self, by: int) -> None:
        """Scroll by lines."""
        self.query_one(".scroll").scroll_relative(y=by, animate=False, immediate=True)

    def action_back(self) -> None:
        """Back to the table."""
        self.dismiss(None)


class LeagueScreen(Screen[None]):
    """The units of a site, the one that cost most first."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("down", "mark(1)", "the unit below", id="history_down"),
        Binding("up", "mark(-1)", "the unit above", id="history_up"),
        Binding("pagedown", "mark(10)", "ten units down", id="history_page"),
        Binding("pageup", "mark(-10)", "ten units up", id="history_page_back_up"),
        Binding("enter", "open", "open the unit's file", id="history_open"),
        Binding("tab", "site", "the site's page", id="history_site"),
        Binding("escape", "leave", "leave, or take back what is typed", id="history_leave"),
    ]

    class Ready(Message):
        """The table is worked out."""

        def __init__(self, page: SitePage) -> None:
            super().__init__()
            self.page = page

    def __init__(self, teacher: Teacher, site: str | None = None) -> None:
        super().__init__()
        self._teacher, self._site = teacher, site
        self.page: SitePage | None = None
        self.typed = ""
        self.marked = 0
        self.busy = True

    def compose(self) -> ComposeResult:
        """What is typed, the table, the keys."""
        yield Bar(id="head", markup=False)
        yield Static(id="asked", markup=False)
        with VerticalScroll(classes="scroll", can_focus=False):
            yield Static(id="rows", markup=False)
        yield Bar(id="foot", markup=False)

    def on_mount(self) -> None:
        """Read the history, once the empty page is laid out."""
        self.call_after_refresh(self._work)

    @work(thread=True, exclusive=True)
    def _work(self) -> None:
        ledger = self._teacher.ledger
        page = site_page(ledger.book, ledger.callouts(self._site), self._teacher.now, self._site)
        self.post_message(self.Ready(page))

    def on_league_screen_ready(self, event: Ready) -> None:
        """Show the table."""
        self.page, self.busy = event.page, False
        self.draw()

    def on_resize(self) -> None:
        """Fit it to the new size."""
        self.draw()

    def on_key(self, event: Key) -> None:
        """Letters search."""
        line = after_key(self.typed, event)
        if line is not None:
            event.stop()
            event.prevent_default()
            self.typed, self.marked = line, 0
            self.draw()

    @property
    def rows(self) -> list[UnitRow]:
        """The units that are shown."""
        return matching(self.page.units, self.typed) if self.page else []

    def draw(self) -> None:
        """Put the table on the screen."""
        width, rows = self.size.width, self.rows
        name = (self.page.site if self.page else "") or "All sites"
        self.query_one("#head", Static).update(cut(f" History: {name}", width))
        self.query_one("#asked", Static).update(cut(f"Search: {self.typed}_", max(1, width - 2)))
        inner, lines = max(LEAST[0], width - 2), list[tuple[str, str]]()
        for number, row in enumerate(rows):
            here = number == self.marked
            line = f"{'>' if here else ' '} {row_text(row, inner - 2)}"
            lines.append((line, STRONG if here else ""))
        if self.page is None:
            lines = [(WORKING, "")]
        elif not rows:
            why = NO_UNIT if self.page.units else NOTHING
            lines = [(line, "") for line in wrap(why, inner)]
        else:
            lines.insert(0, (cut(f"  {head_of_rows()}", inner), ""))
        self.query_one("#rows", Static).update(to_text(lines))
        self.query_one("#foot", Static).update(cut(LIST_FOOT, width))
        box = self.query_one(".scroll")
        place = max(0, self.marked + 2 - box.size.height)
        self.call_after_refresh(lambda: box.scroll_to(y=place, animate=False))

    def action_mark(self, by: int) -> None:
        """Move the mark."""
        if self.rows:
            self.marked = max(0, min(len(self.rows) - 1, self.marked + by))
            self.draw()

    def action_open(self) -> None:
        """Open the marked unit's file."""
        if self.page and self.rows:
            self.app.push_screen(PageScreen(self._teacher, self.rows[self.marked], self.page))

    def action_site(self) -> None:
        """Show the site's page."""
        if self.page and self.page.units:
            self.app.push_screen(PageScreen(self._teacher, None, self.page))

    def action_leave(self) -> None:
        """Leave; with something typed, take that back first."""
        if self.typed:
            self.typed, self.marked = "", 0
            self.draw()
        else:
            self.app.exit(None)


class HistoryApp(Plate):
    """The history on the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "quit", "leave", show=False, priority=True),
        Binding("f2", "theme", "sunlight or dark", id="history_theme"),
    ]

    def __init__(self, teacher: Teacher, site: str | None = None) -> None:
        super().__init__()
        self.league = LeagueScreen(teacher, site)

    def on_mount(self) -> None:
        """Show the table."""
        self.push_screen(self.league)

    def action_theme(self) -> None:
        """Change between sunlight and dark."""
        self.theme = "night" if self.theme == "sun" else "sun"


def run_history(teacher: Teacher, site: str | None = None) -> int:
    """Show the history; returns the exit code, 1 after a crash."""
    app = HistoryApp(teacher, site)
    app.run()
    return app.return_code or 0
