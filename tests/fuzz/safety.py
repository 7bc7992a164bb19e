"""A callout answered at random, watched by an eye of its own: holds are reached by their cautions alone."""

import random

from diagnose.events import Event
from diagnose.sheet import Unit
from diagnose.steps import Step
from diagnose.walk import Walk, open_callout
from knowledge.book import Book
from knowledge.words import HOLDS, hold_rank

MOST = 60
"""Answers after which a callout is left."""


class Unsafe(AssertionError):
    """A step that must not be advised where the unit stands."""


class Watch:
    """Follows the events by itself: the unit's hold, and the cautions read for the next."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.hold = "running"
        self.read: set[str] = set()

    def take(self, event: Event) -> None:
        """An event that was saved; `Unsafe` when a hold is entered without all of its cautions."""
        if event.kind == "caution" and event.answer != "cannot":
            self.read.add(event.answer)
        elif event.kind == "caution" or (event.kind == "hold" and event.answer == "cannot"):
            self.read.clear()
        elif event.kind == "hold":
            up = hold_rank(event.id) - hold_rank(self.hold)
            if abs(up) != 1:
                raise Unsafe(f"from {self.hold} straight to {event.id}")
            if up > 0 and not self.read.issuperset(self.book.holds[event.id].cautions):
                raise Unsafe(f"{event.id} was reached with {self.read} alone")
            self.hold = event.id
            self.read.clear()

    def see(self, step: Step) -> None:
        """A step that is shown; `Unsafe` when its hold is not reached, or a caution of it is not shown."""
        if step.kind in ("check", "repair", "prove") and hold_rank(step.hold) > hold_rank(self.hold):
            raise Unsafe(f"{step.kind} {step.id} needs {step.hold}, and it is {self.hold}")
        if step.kind == "prove" and self.hold != "running":
            raise Unsafe(f"{step.id} is proved while it is {self.hold}")
        owed = self._cautions(step)
        if not owed <= set(step.cautions):
            raise Unsafe(f"{step.kind} {step.id} hides {owed - set(step.cautions)}")

    def _cautions(self, step: Step) -> set[str]:
        names: list[str] = []
        if step.kind == "check":
            names = self.book.question(step.id).cautions
        elif step.kind == "repair":
            names = self.book.causes[step.id].repair.cautions
        return {self.book.cautions[name] for name in names}


def random_callout(book: Book, source: random.Random, unit: Unit) -> int:
    """Answer at random until it ends; the answers given. `Unsafe` at the first step that must not be."""
    watch = Watch(book)
    walk = Walk(book, [open_callout("random", unit, book, "")], watch.take, lambda: "2026-01-31T12:00:00Z")
    for given in range(MOST):
        step = walk.view().step
        if step is None:
            return given
        watch.see(step)
        walk.answer(source.choice(step.choices).answer)
    assert watch.hold in HOLDS
    return MOST
