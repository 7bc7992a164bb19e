"""The full-screen help."""

from collections.abc import Sequence
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.screen import Screen

from tui.help_text import ABOUT, KEY_HELP, KEY_NAMES
from tui.screen.page import STRONG
from tui.screen.scrolled import ScrolledPage
from tui.screen.wrap import wrap

FOOT = "Esc goes back   PgUp, PgDn scroll"


class HelpScreen(ScrolledPage[None]):
    """What the keys do and what the numbers mean."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("question_mark", "back", "go back", id="help_back", show=False)
    ]

    def __init__(self, keys: Sequence[tuple[str, str]], about: Sequence[str] = ABOUT) -> None:
        """``keys``: (key, what it does); ``about``: paragraphs on what is shown, a walk's by default."""
        super().__init__("Help", FOOT)
        self._keys, self._about = keys, about

    def rows(self, width: int) -> list[tuple[str, str]]:
        """The keys, then what the screen means."""
        size = max(len(key) for key, _ in self._keys) + 2
        lines: list[tuple[str, str]] = []
        for key, what in self._keys:
            front = key.ljust(size) if width >= 40 else f"{key}: "
            lines += [(line, "") for line in wrap(what, width, front, None if width >= 40 else "  ")]
        for paragraph in self._about:
            lines += [("", ""), *((line, "") for line in wrap(paragraph, width))]
        return [(lines[0][0], STRONG), *lines[1:]]


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
