"""Made-up control loops of the real book's kind and size, and callouts drawn on them.

A loop is a chain of stages that the signal runs through. Causes sit in a stage and bring about one or
two of its conditions; conditions bring about one or two of the next stage; checks look at one or two
things of a stage. A share ``far`` of the causes' arcs jumps to a stage far away instead, as a common
supply or the weather does: such arcs, and the width of a stage, are what makes a book dense.
"""

import random
from collections.abc import Mapping
from typing import Any, Final

from diagnose.evidence import Evidence
from knowledge.book import Book
from tests.diagnose.oracle import base_of, chances, strength_of
from tests.helpers import bare_book, book_of, cause, check, complaint

STAGES: Final = 8
CONDITIONS: Final = 60
CAUSES: Final = 120
CHECKS: Final = 120
"""Of a loop of length 1; a longer one has as many times more of everything, its stages as wide."""
FAR: Final = 3
"""A far stage is at least so many stages away."""

Entries = dict[str, dict[str, Any]]


def loop_book(length: int = 1, far: float = 0.0, seed: int = 1) -> Book:
    """A made-up loop: ``length`` times 120 causes, 60 conditions in 8 stages and 120 checks, ~465 arcs.

    ``far`` is the share of the causes' arcs that jump, from 0 to 1. Through the real schema and loader.
    """
    rng = random.Random(f"loop {length} {far} {seed}")
    stages = _stages("condition", CONDITIONS, length)
    conditions: Entries = {}
    for here, after in zip(stages, [*stages[1:], []], strict=True):
        for name in here:
            conditions[name] = {"title": name, "leads_to": _strengths(rng, _some(rng, after))}
    causes: Entries = {}
    sources = _stages("cause", CAUSES, length)
    for k, here in enumerate(sources):
        for name in here:
            targets = [
                rng.choice(rng.choice(_far_from(stages, k)) if rng.random() < far else [target])
                for target in _some(rng, stages[k])
            ]
            causes[name] = cause(_strengths(rng, targets), rng.uniform(1, 20), minutes=rng.randint(5, 90))
    checks: Entries = {}
    for k, here in enumerate(_stages("check", CHECKS, length)):
        for name in here:
            checks[name] = _check(rng, _looked_at(rng, {name: causes[name] for name in sources[k]}))
    # Every repair of `cause` names this check as its proof; it stands in the last one's place.
    last = checks.popitem()[1]
    complaints = {f"complaint_{name}": complaint(name) for name in stages[-1][:2]}
    parts = {"causes": causes, "conditions": conditions, "complaints": complaints}
    return book_of({**bare_book(), **parts, "checks": {**checks, "drop_seen": last}})


def _stages(kind: str, count: int, length: int) -> list[list[str]]:
    """Names of ``length * count`` things, spread evenly over the stages."""
    stages: list[list[str]] = [[] for _ in range(STAGES * length)]
    for k in range(count * length):
        stages[k * len(stages) // (count * length)].append(f"{kind}_{k}")
    return stages


def _far_from(stages: list[list[str]], k: int) -> list[list[str]]:
    return [stage for j, stage in enumerate(stages) if abs(j - k) >= FAR]


def _some(rng: random.Random, names: list[str]) -> list[str]:
    """One or two of the names; none of none."""
    return rng.sample(names, min(len(names), rng.randint(1, 2)))


def _strengths(rng: random.Random, targets: list[str]) -> dict[str, float]:
    return {target: rng.uniform(0.3, 0.99) for target in targets}


def _looked_at(rng: random.Random, causes: Entries) -> list[str]:
    """Something that a cause of the stage brings about, and for seven in ten the cause itself besides."""
    name = rng.choice(list(causes))
    seen = [rng.choice(list(causes[name]["leads_to"]))]
    return [*seen, name] if rng.random() < 0.7 else seen


def _check(rng: random.Random, seen: list[str]) -> dict[str, Any]:
    """Two to four outcomes; a row for each thing looked at, one for both, and one for neither."""
    outcomes = ["low", "middle", "high", "over"][: rng.randint(2, 4)]
    given = [seen, *([name] for name in seen)] if len(seen) > 1 else [seen]
    rows: list[dict[str, Any]] = [
        {"given": names, "then": {rng.choice(outcomes): rng.uniform(0.3, 0.95)}} for names in given
    ]
    return check([*rows, {"then": {rng.choice(outcomes): 0.95}}], " ".join(outcomes))


def arcs(book: Book) -> int:
    """Arcs of a book: its links, and one from each thing that a check looks at."""
    looks = [{name for row in check.shows for name in row.given} for check in book.checks.values()]
    return len(book.links) + sum(map(len, looks))


def drawn_evidence(
    book: Book, known: Mapping[str, str], count: int, seed: int, *, wild: bool = False
) -> Evidence:
    """A complaint and ``count`` findings of one callout, on a unit with these facts.

    Faults come by the book's base rates, at least one for certain; the facts that are not known are
    drawn evenly. Wild findings are drawn without regard to what is there: they contradict one another.
    """
    rng = random.Random(f"evidence {count} {seed} {wild}")
    facts = {name: rng.choice(list(fact.values)) for name, fact in book.facts.items()} | dict(known)
    there = _there(book, facts, rng)
    said = [name for name, entry in book.complaints.items() if wild or entry.of in there]
    findings = {}
    for name in rng.sample(list(book.checks), count):
        weights = None if wild else chances(book, name, there, facts)
        findings[name] = rng.choices(list(book.checks[name].outcomes), weights)[0]
    return Evidence((rng.choice(said or list(book.complaints)),), findings)


def _there(book: Book, facts: Mapping[str, str], rng: random.Random) -> set[str]:
    """The faults of one callout and the conditions that they bring about."""
    there = {name for name in book.causes if rng.random() < base_of(book, name, facts, {})}
    there.add(rng.choice(list(book.causes)))
    waiting = sorted(there)
    while waiting:
        name = waiting.pop()
        entry = book.causes.get(name) or book.conditions[name]
        for target, rows in entry.leads_to.items():
            if target not in there and rng.random() < strength_of(rows, facts):
                there.add(target)
                waiting.append(target)
    return there
