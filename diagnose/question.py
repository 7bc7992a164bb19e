"""What is asked of the engine in one go, read from words like ``CHECK=OUTCOME``."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from diagnose.events import COULD_NOT_TELL
from diagnose.readings import judge
from diagnose.sheet import Unit, quantities_of
from diagnose.units import NotAQuantity, parse
from diagnose.unsure import doubted, told
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest
from knowledge.schema import Check
from knowledge.words import HOLDS, UNKNOWN

COMPLAINT: Final = "complaint"


@dataclass(frozen=True)
class Question:
    """What is asked of the engine in one go."""

    facts: Mapping[str, str]
    complaints: tuple[str, ...] = ()
    findings: Mapping[str, str] = field(default_factory=dict)
    could_not_tell: tuple[str, ...] = ()
    readings: Mapping[str, str] = field(default_factory=dict)
    """The readings among the findings, as they were given."""
    soft: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    """The weight of each outcome, for each reading by the gauge's grade, and for what is not sure."""
    quantities: Mapping[str, float] = field(default_factory=dict)
    """The unit's own numbers that readings were judged by, each in the book's unit for it."""
    hold: str = "running"
    unsure: frozenset[str] = frozenset()
    """The findings that are thought to be so, but are not sure."""


def understand(
    book: Book, unit: Unit, sets: Sequence[str], saws: Sequence[str], hold: str = "running"
) -> Question:
    """Read ``FACT=VALUE`` and ``CHECK=OUTCOME`` words against a book; ``CHECK=OUTCOME?`` is not sure.

    Raises `InputProblems` with everything that is wrong in them at once.
    """
    problems: list[Problem] = []
    facts, quantities = dict(unit.facts), dict(unit.quantities)
    values = {name: fact.values for name, fact in book.facts.items()}
    values |= {name: fact.values for name, fact in book.computed.items()}
    for word in sets:
        name, value = _split("--set", word, "FACT=VALUE", problems)
        if name in book.quantities:
            quantities |= _quantity(book, word, name, value, problems)
        elif name and name not in values:
            problems.append(
                Problem(
                    "--set",
                    word,
                    f"there is no fact named {name!r}",
                    nearest(name, [*values, *book.quantities]),
                )
            )
        elif name and value == UNKNOWN:
            facts.pop(name, None)
        elif name and value not in values[name]:
            known = [*values[name], UNKNOWN]
            problems.append(Problem("--set", word, f"{name} is never {value!r}", nearest(value, known)))
        elif name:
            facts[name] = value
    question = _Saws(book, quantities, problems)
    for word in saws:
        question.take(word)
    question.told_with_complaints(facts)
    if hold not in HOLDS:
        problems.append(Problem("--hold", "", f"there is no hold named {hold!r}", nearest(hold, HOLDS)))
    if problems:
        raise InputProblems(problems)
    return Question(
        facts,
        tuple(question.complaints),
        question.findings,
        tuple(question.could_not_tell),
        question.readings,
        question.weights(),
        quantities,
        hold,
        question.unsure,
    )


def _quantity(book: Book, word: str, name: str, value: str, problems: list[Problem]) -> dict[str, float]:
    """A number of the unit given for this occasion, in the book's unit for it."""
    entry = book.quantities[name]
    try:
        return {name: parse(value, as_unit=entry.unit).to(entry.unit)}
    except NotAQuantity as error:
        problems.append(Problem("--set", word, str(error).rstrip(".")))
        return {}


def _split(option: str, word: str, form: str, problems: list[Problem]) -> tuple[str, str]:
    name, equals, value = word.partition("=")
    if not equals or not name.strip() or not value.strip():
        problems.append(Problem(option, word, "does not say which and what", f"Write it as {form}."))
        return "", ""
    return name.strip(), value.strip()


class _Saws:
    """Collects the findings of one question, and what is wrong with them."""

    def __init__(self, book: Book, given: Mapping[str, float], problems: list[Problem]) -> None:
        self.book, self.problems = book, problems
        self.quantities = quantities_of(book, given)
        self.complaints: list[str] = []
        self.findings: dict[str, str] = {}
        self.could_not_tell: list[str] = []
        self.readings: dict[str, str] = {}
        self.by_gauge: dict[str, Mapping[str, float]] = {}
        self.sure: set[str] = set()

    def take(self, word: str) -> None:
        book = self.book
        name, value = _split("--saw", word, "CHECK=OUTCOME", self.problems)
        if not name:
            return
        if name == COMPLAINT:
            self._one_of(word, value, book.complaints, "complaint", self.complaints.append)
        elif name in book.checks or name in book.facts:
            self._finding(word, name, value)
        else:
            known = [COMPLAINT, *book.checks, *book.facts]
            self.problems.append(
                Problem("--saw", word, f"there is no check named {name!r}", nearest(name, known))
            )

    def told_with_complaints(self, facts: Mapping[str, str]) -> None:
        """What the complaints tell of the unit, where nothing else does."""
        for complaint in self.complaints:
            for fact, value in self.book.complaints[complaint].says.items():
                if fact not in {*facts, *self.findings, *self.could_not_tell}:
                    self.findings[fact] = value
                    self.sure.add(fact)

    @property
    def unsure(self) -> frozenset[str]:
        """Findings of which nobody was sure."""
        return frozenset(self.findings) - self.sure

    def weights(self) -> dict[str, Mapping[str, float]]:
        """The weight of each outcome, for readings and for what is not sure."""
        soft = dict(self.by_gauge)
        for name in self.unsure:
            soft[name] = doubted(soft.get(name, {self.findings[name]: 1.0}), self._answers(name))
        return soft

    def _answers(self, name: str) -> list[str]:
        asked = self.book.question(name)
        return list(asked.outcomes if isinstance(asked, Check) else asked.values)

    def _finding(self, word: str, name: str, value: str) -> None:
        """What a check showed, a reading of it, or the value of a fact."""
        text, sure = told(value)
        check = self.book.checks.get(name)
        if check and check.reading and text and text[0] in "+-.0123456789":
            try:
                judged = judge(check.reading, text, self.quantities)
                self._keep(word, name, judged.outcome, sure)
                self.readings[name] = text
                self.by_gauge[name] = judged.weights
            except NotAQuantity as error:
                self.problems.append(Problem("--saw", word, str(error).rstrip(".")))
        elif text == COULD_NOT_TELL:
            self.could_not_tell.append(name)
        else:
            self._one_of(
                word,
                text,
                self._answers(name),
                f"outcome of {name}",
                lambda outcome: self._keep(word, name, outcome, sure),
            )

    def _one_of(self, word: str, value: str, known: Any, what: str, keep: Any) -> None:
        if value in known:
            keep(value)
        else:
            self.problems.append(
                Problem("--saw", word, f"{value!r} is no {what}", nearest(value, [*known, COULD_NOT_TELL]))
            )

    def _keep(self, word: str, name: str, outcome: str, sure: bool) -> None:
        if self.findings.get(name, outcome) != outcome:
            self.problems.append(
                Problem(
                    "--saw",
                    word,
                    f"{name} was also given as {self.findings[name]!r}",
                    "Give one outcome for each check.",
                )
            )
        self.findings[name] = outcome
        if sure:
            self.sure.add(name)
