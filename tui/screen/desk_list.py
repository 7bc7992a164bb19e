"""The list of the desk: every callout with what is awaited of it."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar, Final

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from diagnose.sheet import read_unit
from knowledge.book import EXAMPLES
from knowledge.problems import InputProblems
from tui.desk import Desk
from tui.desk_handover import hand_out, take_in
from tui.desk_help import list_about
from tui.desk_lines import place_lines, title_line
from tui.desk_text import DeskWords, desk_words, filled
from tui.screen.bar import Bar
from tui.screen.desk_dialogs import LineScreen
from tui.screen.desk_rows import blocks_of, foot_row
from tui.screen.help import HelpScreen, effective_keys
from tui.screen.page import STRONG, to_text
from tui.screen.picker import Picker
from tui.screen.themes import next_theme
from tui.screen.wrap import cut, wrap
from tui.texts import texts_in

if TYPE_CHECKING:
    from tui.screen.desk_app import DeskApp

DRAWN_EVERY: Final = 5.0
"""Seconds after which the times are drawn anew and the store is looked through for callouts of others."""


class DeskList(Screen[None]):
    """Takes callouts, begins them, hands them over."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(str(n), f"take({n})", f"take callout {n}", id=f"take_{n}", show=False)
            for n in range(1, 10)
        ),
        Binding("enter", "take_marked", "take the marked callout", id="take_it"),
        Binding("up", "mark(-1)", "mark the callout above", id="move_up"),
        Binding("down", "mark(1)", "mark the callout below", id="move_down"),
        Binding("n", "new", "a new callout: which unit, who calls", id="new"),
        Binding("o", "hand_out", "hand the marked callout over: it goes into a file", id="out"),
        Binding("i", "take_in", "take in what was handed over, from a file", id="in"),
        Binding("e", "app.speak", "speak Spanish or English to the callers", id="speak"),
        Binding("t", "theme", "sunlight, dark, own colours", id="theme"),
        Binding("question_mark", "help", "help", id="help"),
        Binding("q", "leave", "leave", id="leave"),
    ]
    app: "DeskApp"

    class Done(Message):
        """Something was done beside the keys: what to tell, which callouts to open, which to show."""

        def __init__(self, told: str, numbers: list[int], show: int = 0) -> None:
            super().__init__()
            self.told, self.numbers, self.show = told, numbers, show

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self._marked = 0
        """Index of the marked callout."""
        self._told = ""

    @property
    def words(self) -> DeskWords:
        """The desk's words in the language that is spoken."""
        return desk_words(self.desk.language)

    def compose(self) -> ComposeResult:
        """The title, the callouts, what is told, the keys."""
        yield Bar(id="head", markup=False)
        with VerticalScroll(id="question", can_focus=False):
            yield Static(id="page", markup=False)
        yield Static(id="rule", markup=False)
        yield Bar(id="foot", markup=False)

    def on_mount(self) -> None:
        """Look for callouts now, and every few seconds."""
        for place in self.desk.places:
            self.app.open(place.number)
        self.look_at_store()
        self.set_interval(DRAWN_EVERY, self.look_at_store)
        self.set_interval(DRAWN_EVERY, self.draw)

    def on_resize(self) -> None:
        """Fit everything to the new size."""
        self.draw()

    def look_at_store(self) -> None:
        """See what others have done; a callout that was shown once looks for its news itself."""
        self._look(self.app.never_shown())

    @work(thread=True, exclusive=True, group="look")
    def _look(self, numbers: list[int]) -> None:
        """Put the store's open callouts on the desk, and find those of ``numbers`` that others went on with.

        Off the thread that answers keys.
        """
        self._in_thread(lambda: self.Done("", [*self.desk.refresh(), *self.desk.with_news(numbers)]))

    def _in_thread(self, act: Callable[[], Done]) -> None:
        try:
            done = act()
        except InputProblems as error:
            told = "; ".join(f"{problem.what}. {problem.mend}".strip() for problem in error.problems)
            done = self.Done(f"! {told}", self._refreshed())
        except OSError as error:
            done = self.Done(f"! {error.strerror or error}", [])
        self.post_message(done)

    def _refreshed(self) -> list[int]:
        """Of a file with lines at fault the sound ones have gone in."""
        try:
            return self.desk.refresh()
        except OSError:
            return []

    def on_desk_list_done(self, event: Done) -> None:
        """Tell what was done, and open what is new."""
        if event.told:
            self._told = event.told
        for number in event.numbers:
            self.app.open(number)
        if event.show:
            self.app.action_callout(event.show)
        self.draw()

    def draw(self) -> None:
        """Put the callouts on the screen."""
        if not self.is_mounted:
            return
        width, height = self.size
        places = self.desk.places
        self._marked = max(0, min(self._marked, len(places) - 1))
        now = self.desk.clock()
        for place in places:
            place.typed = self.app.half_typed(place.number)
        told = wrap(self._told, max(1, width - 2))[:2] if self._told else []
        marked = places[self._marked].number if places else 0
        items = [place_lines(self.desk, place, now) for place in places]
        blocks = blocks_of(items, marked, width, height - 3 - len(told))
        rows = [row for block in blocks for row in block] or [
            (row, "") for row in wrap(self.words.none_open, max(1, width - 2))
        ]
        title = f" {title_line(self.desk)}"
        speaks = f"{self.words.language} "
        self._put(
            "head",
            [(cut(title, max(1, width - len(speaks))).ljust(max(0, width - len(speaks))) + speaks, "")],
        )
        self._put("page", rows)
        self._put("rule", [("─" * width, ""), *((f" {row}", STRONG) for row in told)])
        self._put("foot", [(foot_row(self.words.foot, width), "")])
        before = sum(len(block) for block in blocks[: self._marked])
        last = before + len(blocks[self._marked]) if blocks else 0
        box = self.query_one("#question")
        self.call_after_refresh(lambda: box.scroll_to(y=max(0, last - box.size.height), animate=False))

    def _put(self, name: str, lines: list[tuple[str, str]]) -> None:
        self.query_one(f"#{name}", Static).update(to_text(lines))

    def tell(self, text: str) -> None:
        """Show a line over the keys."""
        self._told = text
        self.draw()

    def tell_opening(self, number: int) -> None:
        """Say that a callout is being opened."""
        self.tell(f"{number}: {self.words.opening}")

    def tell_no_such(self, number: int) -> None:
        """Say that there is no such callout."""
        self.tell(filled(self.words.no_such, number=number))

    def action_take(self, number: int) -> None:
        """Show that callout."""
        self._told = ""
        self.app.action_callout(number, str(number))

    def action_take_marked(self) -> None:
        """Show the marked callout."""
        if self.desk.places:
            self._told = ""
            self.app.action_callout(self.desk.places[self._marked].number, "enter")

    def action_mark(self, by: int) -> None:
        """Move the mark."""
        self._marked = (self._marked + by) % max(1, len(self.desk.places))
        self.draw()

    def action_new(self) -> None:
        """Ask which unit it is and who calls, and begin."""
        sheets = unit_sheets(self.app.sheets)
        rows = [self.words.no_sheet, *(path.stem for path in sheets)]

        def chosen(index: int | None) -> None:
            if index is not None:
                sheet = str(sheets[index - 1]) if index else ""
                line = LineScreen(self.words.who_calls, self.words.who_help)
                self.app.push_screen(line, lambda caller: self._begin_for(sheet, caller))

        self.app.push_screen(Picker(self.words.which_unit, rows, foot=self.words.pick_foot), chosen)

    def _begin_for(self, sheet: str, caller: str | None) -> None:
        if caller is not None:
            self._begin(sheet, caller)

    @work(thread=True)
    def _begin(self, sheet: str, caller: str) -> None:
        """Begin a callout, off the thread that answers keys."""

        def begin() -> DeskList.Done:
            place = self.desk.begin(read_unit(sheet, self.desk.book) if sheet else None, caller)
            told = filled(self.words.started, number=place.number, unit=place.overview.unit)
            return self.Done(told, [], place.number)

        self._in_thread(begin)

    def action_hand_out(self) -> None:
        """Ask for a file, and hand the marked callout over."""
        if not self.desk.places:
            self.tell(self.words.nobody_marked)
            return
        number = self.desk.places[self._marked].number
        line = LineScreen(filled(self.words.file_out, number=number), self.words.file_help)

        def named(file: str | None) -> None:
            if file:
                self._write(number, file)

        self.app.push_screen(line, named)

    @work(thread=True)
    def _write(self, number: int, file: str) -> None:
        def write() -> DeskList.Done:
            path = hand_out(self.desk, number, Path(file))
            return self.Done(filled(self.words.written, number=number, file=path), [])

        self._in_thread(write)

    def action_take_in(self) -> None:
        """Ask for a file, and take its callouts in."""
        line = LineScreen(self.words.file_in, self.words.file_help)

        def named(file: str | None) -> None:
            if file:
                self._read(file)

        self.app.push_screen(line, named)

    @work(thread=True)
    def _read(self, file: str) -> None:
        def read() -> DeskList.Done:
            numbers = take_in(self.desk, Path(file))
            told = filled(self.words.taken_in, numbers=", ".join(map(str, numbers)))
            return self.Done(told if numbers else self.words.nothing_in, numbers)

        self._in_thread(read)

    def action_theme(self) -> None:
        """Change between sunlight, dark, and the terminal's own colours."""
        self.app.theme = next_theme(self.app.theme)

    def action_help(self) -> None:
        """Show the help of the list."""
        texts = texts_in(self.desk.language)
        about = list_about(self.desk.language)
        self.app.push_screen(HelpScreen(effective_keys(self, texts), about, texts))

    def action_leave(self) -> None:
        """Leave; everything is saved."""
        self.app.exit(None)


def unit_sheets(folder: Path | None) -> list[Path]:
    """The sheets of a folder, then the examples."""
    own = sorted(folder.glob("*.yaml")) if folder and folder.is_dir() else []
    return [*own, *sorted(EXAMPLES.glob("*.yaml"))]
