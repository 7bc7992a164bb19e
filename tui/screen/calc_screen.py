"""The calculators on the screen: a list of them, and one with its answers changing while one types."""

from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Key, Paste
from textual.screen import Screen
from textual.widgets import Static

from diagnose.calculators.curves import charts_of
from diagnose.calculators.run import CALCULATORS
from knowledge.problems import InputProblems, Problem, nearest
from tui.plots import chart_lines
from tui.screen.bar import Bar
from tui.screen.calc_form import CalcForm
from tui.screen.calc_lines import (
    LEAST,
    detail_lines,
    detail_rows,
    foot_line,
    head_line,
    input_lines,
    input_rows,
    result_lines,
    rule_text,
)
from tui.screen.look import TOO_SMALL
from tui.screen.page import STRONG, rule, to_text
from tui.screen.picker import Picker
from tui.screen.pictures import PictureScreen
from tui.screen.plate import Plate
from tui.screen.typed_line import after_key, after_paste

CURVE_FOOT = "Esc goes back   0-1 another curve   PgUp, PgDn"
LIST_FOOT = "Number or Enter picks   Up, Down move   Esc or q leaves   F2 sun/dark"


class CalcScreen(Screen[None]):
    """One calculator: inputs above, answers below, worked out anew at every change."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,shift+tab", "mark(-1)", "the input above", id="calc_up"),
        Binding("down,tab,enter", "mark(1)", "the input below", id="calc_down"),
        Binding("left", "turn(-1)", "the word before", id="calc_left"),
        Binding("right", "turn(1)", "the next word", id="calc_right"),
        Binding("pagedown", "page(1)", "more answers", id="calc_page_down"),
        Binding("pageup", "page(-1)", "answers before", id="calc_page_up"),
        Binding("f3", "curve", "the curve", id="calc_curve"),
        Binding("escape", "back", "back to the list", id="calc_back"),
    ]

    def __init__(self, form: CalcForm) -> None:
        super().__init__()
        self.form = form
        self._from = 0

    def compose(self) -> ComposeResult:
        """The parts, top to bottom."""
        for name in ("small", "head", "inputs", "detail", "rule", "results", "foot"):
            yield (Bar if name in ("head", "foot") else Static)(id=name, markup=False)

    def on_resize(self) -> None:
        """Fit everything to the new size."""
        self.draw()

    def on_key(self, event: Key) -> None:
        """A key that types goes on the marked line; at a word only its number does."""
        line = after_key(self.form.line, event)
        if line is None or self._too_small():
            return
        event.stop()
        event.prevent_default()
        typing = len(line) > len(self.form.line)
        if line[-1:] == "q" and typing and (self.form.entry.words or not self.form.line):
            self.app.exit(None)
        elif self.form.entry.words:
            self._word(event, line)
        else:
            self.form.write(line)
        self.draw()

    def _word(self, event: Key, line: str) -> None:
        if event.character and event.character in "0123456789":
            self.form.pick(event.character)
        elif len(line) < len(self.form.line):
            self.form.write("")

    def on_paste(self, event: Paste) -> None:
        """Pasted text goes on the marked line."""
        event.stop()
        if not self._too_small():
            self.form.write(after_paste("" if self.form.entry.words else self.form.line, event.text))
            self.draw()

    def action_mark(self, by: int) -> None:
        """Move the mark."""
        self.form.move(by)
        self.draw()

    def action_turn(self, by: int) -> None:
        """Pick the next word."""
        if self.form.entry.words and not self._too_small():
            self.form.turn(by)
            self.draw()

    def action_page(self, by: int) -> None:
        """Scroll the answers."""
        self._from += by * max(1, self._result_rows() - 1)
        self.draw()

    def action_curve(self) -> None:
        """Show the curves of the last answers, where there are any."""
        charts = charts_of(self.form.result, self.form.sheet) if self.form.result else ()
        if charts and not self._too_small():
            heads = [chart.title for chart in charts]
            self.app.push_screen(
                PictureScreen(
                    lambda number: lambda width: chart_lines(charts[number], width), heads, CURVE_FOOT
                )
            )

    def action_back(self) -> None:
        """Back to the list; what is typed stays."""
        self.dismiss(None)

    def _too_small(self) -> bool:
        return self.size.width < LEAST[0] or self.size.height < LEAST[1]

    def _input_rows(self) -> int:
        return input_rows(self.size.width, self.size.height, len(self.form.calculator.inputs))

    def _result_rows(self) -> int:
        return max(1, self.size.height - 3 - detail_rows(self.size.width) - self._input_rows())

    def draw(self) -> None:
        """Put everything on the screen."""
        width = self.size.width
        inner = max(1, width - 2)
        small = self._too_small()
        for part in self.query(Static):
            part.display = (part.id == "small") == small
        if small:
            self._put("small", [(TOO_SMALL, "")])
            return
        rows = self._result_rows()
        results = result_lines(self.form, inner)
        self._from = max(0, min(self._from, len(results) - rows))
        detail = detail_lines(self.form, inner)
        above, below = self._from > 0, self._from + rows < len(results)
        self._put("head", [(head_line(self.form, width), "")])
        self._put("inputs", input_lines(self.form, inner, self._input_rows()))
        self._put("detail", [*detail, *[("", "")] * (detail_rows(width) - len(detail))])
        self._put("rule", [(rule(width, rule_text(self.form, above, below)), STRONG)])
        self._put("results", results[self._from : self._from + rows])
        self._put("foot", [(foot_line(self.form, width), "")])

    def _put(self, name: str, lines: list[tuple[str, str]]) -> None:
        self.query_one(f"#{name}", Static).update(to_text(lines))


class CalcList(Picker):
    """All calculators; a picked one opens over the list, so that its mark and what was typed stay."""

    def __init__(self, values: Mapping[str, float | str]) -> None:
        self.forms = [CalcForm(calculator, values) for calculator in CALCULATORS.values()]
        rows = [f"{form.calculator.about} [{form.calculator.name}]" for form in self.forms]
        super().__init__("What do you want to calculate?", rows, (), LIST_FOOT)

    def action_pick(self, number: int) -> None:
        """Open by number."""
        if number < len(self.forms):
            self.open(number)

    def action_pick_marked(self) -> None:
        """Open the marked calculator."""
        self.open(self._marked)

    def open(self, number: int) -> None:
        """Open a calculator over the list, and mark it there."""
        self._marked = number
        self._draw()
        self.app.push_screen(CalcScreen(self.forms[number]))


class CalcApp(Plate):
    """The list of the calculators, and over it the one that was named."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f2", "theme", "sunlight or dark", id="calc_theme")]

    def __init__(self, name: str | None = None, values: Mapping[str, float | str] | None = None) -> None:
        super().__init__()
        self.first = name
        self.list = CalcList(values or {})

    async def on_mount(self) -> None:
        """Show the list, or the named calculator over it."""
        await self.push_screen(self.list, self.exit)
        if self.first is not None:
            self.list.open(list(CALCULATORS).index(self.first))

    def action_theme(self) -> None:
        """Change between sunlight and dark."""
        self.theme = "night" if self.theme == "sun" else "sun"


def run_calculators(name: str | None, values: Mapping[str, float | str]) -> int:
    """Show the calculators, the named one first; returns the exit code, 1 after a crash.

    ``values``: known fields of a unit sheet by path, in SI. `InputProblems` when there is none of that name.
    """
    if name is not None and name not in CALCULATORS:
        problem = Problem("calc", "", f"there is no calculator named {name!r}", nearest(name, CALCULATORS))
        raise InputProblems([problem])
    app = CalcApp(name, values)
    app.run()
    return app.return_code or 0
