"""Why the beliefs are what they are, and what would change them.

Four questions, each with numbers that can be checked on paper:

- What did each finding say of a cause? Its weight of evidence, in decibans: ten times the log of the
  factor by which it changed the odds. The findings are taken in the order in which they were found, each
  given those before it, so that the decibans before anything was seen and the weights add up to the
  decibans now, exactly.
- What would change the mind? The answers to open checks after which another cause would lead.
- Does the book explain what was seen at all?
- What would a check part?

Sources: Good, Probability and the Weighing of Evidence, 1950, for the weight of evidence and for the
deciban, which he ascribes to Turing (both from memory).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from diagnose.advice import blamed
from diagnose.evidence import Evidence
from diagnose.fit import in_rows
from diagnose.network import Factor, Table
from diagnose.plan import POINTS_TO
from diagnose.reasoner import Reasoner, WhatIf
from knowledge.book import Book
from knowledge.words import UNLISTED

IN_ORDER: Final = " in order"
"""Ends the name of the finding that a part was looked at and is not the fault."""
UNEXPLAINED_LIMIT: Final = 0.5
"""From this probability on the book is said not to explain what was seen: more likely than not."""
LEAST_SHIFT: Final = 0.01
"""A check's answer that raises no cause by this much over the other answer speaks for none (judgement)."""


@dataclass(frozen=True)
class CauseWeights:
    """What the findings said of one cause. All in decibans; NaN from where they contradict the book on."""

    cause: str
    prior: float
    """Log odds before any finding, on this unit and after the repairs made."""
    weights: tuple[float, ...]
    """Weight of evidence of each finding, given those before it."""
    posterior: float
    """Log odds now: ``prior`` and the sum of ``weights``."""


@dataclass(frozen=True)
class Weighed:
    """The findings in order, and what they said of some causes."""

    findings: tuple[str, ...]
    """Complaints, then checks and facts in the order found, then parts found in order by name."""
    chances: tuple[float, ...]
    """P(finding | those before it); their product is P(all findings)."""
    causes: tuple[CauseWeights, ...]


def decibans(yes: Any, no: Any) -> Table:
    """Ten times the decimal log of yes over no: log odds, or a weight of evidence.

    >>> decibans([0.9, 0.5], [0.1, 0.5]).round(3).tolist()
    [9.542, 0.0]
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(10 * (np.log10(np.maximum(yes, 0)) - np.log10(np.maximum(no, 0))), dtype=float)


def weigh(reasoner: Reasoner, evidence: Evidence, causes: Sequence[str]) -> Weighed:
    """Weight of evidence of each finding for each of the causes, from one batched run.

    Row k of the run has the first k findings on it.
    """
    factors = reasoner.factors(evidence)
    ordered = sorted(name for name in factors if name.endswith(IN_ORDER))
    names = [*(name for name in factors if name not in ordered), *ordered]
    rows = np.arange(len(names) + 1)
    batch = [in_rows(factors[name], rows > k) for k, name in enumerate(names)]
    done = reasoner.calibrate(evidence.before, batch)
    weight = np.maximum(done.weight, 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        chances = np.asarray(weight[1:] / weight[:-1], dtype=float)
    return Weighed(
        tuple(names),
        tuple(chances.tolist()),
        tuple(_weights_of(cause, decibans(*done.weights((cause,))[::-1])) for cause in causes),
    )


def _weights_of(cause: str, odds: Table) -> CauseWeights:
    with np.errstate(invalid="ignore"):
        steps = np.diff(odds)
    return CauseWeights(cause, float(odds[0]), tuple(steps.tolist()), float(odds[-1]))


@dataclass(frozen=True)
class Turn:
    """An answer after which another cause would lead."""

    question: str
    answer: str
    chance: float
    """P(answer | findings)."""
    cause: str
    """The cause that would lead."""
    probability: float
    """P(that cause | findings, answer)."""


def turns(what_ifs: Mapping[str, WhatIf], present: Mapping[str, float]) -> tuple[Turn, ...]:
    """What would change the mind: for each open question the likeliest such answer, likeliest first.

    Another cause must lead after it, and the answer must point to that cause: make it `POINTS_TO` times as
    likely as it is now. Otherwise, while nothing is known, nearly every answer would count.
    ``present``: P(cause | findings), in the order of the columns of the what-ifs.
    """
    causes, now = list(present), np.nan_to_num(list(present.values()))
    leader = int(now.argmax())
    found = []
    for question, what_if in what_ifs.items():
        table, chances = np.nan_to_num(what_if.causes), np.nan_to_num(what_if.chance)
        heads = table.argmax(axis=1)
        there = table[np.arange(len(table)), heads]
        turning = (heads != leader) & (there > POINTS_TO * now[heads]) & (chances > 0)
        if turning.any():
            k = int(np.argmax(chances * turning))
            found.append(
                Turn(question, what_if.outcomes[k], float(chances[k]), causes[heads[k]], float(there[k]))
            )
    return tuple(sorted(found, key=lambda turn: (-turn.chance, -turn.probability)))


@dataclass(frozen=True)
class Unexplained:
    """How likely it is that nothing in the book brought about what was complained of."""

    unlisted: float
    """P(an unlisted cause of the complaint is there | findings)."""
    nothing: float
    """P(no cause of the complaint is there, listed or not | findings): it came of a gate's leak, or what
    was reported is not so."""
    no_listed: float
    """P(no listed cause of the complaint is there | findings)."""

    @property
    def probability(self) -> float:
        """P(an unlisted cause is there, or none at all | findings).

        ``no_listed`` alone would not do: a fault that has nothing to do with it can always lie about, and
        in a book of many causes one often does.
        """
        return self.unlisted + self.nothing

    @property
    def beyond_the_book(self) -> bool:
        """Whether the book does not explain what was seen."""
        return self.probability >= UNEXPLAINED_LIMIT


def unexplained(reasoner: Reasoner, evidence: Evidence) -> Unexplained | None:
    """Exact, from one run of four rows: as found; the listed causes off; the unlisted off; all off.

    None without a complaint, and when the findings contradict the book outright.
    """
    causes = sorted(blamed(reasoner.book, evidence.complaints))
    if not causes:
        return None
    off = {True: np.array([False, False, True, True]), False: np.array([False, True, False, True])}
    no = np.array([1.0, 0.0])
    clamps = [in_rows(Factor((name,), no), off[name.startswith(UNLISTED)]) for name in causes]
    weight = np.maximum(reasoner.calibrate(evidence, clamps).weight, 0)
    if weight[0] <= 0:
        return None
    share = np.minimum(weight / weight[0], 1)
    return Unexplained(float(1 - share[2]), float(share[3]), float(share[1]))


@dataclass(frozen=True)
class Side:
    """One answer of a check and what it speaks for."""

    answer: str
    chance: float
    cause: str
    """The cause that it speaks for most against the other answer; empty when it speaks for none."""
    section: str
    """The section of the loop that it speaks for most; empty when it is the same for both."""
    in_section: bool
    """Whether less than half of what it says for the section falls on that one cause."""


def parted(book: Book, what_if: WhatIf, causes: Sequence[str]) -> tuple[Side, Side]:
    """What a check parts: its two likeliest answers, each with what it speaks for against the other."""
    first, second = np.argsort(-np.nan_to_num(what_if.chance), kind="stable")[:2]
    table = np.nan_to_num(what_if.causes)
    shift = table[first] - table[second]
    sides = [_strongest(book, causes, shift), _strongest(book, causes, -shift)]
    same = sides[0][1] == sides[1][1]
    a, b = (
        Side(
            what_if.outcomes[k],
            float(what_if.chance[k]),
            cause,
            "" if same else section,
            bool(section) and wide and not same,
        )
        for k, (cause, section, wide) in zip((first, second), sides, strict=True)
    )
    return a, b


def _strongest(book: Book, causes: Sequence[str], shift: Table) -> tuple[str, str, bool]:
    """(cause with the largest shift, section with the largest sum of them, whether it is spread there)."""
    best = int(shift.argmax())
    if shift[best] < LEAST_SHIFT:
        return "", "", False
    sums: dict[str, float] = {}
    for cause, more in zip(causes, np.maximum(shift, 0).tolist(), strict=True):
        section = book.sections.get(cause, "")
        sums[section] = sums.get(section, 0.0) + more
    section = max(sums, key=sums.__getitem__)
    return causes[best], section, bool(shift[best] < sums[section] / 2)
