"""Simulated callouts from the book's own model: ``python -m tests.bench.callouts [COUNT] [SEED]``.

Faults, conditions and what checks show are drawn from the book; a hand answers what the walk asks.
The book judges itself here, so that the figures speak of the engine and not of the world.
"""

import random
import sys
import time
from collections import Counter

from diagnose.callout import State
from diagnose.compile import LEAK, base_rate, holds_when, shares, unlisted
from diagnose.events import Event
from diagnose.sheet import Unit
from diagnose.walk import Walk, open_callout
from knowledge.book import Book, load_book
from knowledge.schema_parts import LinkRow
from knowledge.words import UNKNOWN, strength

LOOKS_FIRST = 0.7
"""Chance that a hand who is told to mend a part that is sound sees that it is sound."""


class Vessel:
    """One unit with its faults. Every chance is drawn once, so that a second look shows the same."""

    def __init__(self, book: Book, rng: random.Random) -> None:
        self.book, self.rng = book, rng
        self._draws: dict[object, float] = {}
        self.facts: dict[str, str] = dict.fromkeys(book.computed, UNKNOWN)
        for name, fact in book.facts.items():
            row = next(row for row in fact.prior if holds_when(row.when, self.facts))
            self.facts[name] = rng.choices(list(row.share), list(row.share.values()))[0]
        self.faults = {
            name for name, cause in book.causes.items() if rng.random() < base_rate(cause, self.facts)
        }
        self.faults |= {unlisted(n) for n, c in book.complaints.items() if rng.random() < c.unlisted / 1000}

    def draw(self, key: object) -> float:
        """A number from 0 to 1 that stays the same for the same key."""
        return self._draws.setdefault(key, self.rng.random())

    def on(self) -> set[str]:
        """Faults and the conditions that they bring about."""
        book = self.book
        on = set(self.faults)
        on |= {name for name in book.conditions if self.draw(("leak", name)) < LEAK}
        on |= {entry.of for name, entry in book.complaints.items() if unlisted(name) in on}
        waiting = list(on)
        while waiting:
            name = waiting.pop()
            entry = book.causes.get(name) or book.conditions.get(name)
            for target, rows in (entry.leads_to if entry else {}).items():
                if target not in on and self.draw((name, target)) < self._strength(rows):
                    on.add(target)
                    waiting.append(target)
        return on

    def _strength(self, rows: list[LinkRow]) -> float:
        row = next((row for row in rows if holds_when(row.when, self.facts)), None)
        return strength(row.strength) if row else 0.0

    def complaint(self) -> str:
        """What is reported, or nothing."""
        on = self.on()
        seen = [name for name, entry in self.book.complaints.items() if entry.of in on]
        return self.rng.choice(seen) if seen else ""

    def shows(self, question: str, epoch: int) -> str:
        """What a check shows, or the fact that is looked up."""
        if question in self.facts:
            return self.facts[question]
        on = self.on()
        check = self.book.checks[question]
        row = next(r for r in check.shows if on.issuperset(r.given) and holds_when(r.when, self.facts))
        left = self.draw((question, epoch))
        for outcome, share in zip(check.outcomes, shares(check, row), strict=True):
            left -= float(share)
            if left <= 0:
                return outcome
        return list(check.outcomes)[-1]

    def mend(self, cause: str) -> str:
        """Put a cause right; says what the hand answers."""
        if cause in self.faults:
            if self.rng.random() < strength(self.book.causes[cause].repair.takes):
                self.faults.discard(cause)
            return "done"
        return "in_order" if self.draw(("look", cause)) < LOOKS_FIRST else "done"


def run(
    book: Book, vessel: Vessel, complaint: str, facts: dict[str, str]
) -> tuple[State, float, Counter[str]]:
    """Walk one callout to its end: (end state, minutes, how many steps of each kind)."""
    events: list[Event] = []
    walk = Walk(book, [open_callout("sim", Unit("sim", facts), book, "")], events.append, lambda: "")
    minutes, kinds, wrong = 0.0, Counter[str](), 0
    for name, question in book.triage.items():
        assert walk.view().step.id == name
        walk.answer(next(iter(question.outcomes)))
    while (step := walk.view().step) is not None:
        kinds[step.kind] += 1
        minutes += step.minutes + (book.prices.talk if step.kind == "check" else 0)
        match step.kind:
            case "complaint":
                answer = vessel.complaint() or complaint
            case "check":
                answer = vessel.shows(step.id, walk.state.epoch)
            case "repair":
                wrong += step.id not in vessel.faults
                answer = vessel.mend(step.id)
            case "prove":
                answer = "not_cured" if vessel.complaint() else "cured"
            case _:
                answer = step.choices[0].answer
        walk.answer(answer)
    kinds["wrong repair"] = wrong
    return walk.state, minutes, kinds


def main(count: int, seed: int) -> None:
    """Run so many callouts and print what came of them."""
    book = load_book()
    rng = random.Random(seed)
    ends, kinds, minutes, culprits = Counter[str](), Counter[str](), [], Counter[str]()
    start = time.perf_counter()
    while len(minutes) < count:
        vessel = Vessel(book, rng)
        complaint = vessel.complaint()
        if not complaint:
            continue
        faults = sorted(vessel.faults)
        facts = {name: vessel.facts[name] for name in ("action", "acting", "valve_fails")}
        state, took, steps = run(book, vessel, complaint, facts)
        ends[str(state.ended)] += 1
        kinds += steps
        minutes.append(took)
        if state.ended == "help":
            culprits[" + ".join(faults)] += 1
    seconds = time.perf_counter() - start
    ordered = sorted(minutes)
    print(f"{count} callouts, seed {seed}: " + ", ".join(f"{k} {v}" for k, v in sorted(ends.items())))
    middle, high = ordered[count // 2], ordered[count * 9 // 10]
    print(f"minutes: mean {sum(ordered) / count:.0f}, median {middle:.0f}, 90% {high:.0f}")
    print("steps a callout: " + ", ".join(f"{k} {v / count:.2f}" for k, v in sorted(kinds.items())))
    print(f"help called for: {culprits.most_common(12)}")
    print(f"{seconds / max(1, sum(kinds.values())) * 1000:.0f} ms a step")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200, int(sys.argv[2]) if len(sys.argv) > 2 else 1)
