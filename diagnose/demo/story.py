"""One invented callout: a fault is there, somebody complains, looks, puts it right and proves it.

What is seen follows from the book's own links and looks, taken at their word: it makes plausible pages and
is no test of the book (the rig is, which knows nothing of it).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from diagnose.events import COULD_NOT_TELL, Event, Kind
from diagnose.opening import open_callout
from diagnose.sheet import Unit
from knowledge.book import Book
from knowledge.schema_parts import When
from knowledge.words import HOLDS, UNLISTED, hold_rank, strength

PLAIN: Final = 0.3
"""Strength from which a link is taken to hold here."""
MOST_CHECKS: Final = 6


@dataclass
class Teller:
    """Tells callouts of one unit; every draw comes from ``draw``."""

    book: Book
    unit: Unit
    draw: np.random.Generator

    def can_be(self, cause: str) -> bool:
        """Whether somebody would complain of that fault on this unit."""
        return bool(self._complaints(self._states(cause)))

    def cured(self, cause: str, begins: datetime, wrong: str = "") -> list[Event]:
        """A callout about ``cause``; ``wrong`` was put right first, in vain."""
        states = self._states(cause)
        complaint = str(self.draw.choice(self._complaints(states)))
        told = _Log(self, begins)
        told.opening(complaint)
        for check in self._checks(cause, states, complaint):
            told.say("check", check, self._shown(check, states), self.book.checks[check].minutes)
        if wrong:
            told.repair(wrong, "not_cured")
            told.say("complaint", "complaint", complaint, 1)
        told.repair(cause, "cured")
        return told.events

    def helped(self, cause: str, begins: datetime) -> list[Event]:
        """A callout that ends with a call for help."""
        states = self._states(cause)
        complaint = str(self.draw.choice(self._complaints(states)))
        told = _Log(self, begins)
        told.opening(complaint)
        for check in self._checks(cause, states, complaint)[:2]:
            told.say("check", check, COULD_NOT_TELL, self.book.checks[check].minutes)
        told.say("help", "help", "called", 10)
        return told.events

    def begun(self, cause: str, begins: datetime) -> list[Event]:
        """A callout that somebody is still at."""
        states = self._states(cause)
        complaint = str(self.draw.choice(self._complaints(states)))
        told = _Log(self, begins)
        told.opening(complaint)
        for check in self._checks(cause, states, complaint)[:1]:
            told.say("check", check, self._shown(check, states), self.book.checks[check].minutes)
        return told.events

    def holds(self, when: When | None) -> bool:
        """Whether a row is for this unit; what is not known of it is taken to be as asked."""
        return all(self.unit.facts.get(fact, values[0]) in values for fact, values in (when or {}).items())

    def _states(self, cause: str) -> set[str]:
        """The cause and every condition that it brings about here."""
        found, waiting = {cause}, [cause]
        while waiting:
            here = waiting.pop()
            entry = self.book.causes.get(here) or self.book.conditions[here]
            for target, rows in entry.leads_to.items():
                row = next((row for row in rows if self.holds(row.when)), None)
                if row and strength(row.strength) >= PLAIN and target not in found:
                    found.add(target)
                    waiting.append(target)
        return found

    def _complaints(self, states: set[str]) -> list[str]:
        return [name for name, entry in self.book.complaints.items() if entry.of in states]

    def _checks(self, cause: str, states: set[str], complaint: str) -> list[str]:
        """Looks on the running unit, most of them at what the fault shows."""
        level = self.book.complaints[complaint].level
        near, far = list[str](), list[str]()
        for name, check in self.book.checks.items():
            if check.hold == HOLDS[0] and check.level in (None, level):
                sees = any(row.given and set(row.given) <= states for row in check.shows)
                (near if sees else far).append(name)
        count = int(self.draw.integers(2, MOST_CHECKS))
        chosen = [*self._some(near, count - 1), *self._some(far, 1)]
        self.draw.shuffle(chosen)
        return chosen

    def _some(self, names: list[str], count: int) -> list[str]:
        if not names:
            return []
        return [str(name) for name in self.draw.choice(names, min(count, len(names)), replace=False)]

    def _shown(self, check: str, states: set[str]) -> str:
        """An outcome as the first row that holds gives it."""
        entry = self.book.checks[check]
        row = next(row for row in entry.shows if set(row.given) <= states and self.holds(row.when))
        chances = {name: strength(value) for name, value in row.then.items()}
        rest = [name for name in entry.outcomes if name not in chances]
        left = max(0.0, 1 - sum(chances.values()))
        weights = [chances.get(name, left / len(rest) if rest else 0.0) for name in entry.outcomes]
        total = sum(weights)
        return str(self.draw.choice(list(entry.outcomes), p=[weight / total for weight in weights]))


class _Log:
    """The events of a callout as they come, minutes apart."""

    def __init__(self, teller: Teller, begins: datetime) -> None:
        self.book, self.draw = teller.book, teller.draw
        self.now, self.hold = begins, HOLDS[0]
        stamp = f"demo-{begins:%Y%m%dT%H%M}-{teller.unit.name.split()[0]}"
        self.events = [open_callout(stamp, teller.unit, teller.book, _text(begins))]

    def opening(self, complaint: str) -> None:
        """Nobody is in danger, and what is wrong."""
        for question, entry in self.book.triage.items():
            self.say("triage", question, next(iter(entry.outcomes)), 1)
        self.say("complaint", "complaint", complaint, 1)

    def say(self, kind: Kind, name: str, answer: str, minutes: float) -> None:
        """One event, about so many minutes after the last one."""
        took = minutes * float(self.draw.lognormal(0.0, 0.35))
        self.now += timedelta(minutes=took)
        self.events.append(Event(at=_text(self.now), kind=kind, id=name, answer=answer))

    def repair(self, cause: str, proof: str) -> None:
        """The way to the hold, the repair, the way back and the proof."""
        repair = self.book.causes[cause].repair
        self._go(repair.hold)
        self.say("repair", cause, "done", repair.minutes)
        self._go(HOLDS[0])
        self.say("prove", cause, proof, self.book.prices.proof)

    def _go(self, target: str) -> None:
        while self.hold != target:
            here, up = hold_rank(self.hold), hold_rank(target) > hold_rank(self.hold)
            after = HOLDS[here + (1 if up else -1)]
            entry = self.book.holds[after if up else self.hold]
            for caution in entry.cautions if up else ():
                self.say("caution", after, caution, 0.2)
            self.say("hold", after, "done", entry.minutes if up else entry.back_minutes)
            self.hold = after


def _text(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%dT%H:%M:%SZ")


def usual_causes(book: Book, facts: Mapping[str, str]) -> Iterator[tuple[str, float]]:
    """What goes wrong on any unit, with the book's base rate; nothing that needs a row of facts.

    ``facts``: of the unit; a row that holds for it counts.
    """
    for name, cause in book.causes.items():
        if cause.same_repair_as or name.startswith(UNLISTED) or cause.base is None:
            continue
        times = 1.0
        for row in cause.more_likely:
            if row.times is not None and all(facts.get(fact) in values for fact, values in row.when.items()):
                times *= row.times
        yield name, cause.base * times
