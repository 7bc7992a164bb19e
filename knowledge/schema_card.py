"""The schema of a help card: what a thing looks like, in a small drawing and a few sentences."""

import re
from typing import Annotated, Final, Self

from pydantic import Field, model_validator

from knowledge.schema_parts import Part, Text

WIDEST: Final = 56
"""Columns of a drawing: it stands whole, with its margins, in a window of 60."""
TALLEST: Final = 12
"""Lines of a drawing: with its words it stands whole in a window of 24 lines."""
NO_CARD: Final = "none"
"""The card of a check of nothing that must be found: a number to be told, somebody to be asked."""

_WORD: Final = re.compile(r"[A-Za-z]{2,}")


class Card(Part):
    """What a thing looks like, where it is, what right and wrong look like.

    The drawing is plain ASCII. A digit in it stands for the name at that place in ``names``, so that the
    words are outside the drawing: for another language, and for somebody who only hears them.
    """

    title: Text
    drawing: str = Field(default="", description=f"plain ASCII, at most {WIDEST} columns by {TALLEST} lines")
    names: Annotated[list[Text], Field(max_length=9)] = Field(
        default=[], description="what the digits 1, 2, 3 … in the drawing stand for, in order"
    )
    see: Text = Field(description="what it looks like, in a sentence or two")
    where: Text | None = Field(default=None, description="where it is")
    right: Text = Field(description="what right looks like")
    wrong: Text | None = Field(default=None, description="what wrong looks like")

    @property
    def rows(self) -> list[str]:
        """The lines of the drawing without blanks at their ends."""
        return [line.rstrip() for line in self.drawing.rstrip().split("\n")] if self.drawing else []

    @model_validator(mode="after")
    def _drawn_small_and_plain(self) -> Self:
        rows = self.rows
        if len(rows) > TALLEST or any(len(row) > WIDEST for row in rows):
            raise ValueError(
                f"the drawing is {max(map(len, rows))} columns by {len(rows)} lines | "
                f"Make it at most {WIDEST} by {TALLEST}."
            )
        odd = sorted({letter for row in rows for letter in row if not " " <= letter <= "~"})
        if odd:
            raise ValueError(f"the drawing holds {' '.join(odd)!r} | Use plain ASCII characters.")
        words = _WORD.findall(self.drawing)
        if words:
            raise ValueError(
                f"the drawing has words in it: {', '.join(words)} | Put a digit there, its words into names."
            )
        drawn = {letter for row in rows for letter in row if letter.isdigit()}
        named = {str(number) for number in range(1, len(self.names) + 1)}
        if drawn != named:
            raise ValueError(
                f"the drawing's digits are {_listed(drawn)}, its names are for {_listed(named)} | "
                "Give each digit one name, from 1 on."
            )
        return self


def _listed(digits: set[str]) -> str:
    return ", ".join(sorted(digits)) or "none"
