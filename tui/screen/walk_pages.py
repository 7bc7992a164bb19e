"""The pages that lie over a walk's question: what is shown there, and when a key may open one."""

from collections.abc import Callable

from textual import work

from diagnose.summary import summary_of
from diagnose.walk import Walk
from tui.card_lines import words_in
from tui.handover_file import write_handover
from tui.procedure_lines import head_lines, line_text
from tui.procedure_lines import words_in as words_of_job
from tui.screen.card import CardScreen
from tui.screen.help import HelpScreen, effective_keys
from tui.screen.look import Look
from tui.screen.pictures import PictureScreen, fault_screen, picture_screen, why_screen
from tui.screen.themes import next_theme
from tui.screen.wrap import wrap
from tui.summary_lines import save_text, summary_text


class WalkPages(Look):
    """Opens pages over the question. What answers and changes is in `tui.screen.walk_screen`."""

    def __init__(self, walk: Walk, record: str, monotonic: Callable[[], float]) -> None:
        super().__init__(walk, record)
        self.busy = True
        """Whether the next view is being worked out."""
        self._monotonic = monotonic
        self._pending: Callable[[], None] | None = None
        """A page that was asked for while the view was being worked out."""
        self._dialog_shut = float("-inf")
        """When the last dialog was closed."""

    def _tell(self, message: str) -> None:
        self.message = f" {message}" if message else ""
        self.draw()

    def _dialog_closed(self, _result: None = None) -> None:
        """The key that closed a dialog, bouncing, is no answer to the question under it."""
        self._dialog_shut = self._monotonic()

    def action_view(self) -> None:
        """Show what the thing that is asked about looks like."""
        step = self.shown.step if self.shown else None
        if self.busy or step is None or self.room.too_small:
            return
        if step.card is None:
            self._tell(words_in(self.walk.book.language).no_card)
        else:
            self.app.push_screen(CardScreen(step.card, self.walk.book.language), self._dialog_closed)

    def action_hand_over(self) -> None:
        """Write the callout as a page for the next one."""
        if not self.busy and self.shown and not self.room.too_small:
            self._tell(self.texts.message.writing)
            self._hand_over()

    @work(thread=True, exclusive=True, group="hand_over")
    def _hand_over(self) -> None:
        said = write_handover(self.walk)
        self.app.call_from_thread(self._tell, said)

    def action_pictures(self) -> None:
        """Show the timeline, and the graph around each leader."""
        if self.busy:
            self._pending = self.action_pictures
        elif self.shown and not self.room.too_small:
            self.app.push_screen(picture_screen(self.walk, self.shown), self._dialog_closed)

    def action_faults(self) -> None:
        """Show the likely faults whole, and a page for each."""
        if self.busy:
            self._pending = self.action_faults
        elif self.shown and not self.room.too_small:
            self.app.push_screen(fault_screen(self.walk, self.shown), self._dialog_closed)

    def action_why(self) -> None:
        """Show why this is asked, and what each answer said."""
        if self.busy:
            self._pending = self.action_why
        elif self.shown and not self.room.too_small:
            self.app.push_screen(why_screen(self.walk, self.shown), self._dialog_closed)

    def action_job(self) -> None:
        """Show the whole job of the present repair, with the numbers of this unit."""
        if self.busy or self.shown is None or self.room.too_small:
            return
        job = self.walk.whole_job()
        if job is None:
            self._tell(self.texts.message.no_job)
            return
        # The title stands at the top of the screen.
        head = head_lines(job)[1:]
        lines = [*head, *(line_text(line, words_of_job(job).caution) for line in job.lines)]
        self._show_text(job.title, lines)

    def _show_text(self, title: str, lines: list[str]) -> None:
        """A page of lines, each broken where it is too long."""

        def page(width: int) -> list[str]:
            return [row for line in lines for row in (wrap(line, width) if len(line) > width else [line])]

        self.app.push_screen(
            PictureScreen(lambda _: page, [title], self.texts.foot.reasons), self._dialog_closed
        )

    def action_save_text(self) -> None:
        """Write the callout in short as a text file, and show it."""
        if self.busy or self.shown is None or self.room.too_small:
            return
        summary = summary_of(self.walk.book, self.walk.events, self.walk.possible())
        text = summary_text(summary, self.language)
        said = save_text(self.walk, text)
        self.app.copy_to_clipboard(text)
        self._show_text(self.texts.dialog.in_short, [said, "", *text.splitlines()])

    def action_theme(self) -> None:
        """Change between sunlight, dark, and the terminal's own colours."""
        self.app.theme = next_theme(self.app.theme)

    def action_help(self) -> None:
        """Show the help."""
        self.app.push_screen(HelpScreen(effective_keys(self, self.texts), texts=self.texts))
