"""The explanation of one moment as one plain structure: what `rank --json` shows under ``explain``.

Where the findings contradict the book outright, numbers are NaN.
"""

import math
from collections.abc import Mapping
from typing import Any, Final

from diagnose.advice import Advice, Adviser
from diagnose.explain import IN_ORDER, CauseWeights, Weighed, parted, turns, unexplained, weigh
from diagnose.fit import Fit
from diagnose.own_words import own
from diagnose.paths import Chain, chains
from diagnose.reasoner import WhatIf
from diagnose.reasons import Titles, chain_text, check_reason, turn_text, unexplained_text
from diagnose.wording import answer_label
from knowledge.book import Book

LEADERS: Final = 5
"""Causes that are explained: as many as a face shows."""
MOST_TURNS: Final = 4
"""Answers told that would change the mind."""


def explanation(
    adviser: Adviser,
    titles: Titles,
    fit: Fit,
    advice: Advice,
    what_ifs: Mapping[str, WhatIf],
    book: Book | None = None,
) -> dict[str, Any]:
    """Why the leading causes lead, what would change that, and why the advice is what it is.

    ``fit``, ``advice`` and ``what_ifs`` (every open check and fact): as computed for the same findings.
    ``book``: the adviser's in the language that is read; its own when left out.
    """
    book = book or adviser.book
    reasoner, evidence = adviser.reasoner, adviser.evidence
    present = {name: p if math.isfinite(p) else 0.0 for name, p in adviser.beliefs.causes.items()}
    leaders = sorted(present, key=lambda name: -present[name])[:LEADERS]
    known = weigh(reasoner, evidence, leaders)
    ways = chains(reasoner, evidence)
    turned = turns(what_ifs, present)[:MOST_TURNS]
    share = unexplained(reasoner, evidence)
    return {
        "findings": _findings(book, titles, known, fit, evidence.findings),
        "causes": [
            _cause(book, titles, known, cause, ways.get(cause.cause), adviser.beliefs.causes[cause.cause])
            for cause in known.causes
        ],
        "would_change": [
            {
                "check": turn.question,
                "answer": turn.answer,
                "chance": turn.chance,
                "cause": turn.cause,
                "probability": turn.probability,
                "text": turn_text(book, titles, turn),
            }
            for turn in turned
        ],
        "unexplained": share
        and {
            "probability": share.probability,
            "unlisted": share.unlisted,
            "nothing": share.nothing,
            "no_listed": share.no_listed,
            "beyond_the_book": share.beyond_the_book,
            "text": unexplained_text(book, share),
        },
        "reason": _reason(book, titles, adviser, advice, what_ifs),
    }


def _reason(
    book: Book, titles: Titles, adviser: Adviser, advice: Advice, what_ifs: Mapping[str, WhatIf]
) -> dict[str, Any] | None:
    """Why the advised check, or the one that a hold is for, is worth its minutes; None for other advice."""
    question = advice.sake or advice.id
    if question not in what_ifs or not math.isfinite(advice.saves):
        return None
    sides = parted(book, what_ifs[question], adviser.causes)
    return {
        "check": question,
        "parts": [
            {
                "answer": side.answer,
                "chance": side.chance,
                "cause": side.cause or None,
                "section": side.section or None,
            }
            for side in sides
        ],
        "saves_minutes": advice.saves,
        "text": check_reason(book, titles, question, sides, advice.saves),
    }


def _findings(
    book: Book, titles: Titles, known: Weighed, fit: Fit, answers: Mapping[str, str]
) -> list[dict[str, Any]]:
    partial = dict(fit.partial)
    return [
        {
            "finding": name,
            "title": _title(book, titles, name),
            "answer": answer_label(book, name, answers[name]) if name in answers else None,
            "chance": chance,
            "conflict_bits": partial.get(name, 0.0),
        }
        for name, chance in zip(known.findings, known.chances, strict=True)
    ]


def _title(book: Book, titles: Titles, finding: str) -> str:
    """What a finding is about: a complaint, a question, or a part that was looked at."""
    if finding in book.complaints:
        return book.complaints[finding].title
    if finding in book.checks or finding in book.facts:
        return book.question(finding).ask
    return f"{titles[finding.removesuffix(IN_ORDER)]}{own(book, IN_ORDER)}"


def _cause(
    book: Book, titles: Titles, known: Weighed, cause: CauseWeights, way: Chain | None, now: float
) -> dict[str, Any]:
    return {
        "id": cause.cause,
        "title": titles[cause.cause],
        "probability": now,
        "prior_decibans": cause.prior,
        "weights": [
            {"finding": name, "decibans": weight}
            for name, weight in zip(known.findings, cause.weights, strict=True)
        ],
        "posterior_decibans": cause.posterior,
        "path": list(way.nodes) if way else [],
        "path_strength": way.strength if way else None,
        "text": chain_text(book, titles, way) if way else "",
    }
