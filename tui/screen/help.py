"""The full-screen help."""

from collections.abc import Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen, Screen
from textual.widgets import Static

from tui.help_text import ABOUT, KEY_HELP, KEY_NAMES
from tui.screen.bar import Bar
from tui.screen.page import STRONG, to_text
from tui.screen.wrap import cut, wrap

FOOT = " Esc goes back   PgUp, PgDn scroll"


class HelpScreen(ModalScreen[None]):
    """What the keys do and what the numbers mean."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,question_mark,enter", "back", "go back", id="help_back"),
        Binding("pagedown,down,space", "page(1)", "scroll down", id="help_down"),
        Binding("pageup,up", "page(-1)", "scroll up", id="help_up"),
    ]

    def __init__(self, keys: Sequence[tuple[str, str]], about: Sequence[str] = ABOUT) -> None:
        """``keys``: (key, what it does); ``about``: paragraphs on what is shown, a walk's by default."""
        super().__init__()
        self._keys, self._about = keys, about

    def compose(self) -> ComposeResult:
        """The keys, then what the screen means."""
        yield Bar(" Help", id="head", markup=False)
        with VerticalScroll(classes="scroll", can_focus=False):
            yield Static(id="text", markup=False)
        yield Bar(id="foot", markup=False)

    def on_resize(self) -> None:
        """Fit the text to the new size."""
        width = max(1, self.size.width - 2)
        size = max(len(key) for key, _ in self._keys) + 2
        lines: list[tuple[str, str]] = []
        for key, what in self._keys:
            front = key.ljust(size) if width >= 40 else f"{key}: "
            lines += [(line, "") for line in wrap(what, width, front, None if width >= 40 else "  ")]
        for paragraph in self._about:
            lines += [("", ""), *((line, "") for line in wrap(paragraph, width))]
        lines[0] = (lines[0][0], STRONG)
        self.query_one("#text", Static).update(to_text(lines))
        self.query_one("#foot", Static).update(cut(FOOT, self.size.width))

    def action_page(self, by: int) -> None:
        """Scroll."""
        box = self.query_one(".scroll")
        box.scroll_relative(y=by * max(1, box.size.height - 1), animate=False, immediate=True)

    def action_back(self) -> None:
        """Close the help."""
        self.dismiss(None)


def effective_keys(screen: Screen[Any]) -> list[tuple[str, str]]:
    """The keys that do something on a screen now, as (keys, what they do), read from its bindings."""
    keys: dict[str, list[str]] = {}
    for key, active in screen.active_bindings.items():
        binding = active.binding
        name = binding.id or ""
        kind = name if name in KEY_HELP else name.split("_")[0]
        if kind in KEY_HELP or binding.show:
            shown = KEY_NAMES.get(key, key.capitalize() if len(key) > 1 else key)
            keys.setdefault(KEY_HELP.get(kind, binding.description), []).append(shown)
    order = list(KEY_HELP.values())
    ranked = sorted(keys.items(), key=lambda row: order.index(row[0]) if row[0] in order else len(order))
    return [(_together(names), what) for what, names in ranked]


def _together(names: Sequence[str]) -> str:
    """Keys in few words: ten digits as a range.

    >>> _together(["0", "1", "2", "3", "j"]), _together(["Up", "Down"])
    ('0 to 3, j', 'Up, Down')
    """
    digits = sorted(name for name in names if name.isdigit())
    others = [name for name in names if not name.isdigit()]
    return ", ".join(([f"{digits[0]} to {digits[-1]}"] if len(digits) > 2 else digits) + others)
