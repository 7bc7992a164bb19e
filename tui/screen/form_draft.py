"""Where one is in a new unit sheet, and what stands on each line; no widget here."""

from dataclasses import dataclass, field
from typing import Any

from diagnose.sheet_draft import SheetDraft


@dataclass
class FormDraft:
    """A sheet being asked for; what was typed stays, also while it is wrong."""

    draft: SheetDraft = field(default_factory=SheetDraft)
    place: int = 0
    """Number of the field that is asked for now."""
    lines: dict[str, str] = field(default_factory=dict)
    """What stands on a line where that is not what the sheet took."""
    wrong: str = ""
    """What is wrong with the line that stands there now."""

    @property
    def name(self) -> str:
        """The field that is asked for now."""
        return self.draft.asked[self.place]

    @property
    def about(self) -> dict[str, Any]:
        """What it is, with its unit and range, or its words."""
        return self.draft.about(self.name)

    @property
    def words(self) -> list[str]:
        """The words that it can be; none for a number or a name."""
        return list(self.about.get("words", ()))

    @property
    def line(self) -> str:
        """What stands on its line."""
        return self.lines.get(self.name, self.draft.typed.get(self.name, ""))

    @property
    def part(self) -> str:
        """The part of the sheet that it belongs to."""
        return part_of(self.name)

    def parts(self) -> list[str]:
        """Every part in the order in which it is asked for."""
        return list(dict.fromkeys(part_of(name) for name in self.draft.asked))

    def place_in_part(self) -> tuple[int, int]:
        """(number of the field in its part, fields of that part)."""
        fellows = [name for name in self.draft.asked if part_of(name) == self.part]
        return fellows.index(self.name) + 1, len(fellows)

    def write(self, line: str) -> None:
        """Put this on the line; it is not taken yet."""
        self.lines[self.name] = line
        self.wrong = ""

    def turn(self, by: int) -> None:
        """Put the next of its words, or the one before, on the line."""
        words = self.words
        if self.line in words:
            self.write(words[(words.index(self.line) + by) % len(words)])
        elif words:
            self.write(words[0 if by > 0 else -1])

    def take(self) -> bool:
        """Put what stands on the line into the sheet; False when the core will not have it."""
        try:
            self.draft.take(self.name, self.line)
        except ValueError as error:
            what, _, mend = str(error).partition(" | ")
            self.wrong = f"{what.rstrip('.')}. {mend}".strip()
            return False
        self.lines.pop(self.name, None)
        self.wrong = ""
        return True

    def on(self) -> bool:
        """Take the line and ask for the next field; False when that was the last one or it is not taken."""
        if not self.take() or self.place + 1 == len(self.draft.asked):
            return False
        self.go(self.place + 1)
        return True

    def back(self) -> None:
        """Ask for the field before; what stands here is taken, or stays on its line when it is wrong."""
        self.take()
        self.go(max(0, self.place - 1))

    def go(self, place: int) -> None:
        """Ask for this field; what still stands wrong on its line is told of."""
        self.place = place
        self.wrong = ""
        if self.name in self.lines:
            self.take()

    def left_over(self) -> list[str]:
        """Lines that the sheet has not taken, as `valve.cv: 12 x`; they would not be written."""
        return [f"{name}: {line}" for name, line in self.lines.items() if line.strip()]


def part_of(name: str) -> str:
    """The part of the sheet that a field belongs to; the two names belong to the first.

    >>> part_of("output_line.size"), part_of("site")
    ('output line', 'name')
    """
    part, dot, _ = name.partition(".")
    return part.replace("_", " ") if dot else "name"
