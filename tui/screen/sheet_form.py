"""A new unit sheet on the screen: one field after another, each of which may stay unknown."""

from pathlib import Path
from typing import ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.events import Key, Paste
from textual.screen import Screen
from textual.widgets import Static

from diagnose.sheet_draft import SheetDraft
from knowledge.problems import InputProblems, Problem
from tui.screen.bar import Bar
from tui.screen.calc_lines import LEAST
from tui.screen.form_draft import FormDraft
from tui.screen.form_lines import asked_lines, foot_line, head_line, known_lines, part_lines
from tui.screen.look import TOO_SMALL
from tui.screen.page import rule, to_text
from tui.screen.picker import Picker
from tui.screen.plate import Plate
from tui.screen.typed_line import after_key, after_paste
from tui.sheet_plain import save, written

NOTHING_WRITTEN: Final = "Nothing is written."
LEAVE_FOOT: Final = "1-3 picks   Esc goes on asking"


class FormScreen(Screen[None]):
    """Asks for the fields and writes the sheet."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,down,tab", "on", "take it and go on", id="form_on"),
        Binding("up,shift+tab", "before", "the field before", id="form_before"),
        Binding("left", "turn(-1)", "the word before", id="form_left"),
        Binding("right", "turn(1)", "the next word", id="form_right"),
        Binding("escape", "leave", "leave", id="form_leave"),
    ]

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.path = path
        self.form = FormDraft()

    def compose(self) -> ComposeResult:
        """The parts, top to bottom."""
        for name in ("small", "head", "strip", "asked", "rule", "known", "foot"):
            yield (Bar if name in ("head", "foot") else Static)(id=name, markup=False)

    def on_resize(self) -> None:
        """Fit everything to the new size."""
        self.draw()

    def on_key(self, event: Key) -> None:
        """A key that types goes on the line; the number of a word gives that word at once."""
        form = self.form
        line = after_key(form.line, event)
        if line is None or self._too_small():
            return
        event.stop()
        event.prevent_default()
        digit = event.character if event.character and event.character in "0123456789" else ""
        if digit and form.words and (not form.line or form.line in form.words):
            self._word(int(digit))
        else:
            form.write(line)
        self.draw()

    def _word(self, number: int) -> None:
        if number > len(self.form.words):
            self.form.wrong = f"There is no word {number} here."
            return
        self.form.write(self.form.words[number - 1] if number else "")
        self.action_on()

    def on_paste(self, event: Paste) -> None:
        """Pasted text goes on the line."""
        event.stop()
        if not self._too_small():
            self.form.write(after_paste(self.form.line, event.text))
            self.draw()

    def action_on(self) -> None:
        """Take what stands there and ask for the next field; after the last one ask what to do."""
        if self._too_small():
            return
        if not self.form.on() and not self.form.wrong:
            self._ask("That was the last field.")
        self.draw()

    def action_before(self) -> None:
        """Ask for the field before."""
        if not self._too_small():
            self.form.back()
            self.draw()

    def action_turn(self, by: int) -> None:
        """Pick the next word."""
        if not self._too_small():
            self.form.turn(by)
            self.draw()

    def action_leave(self) -> None:
        """Ask what to do with the sheet."""
        self.form.take()
        self._ask("Leave?")

    def _ask(self, title: str, *notes: str) -> None:
        draft = self.form.draft
        left = [f"Not taken, and not written: {line}" for line in self.form.left_over()]
        known = f"{len(draft.typed)} of {len(draft.asked)} fields are known."
        rows = [f"Write it to {self.path}", "Go on asking", "Throw it away"]
        picker = Picker(f"{title} {known}", rows, [*notes, *left], LEAVE_FOOT)
        self.app.push_screen(picker, self._leave)

    def _leave(self, choice: int | None) -> None:
        if choice == 0:
            self._write()
        elif choice == 2:
            self.app.exit(None)
        self.draw()

    def _write(self) -> None:
        draft = self.form.draft
        if "unit" not in draft.typed:
            self.form.go(0)
            self.form.take()
            return
        try:
            save(draft, self.path)
        except InputProblems as error:
            self._ask(NOTHING_WRITTEN, *map(str, error.problems))
            return
        self.app.exit(draft)

    def _too_small(self) -> bool:
        return self.size.width < LEAST[0] or self.size.height < LEAST[1]

    def draw(self) -> None:
        """Put everything on the screen."""
        width, height = self.size
        inner = max(1, width - 2)
        small = self._too_small()
        for part in self.query(Static):
            part.display = (part.id == "small") == small
        if small:
            self._put("small", [(TOO_SMALL, "")])
            return
        parts = part_lines(self.form, inner)
        asked = asked_lines(self.form, inner, height - 2 - len(parts))
        rows = max(0, height - 3 - len(parts) - len(asked))  # head, rule and foot
        for name in ("rule", "known"):
            self.query_one(f"#{name}").display = rows > 0
        self._put("head", [(head_line(self.form, width), "")])
        self._put("strip", [(f" {line}", style) for line, style in parts])
        self._put("asked", asked)
        self._put("rule", [(rule(width, "Known so far"), "")])
        self._put("known", known_lines(self.form, inner, rows))
        self._put("foot", [(foot_line(self.form, width), "")])

    def _put(self, name: str, lines: list[tuple[str, str]]) -> None:
        self.query_one(f"#{name}", Static).update(to_text(lines))


class FormApp(Plate):
    """Gives the sheet that was written, or nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f2", "theme", "sunlight or dark", id="form_theme")]

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.form_screen = FormScreen(path)

    def on_mount(self) -> None:
        """Ask for the first field."""
        self.push_screen(self.form_screen)

    def action_theme(self) -> None:
        """Change between sunlight and dark."""
        self.theme = "night" if self.theme == "sun" else "sun"


def run_form(path: Path) -> int:
    """Ask for a new unit sheet on the screen and write it; returns the exit code, 2 when nothing is written.

    `InputProblems` before anything is asked when there is no folder to write it to.
    """
    if not path.parent.is_dir():
        raise InputProblems([Problem(str(path), "", "is in a folder that is not there", "Make it first.")])
    app = FormApp(path)
    app.run()
    if app.return_code:
        return app.return_code
    draft = app.return_value
    print(written(draft, path) if isinstance(draft, SheetDraft) else NOTHING_WRITTEN)
    return 0 if isinstance(draft, SheetDraft) else 2
