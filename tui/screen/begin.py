"""A walk from its command on: the frame is drawn at once, the book and the store are read behind it."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar, Final

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import Static

from knowledge.problems import InputProblems
from tui.looks import Looks
from tui.screen.bar import Bar
from tui.screen.plate import Plate
from tui.texts import texts_in

if TYPE_CHECKING:
    from diagnose.history.overview import Overview
    from tui.session import Beginning, Ready

HEAD: Final = " halfsplit"


class BeginApp(Plate):
    """Reads, lets a person choose where there is a choice, and shows the walk."""

    BINDINGS: ClassVar[list[BindingType]] = [
        # Everything is saved, so the keys that people press first may simply leave.
        Binding("ctrl+c", "quit", "leave", show=False, priority=True),
        Binding("q", "quit", "leave", show=False),
    ]

    class Found(Message):
        """Everything is read; these open callouts can be gone on with."""

        def __init__(self, found: "Sequence[Overview]") -> None:
            super().__init__()
            self.found = found

    class Begun(Message):
        """The walk is there."""

        def __init__(self, ready: "Ready") -> None:
            super().__init__()
            self.ready = ready

    class Failed(Message):
        """Something is to be mended in what was typed, or in a file."""

        def __init__(self, error: InputProblems) -> None:
            super().__init__()
            self.error = error

    def __init__(
        self,
        begin: "Callable[[], Beginning]",
        looks: Looks | None = None,
        ahead: bool = True,
        language: str = "en",
    ) -> None:
        """``begin`` may be slow: it is called behind the first frame."""
        super().__init__(looks)
        self._texts = texts_in(language)
        self._begin = begin
        self._ahead = ahead
        self.beginning: Beginning | None = None
        self.error: InputProblems | None = None
        self.record = ""

    def compose(self) -> ComposeResult:
        """The frame of a walk, with nothing in it yet."""
        yield Bar(HEAD, id="head", markup=False)
        with VerticalScroll(id="question", can_focus=False):
            yield Static(self._texts.page.reading_book, id="page", markup=False)
        yield Bar(f" {self._texts.foot.leave}", id="foot", markup=False)

    def on_mount(self) -> None:
        """Draw the frame first."""
        self.call_after_refresh(self._read)

    @work(thread=True, exclusive=True)
    def _read(self) -> None:
        import tui.screen.chooser
        import tui.screen.walk_screen  # noqa: F401  loaded here, so that no key waits for it

        try:
            self.beginning = self._begin()
            self.post_message(self.Found(self.beginning.look()))
        except InputProblems as error:
            self.post_message(self.Failed(error))

    def on_begin_app_found(self, event: Found) -> None:
        """Ask which callout, where there is a choice."""
        if not event.found:
            self._go_on(None)
            return
        from tui.screen.chooser import chooser

        def chosen(number: int | None) -> None:
            if number is None:
                self.exit(0)
            else:
                self._go_on(event.found[number] if number < len(event.found) else None)

        self.push_screen(chooser(event.found, self._texts.language), chosen)

    @work(thread=True, exclusive=True)
    def _go_on(self, chosen: "Overview | None") -> None:
        assert self.beginning
        try:
            self.post_message(self.Begun(self.beginning.ready(chosen)))
        except InputProblems as error:
            self.post_message(self.Failed(error))

    def on_begin_app_begun(self, event: Begun) -> None:
        """Show the walk."""
        from tui.screen.walk_screen import WalkScreen

        self.record = event.ready.record
        ready = event.ready
        self.push_screen(WalkScreen(ready.walk, ready.record, " ".join(ready.notes), ahead=self._ahead))

    def on_begin_app_failed(self, event: Failed) -> None:
        """Leave; what is wrong is told where the command was typed."""
        self.error = event.error
        self.exit(0)


def run_from_start(
    begin: "Callable[[], Beginning]", looks: Looks, ahead: bool = True, language: str = "en"
) -> int:
    """Run a walk on the screen; returns the exit code, 1 after a crash. Raises `InputProblems`."""
    app = BeginApp(begin, looks, ahead, language)
    try:
        app.run()
    finally:
        if app.beginning:
            app.beginning.close()
    if app.error:
        raise app.error
    if app.record and not app.return_code:
        print(texts_in(language).dialog.saved_in.format(record=app.record))
    return app.return_code or 0
