"""What the walk itself says, in each language; both faces take it from here."""

from collections.abc import Mapping
from typing import Final

from tui.texts.english import ENGLISH
from tui.texts.kinds import Texts
from tui.texts.spanish import SPANISH

TEXTS: Final[Mapping[str, Texts]] = {texts.language: texts for texts in (ENGLISH, SPANISH)}
"""By language."""


def texts_in(language: str) -> Texts:
    """The texts of a language; the English ones where there are no others."""
    return TEXTS.get(language, ENGLISH)
