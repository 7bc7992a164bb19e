"""Which open callout to go on with, before the walk itself."""

from collections.abc import Sequence

from diagnose.history.overview import Overview
from tui.lines import callout_text
from tui.screen.picker import Picker
from tui.texts import texts_in


def chooser(found: Sequence[Overview], language: str = "en") -> Picker:
    """Gives the index among the open callouts; one past the last means a new one; None means leave."""
    texts = texts_in(language)
    rows = [texts.dialog.go_on_with.format(callout=callout_text(item, language)) for item in found]
    return Picker(texts.dialog.go_on, [*rows, texts.dialog.new_one], foot=texts.foot.chooser)
