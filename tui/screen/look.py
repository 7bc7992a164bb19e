"""The widgets of a walk's screen and what is put in them."""

from collections.abc import Sequence

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from diagnose.steps import Choice
from diagnose.walk import Walk
from diagnose.walk_view import View
from tui.lines import fit_text
from tui.screen.bar import Bar
from tui.screen.leaders import beside, leader_lines, split
from tui.screen.page import (
    STRONG,
    answer_lines,
    end_lines,
    foot_line,
    head_line,
    question_lines,
    rule,
    strip_lines,
    to_text,
)
from tui.screen.room import BESIDE, Room, Wanted, share_out
from tui.screen.wrap import cut, wrap
from tui.texts import texts_in
from tui.texts.english import ENGLISH
from tui.texts.kinds import Texts
from tui.trip_lines import trip_warning

TOO_SMALL = ENGLISH.page.too_small
FAULT_ROWS = 7
"""Rows that the five faults may take beside a few answers: two long titles go on below."""
TALL = 30
"""From so many rows on every title may go on below."""


class Look(Screen[None]):
    """Shows a view. What keys do is in `tui.screen.walk_screen`."""

    def __init__(self, walk: Walk, record: str) -> None:
        super().__init__()
        self.walk = walk
        self.record = record
        self.shown: View | None = None
        self.marked = 0
        self.message = ""
        self.unsure = False
        """Whether the next answer is taken as not sure."""
        self.room = Room(0, 0, too_small=True)
        self._question_rows = 0
        self._must = 0
        self._left = 0
        """Columns of the answers where the faults stand beside them; 0 where they stand below."""
        self.working = ""
        """What is being worked out; stands in the rule over the answers."""

    @property
    def language(self) -> str:
        """The language in which the page is read."""
        return self.walk.book.language

    @property
    def texts(self) -> Texts:
        """What the page says itself."""
        return texts_in(self.language)

    def compose(self) -> ComposeResult:
        """The parts, top to bottom."""
        yield Static(id="small", markup=False)
        yield Bar(id="head", markup=False)
        yield Static(id="strip", markup=False)
        yield Static(id="fit", markup=False)
        with VerticalScroll(id="question", can_focus=False):
            yield Static(id="page", markup=False)
        yield Static(id="rule", markup=False)
        with VerticalScroll(id="answers", can_focus=False):
            yield Static(id="choices", markup=False)
        yield Static(id="leaders", markup=False)
        yield Bar(id="foot", markup=False)

    def on_resize(self) -> None:
        """Fit everything to the new size."""
        self.draw()

    def draw(self) -> None:
        """Put the present view on the screen."""
        view = self.shown
        if view is None or not self.is_mounted:
            return
        width, height = self.size
        inner = max(1, width - 2)
        choices = view.step.choices if view.step else ()
        question, must = self.question(view, inner)
        self._question_rows, self._must = len(question), must
        stands_beside = bool(view.leaders and view.step) and width >= BESIDE[0] and height >= BESIDE[1]
        left = self._left = split(choices, width) if stands_beside else 0
        answers, first, last = self.answers(choices, left - 2 if left else inner)
        rows = [Text(line, style=style) for line, style in answers]
        if left:
            most = max(len(answers), FAULT_ROWS if height < TALL else 2 * len(view.leaders))
            rows = beside(
                answers, leader_lines(view.leaders, width - left - 1, most, self.language), left - 1
            )
        strip = strip_lines(view.sections, inner, self.language) if view.sections else []
        fit_rows = self._notices(view, inner)
        below = 0 if left else len(view.leaders)
        wanted = Wanted(len(question), must, len(rows), len(strip), len(fit_rows), below)
        self.room = room = share_out(width, height, wanted)
        self._show_parts(room)
        self._put("head", to_text([(head_line(self.walk, view, width).plain, "")]))
        self._put("strip", to_text([(" " + line, "") for line in strip]))
        self._put("fit", to_text([(" " + line, "") for line in fit_rows]))
        self._put("page", to_text(question))
        self._put("choices", Text("\n").join(rows))
        leaders = leader_lines(view.leaders[: room.leaders], inner, room.leaders, self.language)
        self._put(
            "leaders",
            to_text([(rule(width, self.texts.page.faults), ""), *((" " + line, "") for line in leaders)]),
        )
        self._put("foot", to_text([(cut(self.foot(view, width), width), "")]))
        self.query_one("#answers").scroll_to(y=max(0, last + 1 - room.answers), animate=False)
        if first < self.query_one("#answers").scroll_offset.y:
            self.query_one("#answers").scroll_to(y=first, animate=False)
        self.draw_rule()

    def _notices(self, view: View, width: int) -> list[str]:
        """What must be told beside the question: the trip, answers that do not fit, the last message."""
        left = self.walk.trip()
        warning = trip_warning(left, self.language) if left else ""
        fit = fit_text(self.walk, view)
        rows = [row for text in (warning, fit) if text for row in wrap(text, width, "! ")[:2]]
        return rows + (wrap(self.message, width)[:2] if self.message.strip() else [])

    def question(self, view: View, width: int) -> tuple[list[tuple[str, str]], int]:
        """Lines of the page with their style, and how many of them must be seen before anything else."""
        if view.step:
            return question_lines(view.step, view.state.hold, width, self.language)
        lines = end_lines(self.walk, self.record, width)
        return lines, len(lines)

    def answers(self, choices: Sequence[Choice], width: int) -> tuple[list[tuple[str, str]], int, int]:
        """Lines of the answers, and the first and the last line of the marked one."""
        return answer_lines(choices, self.marked, width, self.unsure)

    def foot(self, view: View, width: int) -> str:
        """The keys that do something now."""
        return foot_line(view, width, self.unsure, self.language)

    def draw_rule(self) -> None:
        """The line under the question says when there is more of it, and above all more cautions."""
        view, width = self.shown, self.size.width
        seen = self.room.question + round(self.query_one("#question").scroll_offset.y)
        more = self._question_rows > seen
        texts = self.texts.page
        text = "" if view is None or view.step is None else texts.answers
        if self.unsure:
            text = texts.not_sure
        if more:
            text = texts.more_not_sure if self.unsure else texts.more
        if view and view.step and view.step.cautions and self._must > seen:
            text = texts.more_cautions
        text = self.working or text
        left = self._left
        line = rule(left, text) + rule(width - left, texts.faults) if left else rule(width, text)
        self._put("rule", to_text([(line, STRONG if more or self.unsure else "")]))

    def _show_parts(self, room: Room) -> None:
        self.query_one("#small", Static).update(self.texts.page.too_small)
        shown = {
            "small": room.too_small,
            "head": room.frame and not room.too_small,
            "foot": room.frame and not room.too_small,
            "rule": room.frame and not room.too_small,
            "strip": room.strip > 0,
            "fit": room.fit > 0,
            "leaders": room.leaders > 0,
            "question": not room.too_small,
            "answers": not room.too_small and room.answers > 0,
        }
        for name, here in shown.items():
            self.query_one(f"#{name}").display = here
        self.query_one("#answers").styles.height = max(1, room.answers)

    def _put(self, name: str, text: object) -> None:
        self.query_one(f"#{name}", Static).update(text)  # type: ignore[arg-type]
