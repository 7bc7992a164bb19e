"""What is typed into a calculator, and what came back; no widget here, and nothing is computed."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.calculators.base import Calculation, Calculator, Input
from diagnose.calculators.run import from_sheet, read_inputs, value_text, work
from knowledge.problems import InputProblems


@dataclass
class CalcForm:
    """One calculator being filled in; everything typed stays until it is taken out."""

    calculator: Calculator
    sheet: Mapping[str, float | str] = field(default_factory=dict)
    """Known fields of a unit sheet by path, in SI."""
    typed: dict[str, str] = field(default_factory=dict)
    """What stands on each line, right or wrong."""
    marked: int = 0
    wrong: dict[str, str] = field(default_factory=dict)
    """What is wrong with a line, by the name of its input."""
    against: list[str] = field(default_factory=list)
    """Why there is no answer to what is typed now."""
    result: Calculation | None = None
    """The last answers that there were."""

    def __post_init__(self) -> None:
        self.work_out()

    @property
    def entry(self) -> Input:
        """The marked input."""
        return self.calculator.inputs[self.marked]

    @property
    def line(self) -> str:
        """What is typed on the marked line."""
        return self.typed.get(self.entry.name, "")

    @property
    def old(self) -> bool:
        """Whether the answers are of something else than what is typed now."""
        return bool(self.against)

    def move(self, by: int) -> None:
        """Mark another input; the last one leads to the first."""
        self.marked = (self.marked + by) % len(self.calculator.inputs)

    def write(self, line: str) -> None:
        """Put this on the marked line; nothing, and it is usual or from the sheet again."""
        if line:
            self.typed[self.entry.name] = line
        else:
            self.typed.pop(self.entry.name, None)
        self.work_out()

    def pick(self, digit: str) -> None:
        """Put the word of that number on the marked line, or the digit itself, which is then told of."""
        words = self.entry.words
        self.write(words[int(digit) - 1] if digit != "0" and int(digit) <= len(words) else digit)

    def turn(self, by: int) -> None:
        """Put the next word, or the one before, on the marked line."""
        words = self.entry.words
        now = self.line or self.standing(self.entry)[1]
        if now in words:
            self.write(words[(words.index(now) + by) % len(words)])
        else:
            self.write(words[0 if by > 0 else -1])

    def standing(self, entry: Input) -> tuple[str, str]:
        """(where the value of an empty line comes from, that value); the value may be empty."""
        known = from_sheet(self.calculator, self.sheet)
        if entry.name in known:
            return "from the sheet", value_text(known[entry.name], entry.unit)
        if entry.usual is not None:
            return "usual", value_text(entry.usual, entry.unit)
        return ("may stay empty" if entry.optional else "needed"), ""

    def work_out(self) -> None:
        """Ask for the answers to what is typed now; the last ones stay when there are none."""
        typed = {name: line.strip() for name, line in self.typed.items() if line.strip()}
        given, problems = read_inputs(self.calculator, typed)
        self.wrong = {problem.field: f"{problem.what} {problem.mend}".strip() for problem in problems}
        self.against = [f"{name}: {what}" for name, what in self.wrong.items()]
        if problems:
            return
        try:
            self.result = work(self.calculator, {**from_sheet(self.calculator, self.sheet), **given})
        except InputProblems as error:
            lacking = ", ".join(problem.field for problem in error.problems if problem.field)
            self.against = [f"Still needed: {lacking}."] if lacking else []
            self.against += [problem.what for problem in error.problems if not problem.field]
