"""A simulated vessel: facts, faults and what checks show, drawn from the book's own model.

Every chance is a number worked out from the vessel's seed and the chance's name. So a second look shows the
same, and every policy that is sent to the same seed meets the same vessel, in whatever order it looks.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from hashlib import blake2b
from itertools import combinations, count

from diagnose.compile import LEAK, base_rate, holds_when, shares, unlisted
from diagnose.trial.unit import LOOKS_FIRST
from knowledge.book import Book
from knowledge.schema_parts import LinkRow
from knowledge.words import UNKNOWN, UNLISTED, strength


class Vessel:
    """One unit with its faults; mending them is all that changes it."""

    def __init__(self, book: Book, seed: str) -> None:
        self.book, self.seed = book, seed
        self.facts: dict[str, str] = dict.fromkeys(book.computed, UNKNOWN)
        for name in book.facts:
            self._draw_fact(name)
        listed = {
            name
            for name, cause in book.causes.items()
            if self.draw("fault", name) < base_rate(cause, self.facts, book.coincidence)
        }
        self.faults: frozenset[str] = frozenset(listed).union(
            unlisted(name)
            for name, entry in book.complaints.items()
            if self.draw("fault", unlisted(name)) < entry.unlisted / 1000 * book.coincidence
        )
        self.mended = Counter[str]()
        """How often each cause was put right, whether it was there or not."""

    def draw(self, *key: object) -> float:
        """A number from 0 to 1, always the same for the same key."""
        digest = blake2b(repr((self.seed, *key)).encode(), digest_size=8).digest()
        return int.from_bytes(digest) / 2**64

    def pick(self, among: Iterable[str], weights: Iterable[float], *key: object) -> str:
        """One of some names by their weights, always the same for the same key."""
        names, parts = list(among), list(weights)
        left = self.draw(*key) * sum(parts)
        for name, part in zip(names, parts, strict=True):
            left -= part
            if left < 0:
                return name
        return names[-1]

    def _draw_fact(self, name: str) -> str:
        """The value of a fact; those that its shares depend on are drawn before it."""
        if name not in self.facts:
            rows = self.book.facts[name].prior
            needed = {other for row in rows for other in row.when or {}}
            given = {other: self._draw_fact(other) for other in needed}
            share = next(row.share for row in rows if holds_when(row.when, given))
            self.facts[name] = self.pick(share, share.values(), "fact", name)
        return self.facts[name]

    def on(self, faults: Iterable[str]) -> set[str]:
        """These faults and the conditions that they, and leaks, bring about on this vessel."""
        book, on = self.book, set(faults)
        on |= {name for name in book.conditions if self.draw("leak", name) < LEAK}
        waiting = list(on)
        while waiting:
            for target, chance in self._links(waiting.pop()):
                if target not in on and chance:
                    on.add(target)
                    waiting.append(target)
        return on

    def _links(self, source: str) -> list[tuple[str, bool]]:
        """What a fault or a condition leads to by the book, and whether it does so here."""
        if source.startswith(UNLISTED):
            target = self.book.complaints[source.removeprefix(UNLISTED)].of
            return [(target, self.draw("link", source, target) < strength("always"))]
        entry = self.book.causes.get(source) or self.book.conditions[source]
        return [
            (target, self.draw("link", source, target) < self._strength(rows))
            for target, rows in entry.leads_to.items()
        ]

    def _strength(self, rows: Sequence[LinkRow]) -> float:
        row = next((row for row in rows if holds_when(row.when, self.facts)), None)
        return strength(row.strength) if row else 0.0

    def complaints(self, faults: Iterable[str] | None = None) -> list[str]:
        """The complaints that there is ground for; with other faults than it has when they are given."""
        on = self.on(self.faults if faults is None else faults)
        return [name for name, entry in self.book.complaints.items() if entry.of in on]

    def complains(self, first: str, epoch: int) -> str:
        """What is reported in an epoch: the first complaint while it lasts, then another; "" when cured."""
        there = self.complaints()
        if first in there or not there:
            return first if there else ""
        return self.pick(there, [1.0] * len(there), "complaint", epoch)

    def shows(self, question: str, epoch: int, look: int = 0) -> tuple[str, str]:
        """What a check shows, or what is read where a fact is looked up; the same within an epoch at a look.

        No reading is typed: the second is empty.
        """
        return self._answer(question, epoch, look), ""

    def _answer(self, question: str, epoch: int, look: int) -> str:
        if question in self.book.facts:
            fact = self.book.facts[question]
            spread = fact.slip / len(fact.values)
            sure = [spread + (1 - fact.slip) * (value == self.facts[question]) for value in fact.values]
            return self.pick(fact.values, sure, "look", question, epoch, look)
        check, on = self.book.checks[question], self.on(self.faults)
        row = next(r for r in check.shows if on.issuperset(r.given) and holds_when(r.when, self.facts))
        return self.pick(check.outcomes, shares(check, row).tolist(), "look", question, epoch, look)

    def mend(self, cause: str) -> str:
        """Put a cause right; says what the hand answers."""
        if cause not in self.faults:
            return "in_order" if self.draw("sound", cause) < LOOKS_FIRST else "done"
        self.mended[cause] += 1
        if self._takes(cause, self.mended[cause]):
            self.faults -= {cause}
        return "done"

    def _takes(self, cause: str, times: int) -> bool:
        return self.draw("takes", cause, times) < strength(self.book.causes[cause].repair.takes)

    def repairs_to_cure(self) -> list[list[str]]:
        """Every least set of faults whose repair cures it: each fault as often as its repair is needed.

        Empty when no repair of the book cures it.
        """
        mendable = sorted(name for name in self.faults if name in self.book.causes)
        found: list[set[str]] = []
        for size in range(len(mendable) + 1):
            for some in map(set, combinations(mendable, size)):
                if not any(less <= some for less in found) and not self.complaints(self.faults - some):
                    found.append(some)
        return [[name for cause in sorted(some) for name in self._tries(cause)] for some in found]

    def _tries(self, cause: str) -> list[str]:
        done = self.mended[cause]
        return [cause] * next(n for n in count(1) if self._takes(cause, done + n))


def callout(book: Book, seed: str, number: int) -> tuple[Vessel, str]:
    """The vessel of a callout, and what is complained of.

    Vessel and complaint are drawn until there is ground for the complaint and it is reported. So, given the
    complaint, faults come as the book's model says. False reports are left out: nothing would need a repair.
    """
    names = list(book.complaints)
    tries = 0
    while True:
        vessel = Vessel(book, f"{seed}/{number}/{tries}")
        complaint = vessel.pick(names, [1.0] * len(names), "called")
        reported = vessel.draw("reported") < strength(book.complaints[complaint].reported)
        if reported and complaint in vessel.complaints():
            return vessel, complaint
        tries += 1
