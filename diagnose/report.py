"""Findings in, everything out: what `rank` prints, as one plain structure.

The structure is what `--json` shows; its keys are a promise to scripts (`schema_version`).
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from diagnose.advice import Advice, Adviser, Limits
from diagnose.compile import holds_when
from diagnose.costs import Costs
from diagnose.events import COULD_NOT_TELL, SCHEMA_VERSION
from diagnose.evidence import Evidence
from diagnose.fit import Fit, fit_of
from diagnose.learned import Learned
from diagnose.question import COMPLAINT, Question
from diagnose.reasoner import Reasoner
from diagnose.sheet import Unit
from diagnose.spoken import ENGLISH, spoken
from diagnose.steps import advice_step, judged_by
from diagnose.wording import section_shares, titles_of, why_of
from knowledge.book import Book
from knowledge.words import UNLISTED

if TYPE_CHECKING:
    from diagnose.computed import ComputedFact

HELP_TITLE: Final = "Call somebody who knows more"


def rank(
    book: Book,
    unit: Unit,
    question: Question,
    reasoner: Reasoner | None = None,
    ahead: bool = False,
    explain: bool = True,
    language: str = ENGLISH,
    learned: Learned | None = None,
) -> dict[str, Any]:
    """All causes by probability, the advice, and whether the findings fit, ready for `json.dumps`.

    ``reasoner``: one that was compiled for this book and the question's facts, when there is one.
    ``ahead``: advise by rollout. ``explain``: say what each finding said; None stands there if not.
    ``language``: of the line to speak. ``learned``: what a history has taught of the unit; ``book`` is then
    the one that it makes (`diagnose.learned.learned_book`).
    Raises `InputProblems` for a book that cannot be reasoned over exactly.
    """
    reasoner = reasoner or Reasoner(book, question.facts, complaints=question.complaints)
    evidence = Evidence(question.complaints, question.findings, soft=question.soft)
    adviser = Adviser(reasoner, evidence)
    asked = frozenset({*question.findings, *question.could_not_tell})
    limits = Limits(question.hold, asked=asked, again=asked)
    titles = titles_of(book)
    causes = sorted(adviser.beliefs.causes.items(), key=lambda item: -item[1])
    blame = adviser.present_culprits()
    fit = fit_of(reasoner, evidence)
    advice = adviser.best_ahead(limits) if ahead else adviser.best(limits)
    known = [fact for fact in unit.worked if question.facts.get(fact.fact) == fact.value]
    found = {
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
                **_rests_on(learned, name),
            }
            for name, probability in causes
        ],
        "sections": [{"section": name, "share": share} for name, share in section_shares(book, blame)],
        "unlisted": sum(share for name, share in blame.items() if name.startswith(UNLISTED)),
        "advice": _advice(book, advice, titles, question.hold, language),
        "prices": book.prices.model_dump(),
        **_learned_from(learned),
        "explain": _explained(adviser, titles, fit, advice, limits) if explain else None,
    }
    return {key: _with_none(value) for key, value in found.items()}


def _rests_on(learned: Learned | None, cause: str) -> dict[str, Any]:
    if learned is None:
        return {}
    here, everywhere = learned.counts.get(cause, (0, 0))
    return {
        "times": learned.times.get(cause, 1.0),
        "here": here,
        "everywhere": everywhere,
        "rests_on": learned.rests_on(cause),
    }


def _learned_from(learned: Learned | None) -> dict[str, Any]:
    if learned is None:
        return {}
    here, everywhere = learned.callouts
    return {"history": {"callouts_here": here, "callouts_everywhere": everywhere}}


def _explained(
    adviser: Adviser, titles: Mapping[str, str], fit: Fit, advice: Advice, limits: Limits
) -> dict[str, Any]:
    from diagnose.explain_report import explanation  # much code, which a plain answer does not need

    what_ifs = adviser.what_ifs(limits) if adviser.evidence.complaints else {}
    return explanation(adviser, titles, fit, advice, what_ifs)


def _with_none(value: Any) -> Any:
    """The same in numbers that JSON has: a longer one shortened, None for one that is none (NaN)."""
    match value:
        case dict():
            return {key: _with_none(part) for key, part in value.items()}
        case list():
            return [_with_none(part) for part in value]
        case float() | np.floating():
            return float(value) if np.isfinite(value) else None
    return value


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


def _findings(question: Question) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = [{"check": COMPLAINT, "outcome": name} for name in question.complaints]
    for name, outcome in question.findings.items():
        reading = {"reading": question.readings[name]} if name in question.readings else {}
        doubt = {"sure": False} if name in question.unsure else {}
        rows.append({"check": name, "outcome": outcome, **reading, **doubt})
    return rows + [{"check": name, "outcome": COULD_NOT_TELL} for name in question.could_not_tell]


def _fit(fit: Fit) -> dict[str, Any]:
    return {"together": fit.together, "conflict_bits": fit.conflict, "look_again": fit.look_again or None}


def _advice(
    book: Book, advice: Advice, titles: Mapping[str, str], hold: str, language: str
) -> dict[str, Any]:
    why = why_of(book, advice, dict(titles))
    step = advice_step(book, advice, hold, book.cautions, why, book.quantities)
    if step:
        step = spoken(book, step, language)
    title = {"complaint": "What is wrong?", "help": HELP_TITLE}.get(advice.kind)
    return {
        "kind": advice.kind,
        "id": advice.id or advice.kind,
        "title": title or titles.get(advice.id) or (step.heading if step else ""),
        "minutes": advice.minutes,
        "risk_minutes": Costs(book).risk(advice.sake or advice.id),
        "expected_minutes": advice.expected,
        "hold": step.hold if step else hold,
        "for": advice.sake or None,
        "answers": [{"outcome": outcome, "probability": chance} for outcome, chance in advice.answers],
        "say": step.say if step else None,
        "cautions": list(step.cautions) if step else [],
        "why": why,
        "then": [
            {
                "kind": step.kind,
                "id": step.id or step.kind,
                "title": titles.get(step.id, HELP_TITLE),
                "after_answer": step.answer or None,
                "chance": step.chance,
            }
            for step in advice.then
        ],
    }
