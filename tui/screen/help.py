"""The full-screen help."""

from collections.abc import Sequence
from typing import Any, ClassVar

from textual.binding import Binding, BindingType
from textual.screen import Screen

from tui.screen.page import STRONG
from tui.screen.scrolled import ScrolledPage
from tui.screen.wrap import wrap
from tui.texts.english import ENGLISH
from tui.texts.kinds import Texts


class HelpScreen(ScrolledPage[None]):
    """What the keys do and what the numbers mean."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("question_mark", "back", "go back", id="help_back", show=False)
    ]

    def __init__(
        self, keys: Sequence[tuple[str, str]], about: Sequence[str] = (), texts: Texts = ENGLISH
    ) -> None:
        """``keys``: (key, what it does); ``about``: paragraphs on what is shown, a walk's by default."""
        super().__init__(texts.dialog.help, texts.foot.help_page)
        self._keys, self._about = keys, about or texts.help.about

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


def effective_keys(screen: Screen[Any], texts: Texts = ENGLISH) -> list[tuple[str, str]]:
    """The keys that do something on a screen now, as (keys, what they do), read from its bindings."""
    told = texts.help.keys
    keys: dict[str, list[str]] = {}
    for key, active in screen.active_bindings.items():
        binding = active.binding
        name = binding.id or ""
        kind = name if name in told else name.split("_")[0]
        if kind in told or binding.show:
            shown = texts.help.names.get(key, key.capitalize() if len(key) > 1 else key)
            keys.setdefault(told.get(kind, binding.description), []).append(shown)
    order = list(told.values())
    ranked = sorted(keys.items(), key=lambda row: order.index(row[0]) if row[0] in order else len(order))
    return [(_together(names, texts.help.span), what) for what, names in ranked]


def _together(names: Sequence[str], span: str) -> str:
    """Keys in few words: ten digits as a range.

    >>> _together(["0", "1", "2", "3", "j"], "{first} to {last}"), _together(["Up", "Down"], "")
    ('0 to 3, j', 'Up, Down')
    """
    digits = sorted(name for name in names if name.isdigit())
    others = [name for name in names if not name.isdigit()]
    return ", ".join(
        ([span.format(first=digits[0], last=digits[-1])] if len(digits) > 2 else digits) + others
    )
