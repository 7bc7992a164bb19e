"""The screen of a walk: its keys."""

import time
from collections.abc import Callable
from typing import ClassVar, Final

from textual.binding import Binding, BindingType

from diagnose.typed import NotAnAnswer
from diagnose.unsure import DOUBT, told
from diagnose.volunteer import Offer
from diagnose.walk import TICKED, Walk
from tui.lines import answers_so_far
from tui.screen.picker import Picker
from tui.screen.reading import ReadingScreen
from tui.screen.volunteer import VolunteerScreen
from tui.screen.walk_work import WalkWork

SAME_KEY_AGAIN: Final = 0.4
"""Seconds in which the same answer key counts once: a gloved finger bounces for 0.1 to 0.2 s, and nobody
reads the next question in less than half a second."""


class WalkScreen(WalkWork):
    """Asks, takes answers, shows what they mean."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(str(n), f"answer('{n}')", f"answer {n}", id=f"answer_{n}", show=False) for n in range(10)),
        *(Binding(key, f"answer('{key}')", f"answer {key}", id=f"answer_{key}", show=False) for key in "jkl"),
        Binding("enter", "take_marked", "take the marked answer", id="take_marked"),
        Binding("up", "mark(-1)", "mark the answer above", id="mark_up"),
        Binding("down", "mark(1)", "mark the answer below", id="mark_down"),
        Binding("space,x", "tick", "tick the next step", id="tick"),
        Binding("pagedown", "page(1)", "scroll the question down", id="page_down"),
        Binding("pageup", "page(-1)", "scroll the question up", id="page_up"),
        Binding("u", "undo", "take the last answer back", id="undo"),
        Binding("c", "change", "change an earlier answer", id="change"),
        Binding("r", "reading", "type a reading", id="reading"),
        Binding("n", "doubt", "not sure", id="doubt"),
        Binding("v", "view", "what it looks like", id="view"),
        Binding("slash", "volunteer", "what was just said", id="volunteer"),
        Binding("p", "hand_over", "write the hand-over page", id="hand_over"),
        Binding("f", "faults", "the likely faults, and a page for each", id="faults"),
        Binding("w", "why", "why this", id="why"),
        Binding("o", "job", "the whole job", id="job"),
        Binding("g", "pictures", "timeline and graphs", id="pictures"),
        Binding("s", "save_text", "the callout in short, as a text file", id="save_text"),
        Binding("y", "prove", "prove now what was put right and not proved", id="prove"),
        Binding("t", "theme", "sunlight, dark, own colours", id="theme"),
        Binding("question_mark", "help", "help", id="help"),
        Binding("q", "leave", "leave", id="leave"),
    ]

    def __init__(
        self,
        walk: Walk,
        record: str,
        note: str = "",
        monotonic: Callable[[], float] = time.monotonic,
        ahead: bool = True,
    ) -> None:
        super().__init__(walk, record, note, monotonic, ahead)
        self._last_key = ("", float("-inf"))

    def _deaf(self, key: str) -> bool:
        """Whether an answer key must not count now. A key that was pressed on purpose is told so."""
        now = self._monotonic()
        last, when = self._last_key
        bounced = (key == last and now - when < SAME_KEY_AGAIN) or now - self._dialog_shut < SAME_KEY_AGAIN
        self._last_key = (key, now)
        if bounced or self.room.too_small:
            return True
        if self.busy:
            self._tell(self.texts.message.still_working)
        elif now - self._changed_at < SAME_KEY_AGAIN:
            self._tell(self.texts.message.key_not_taken)
        return self.busy or now - self._changed_at < SAME_KEY_AGAIN

    def _doubted(self, answer: str) -> str:
        """The answer as it is typed, with its doubt."""
        text, sure = told(answer)
        return text if sure and not self.unsure else text + DOUBT

    def _give(self, answer: str) -> None:
        self._change(lambda: self.walk.answer(answer))

    def action_answer(self, key: str) -> None:
        """Give the answer with that number."""
        if self._deaf(key) or self.shown is None or self.shown.step is None:
            return
        keys = [choice.key for choice in self.shown.step.choices]
        if key not in keys:
            self._tell(self.texts.message.no_answer.format(key=key))
            return
        self.marked = keys.index(key)
        self._give(self._doubted(key))

    def action_take_marked(self) -> None:
        """Give the marked answer."""
        if self.shown is None:
            return
        if self.shown.step is None:
            self.action_leave()
        elif not self._deaf("enter"):
            choice = self.shown.step.choices[self.marked]
            self._give(self._doubted(choice.answer))

    def action_mark(self, by: int) -> None:
        """Move the mark."""
        if self.busy or self.shown is None or self.shown.step is None:
            return
        self.marked = (self.marked + by) % len(self.shown.step.choices)
        self.draw()

    def action_page(self, by: int) -> None:
        """Scroll the question."""
        box = self.query_one("#question")
        box.scroll_relative(y=by * max(1, self.room.question - 1), animate=False, immediate=True)
        self.call_after_refresh(self.draw_rule)

    def action_tick(self) -> None:
        """Tick the next step of the page; where there are none, scroll."""
        if self.busy or self.shown is None or self.room.too_small:
            return
        if self.shown.step is None or self.shown.step.kind not in TICKED or not self.shown.step.steps:
            self.action_page(1)
            return
        self._change(self.walk.tick, same_page=True)

    def action_undo(self) -> None:
        """Take the last answer back."""
        if self.busy or self.room.too_small:
            return

        def undo() -> None:
            if not self.walk.undo():
                raise NotAnAnswer(self.texts.message.nothing_before)

        self._change(undo)

    def action_change(self) -> None:
        """Pick an earlier answer to change."""
        if self.busy or self.shown is None or self.shown.step is None or self.room.too_small:
            return
        given = answers_so_far(self.walk)
        if not given:
            self._tell(self.texts.message.no_findings)
            return

        def chosen(number: int | None) -> None:
            self._dialog_closed()
            if number is not None:
                self._change(lambda: self.walk.ask(given[number].id))

        rows = [f"{item.question} {item.answer}" for item in given]
        self.app.push_screen(
            Picker(self.texts.dialog.which_change, rows, foot=self.texts.foot.picker), chosen
        )

    def action_reading(self) -> None:
        """Type a reading."""
        if self.busy or self.shown is None or self.shown.step is None or self.room.too_small:
            return
        step = self.shown.step
        if not step.reading:
            self._tell(self.texts.message.no_reading)
            return

        def attempt(text: str) -> str:
            typed = self._doubted(text)
            try:
                self.walk.understood(typed)
            except NotAnAnswer as error:
                return str(error)
            self._give(typed)
            return ""

        self.app.push_screen(ReadingScreen(step, attempt, self.unsure, self.language), self._dialog_closed)

    def action_doubt(self) -> None:
        """Take the next answer as not sure, or as sure again."""
        if self.busy or self.shown is None or self.shown.step is None or self.room.too_small:
            return
        if self.shown.step.kind == "check":
            self.unsure = not self.unsure
            self._tell("")
        else:
            self._tell(self.texts.message.cannot_doubt)

    def action_volunteer(self) -> None:
        """Type what was just said, and take the finding."""
        if self.busy or self.shown is None or self.shown.step is None or self.room.too_small:
            return

        def chosen(picked: tuple[Offer, bool] | None) -> None:
            self._dialog_closed()
            if picked is not None:
                offer, sure = picked
                self._change(lambda: self.walk.volunteer(offer.question, offer.answer, sure))

        self.app.push_screen(VolunteerScreen(self.walk.offers, self.unsure, self.texts), chosen)

    def action_prove(self) -> None:
        """Ask for the proof of what ended without one."""
        if not self.busy and self.shown and self.shown.step is None:
            self._change(self.walk.prove_now)

    def action_leave(self) -> None:
        """Leave; everything is saved."""
        self.app.exit(None)
