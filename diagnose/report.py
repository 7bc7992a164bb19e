"""Findings in, everything out: what `rank` prints, as one plain structure.

The structure is what `--json` shows; its keys are a promise to scripts (`schema_version`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

from diagnose.advice import Advice, Adviser, Limits
from diagnose.compile import holds_when
from diagnose.events import COULD_NOT_TELL, SCHEMA_VERSION
from diagnose.evidence import Evidence
from diagnose.fit import Fit, fit_of
from diagnose.readings import judge
from diagnose.reasoner import Reasoner
from diagnose.sheet import Unit, quantities_of
from diagnose.steps import advice_step, judged_by, why_of
from diagnose.units import NotAQuantity, parse
from diagnose.walk import section_shares, titles_of
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest
from knowledge.words import HOLDS, UNKNOWN, UNLISTED

if TYPE_CHECKING:
    from diagnose.computed import ComputedFact

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
    """For each reading, the weight of each outcome by the gauge's grade."""
    quantities: Mapping[str, float] = field(default_factory=dict)
    """The unit's own numbers that readings were judged by, each in the book's unit for it."""
    hold: str = "running"


def understand(
    book: Book, unit: Unit, sets: Sequence[str], saws: Sequence[str], hold: str = "running"
) -> Question:
    """Read ``FACT=VALUE`` and ``CHECK=OUTCOME`` words against a book.

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
        question.soft,
        quantities,
        hold,
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
        self.soft: dict[str, Mapping[str, float]] = {}

    def take(self, word: str) -> None:
        book = self.book
        name, value = _split("--saw", word, "CHECK=OUTCOME", self.problems)
        if not name:
            return
        if name == COMPLAINT:
            self._one_of(word, value, book.complaints, "complaint", self.complaints.append)
        elif name in book.checks:
            self._check(word, name, value)
        elif name in book.facts:
            self._answer(word, name, value, list(book.facts[name].values))
        else:
            known = [COMPLAINT, *book.checks, *book.facts]
            self.problems.append(
                Problem("--saw", word, f"there is no check named {name!r}", nearest(name, known))
            )

    def _check(self, word: str, name: str, value: str) -> None:
        check = self.book.checks[name]
        if check.reading and value and value[0] in "+-.0123456789":
            try:
                judged = judge(check.reading, value, self.quantities)
                self._keep(word, name, judged.outcome)
                self.readings[name] = value
                self.soft[name] = judged.weights
            except NotAQuantity as error:
                self.problems.append(Problem("--saw", word, str(error).rstrip(".")))
        else:
            self._answer(word, name, value, list(check.outcomes))

    def _answer(self, word: str, name: str, value: str, known: list[str]) -> None:
        if value == COULD_NOT_TELL:
            self.could_not_tell.append(name)
        else:
            self._one_of(
                word, value, known, f"outcome of {name}", lambda outcome: self._keep(word, name, outcome)
            )

    def _one_of(self, word: str, value: str, known: Any, what: str, keep: Any) -> None:
        if value in known:
            keep(value)
        else:
            self.problems.append(
                Problem("--saw", word, f"{value!r} is no {what}", nearest(value, [*known, COULD_NOT_TELL]))
            )

    def _keep(self, word: str, name: str, outcome: str) -> None:
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


def rank(book: Book, unit: Unit, question: Question) -> dict[str, Any]:
    """All causes by probability, the advice, and whether the findings fit, ready for `json.dumps`.

    Raises `diagnose.triangulate.TooDense` for a book that cannot be reasoned over exactly.
    """
    reasoner = Reasoner(book, question.facts)
    evidence = Evidence(question.complaints, question.findings, soft=question.soft)
    adviser = Adviser(reasoner, evidence)
    limits = Limits(question.hold, asked={*question.findings, *question.could_not_tell})
    titles = titles_of(book)
    causes = sorted(adviser.beliefs.causes.items(), key=lambda item: -item[1])
    blame = adviser.present_culprits()
    fit = fit_of(reasoner, evidence)
    known = [fact for fact in unit.worked if question.facts.get(fact.fact) == fact.value]
    return {
        "schema_version": SCHEMA_VERSION,
        "unit": unit.name,
        "facts": dict(question.facts),
        "worked_out": [_worked(fact) for fact in known],
        "findings": _findings(question),
        "notes": [
            f"{name}: {note}"
            for name in question.readings
            if (check := book.checks[name]).reading
            and (note := judged_by(book, check.reading, question.quantities))
        ],
        "fit": _fit(fit),
        "causes": [
            {
                "id": name,
                "title": titles[name],
                "section": book.sections.get(name),
                "probability": probability,
                "because": [_worked(fact) for fact in known if fact.fact in _raised_by(book, name, reasoner)],
            }
            for name, probability in causes
        ],
        "sections": [{"section": name, "share": share} for name, share in section_shares(book, blame)],
        "unlisted": sum(share for name, share in blame.items() if name.startswith(UNLISTED)),
        "advice": _advice(book, adviser.best(limits), titles, question.hold),
    }


def _worked(fact: "ComputedFact") -> dict[str, str]:
    return {"fact": fact.fact, "value": fact.value, "calculator": fact.calculation.calculator}


def _raised_by(book: Book, cause: str, reasoner: Reasoner) -> set[str]:
    """The facts that make this cause likelier on this unit than the book says of any unit."""
    facts = reasoner.compiler.known
    rows = book.causes[cause].more_likely if cause in book.causes else []
    holding = (
        row.when for row in rows if set(row.when) <= set(facts) and holds_when(row.when, facts) and row.raises
    )
    return {fact for when in holding for fact in when}


def _findings(question: Question) -> list[dict[str, str]]:
    rows = [{"check": COMPLAINT, "outcome": name} for name in question.complaints]
    for name, outcome in question.findings.items():
        reading = {"reading": question.readings[name]} if name in question.readings else {}
        rows.append({"check": name, "outcome": outcome, **reading})
    return rows + [{"check": name, "outcome": COULD_NOT_TELL} for name in question.could_not_tell]


def _fit(fit: Fit) -> dict[str, Any]:
    conflict = fit.conflict if abs(fit.conflict) < float("inf") else None
    return {"together": fit.together, "conflict_bits": conflict, "look_again": fit.look_again or None}


def _advice(book: Book, advice: Advice, titles: Mapping[str, str], hold: str) -> dict[str, Any]:
    why = why_of(book, advice, dict(titles))
    step = advice_step(book, advice, hold, book.cautions, why, book.quantities)
    title = {"complaint": "What is wrong?", "help": "Call somebody who knows more"}.get(advice.kind)
    return {
        "kind": advice.kind,
        "id": advice.id or advice.kind,
        "title": title or titles.get(advice.id) or (step.heading if step else ""),
        "minutes": advice.minutes,
        "expected_minutes": advice.expected,
        "hold": step.hold if step else hold,
        "for": advice.sake or None,
        "answers": [{"outcome": outcome, "probability": chance} for outcome, chance in advice.answers],
        "say": step.say if step else None,
        "cautions": list(step.cautions) if step else [],
        "why": why,
    }
