"""A callout answered at random, watched by an eye of its own: holds are reached by their cautions alone."""

import random
from collections.abc import Iterator
from dataclasses import dataclass, field

from diagnose.callout import BadEvent
from diagnose.events import Event
from diagnose.message import messages_of
from diagnose.opening import open_callout
from diagnose.question import COMPLAINT
from diagnose.sheet import Unit
from diagnose.steps import Step
from diagnose.trees import Shapes
from diagnose.typed import NotAnAnswer
from diagnose.walk import Walk
from knowledge.book import Book
from knowledge.words import HOLDS, hold_rank

MOST = 60
"""Moves after which a callout is left."""
CHECKED = ("check", "repair", "prove")
WORKED = ("caution", "hold", "repair")
"""Pages on which something is done to the unit."""
ZERO = "prove zero"
"""Stands in the step that proves a vessel depressured, in a book that has one."""

SHAPES: Shapes = {}
"""The compiled shapes of the books, for all callouts."""


class Unsafe(AssertionError):
    """A step that must not be advised where the unit stands."""


@dataclass
class Stand:
    """Where the unit stands by the events: its hold, and the cautions read for the next."""

    hold: str = "running"
    read: set[str] = field(default_factory=set)

    def take(self, book: Book, event: Event) -> None:
        """One more event; `Unsafe` when a hold is entered without all of its cautions."""
        if event.kind == "caution" and event.answer != "cannot":
            self.read.add(event.answer)
        elif event.kind == "caution" or (event.kind == "hold" and event.answer == "cannot"):
            self.read.clear()
        elif event.kind == "hold":
            up = hold_rank(event.id) - hold_rank(self.hold)
            if abs(up) != 1:
                raise Unsafe(f"from {self.hold} straight to {event.id}")
            if up > 0 and not self.read.issuperset(book.holds[event.id].cautions):
                raise Unsafe(f"{event.id} was reached with {self.read} alone")
            self.hold = event.id
            self.read.clear()
        elif event.kind == "repair" and event.answer == "done":
            needed = book.causes[event.id].repair.hold
            if hold_rank(self.hold) < hold_rank(needed):
                raise Unsafe(f"{event.id} was put right while it was {self.hold}, and it needs {needed}")


class Watch:
    """Follows the events by itself, also back through what was taken back."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.standing: list[Event] = []
        self.stand = Stand()

    def take(self, event: Event) -> None:
        """An event that was saved."""
        if event.kind != "undo":
            self.standing.append(event)
            self.stand.take(self.book, event)
            return
        self.standing.pop()
        self.stand = Stand()
        for kept in self.standing:
            self.stand.take(self.book, kept)

    def see(self, step: Step, wanted: bool = False) -> None:
        """A step that is shown; `wanted`: somebody asked for it, to change its answer.

        `Unsafe` when its hold is not reached, when a caution of it is not shown, also in its message, or
        when it does not say what comes before it.
        """
        hold = self.stand.hold
        if (
            step.kind in CHECKED
            and hold_rank(step.hold) > hold_rank(hold)
            and not (wanted and not step.steps)
        ):
            raise Unsafe(f"{step.kind} {step.id} needs {step.hold}, and it is {hold}")
        if step.kind == "prove" and hold != "running":
            raise Unsafe(f"{step.id} is proved while it is {hold}")
        owed = self._cautions(step)
        if not owed <= set(step.cautions):
            raise Unsafe(f"{step.kind} {step.id} hides {owed - set(step.cautions)}")
        if step.kind in WORKED and not step.defer:
            raise Unsafe(f"{step.kind} {step.id} does not say what comes before it")
        self._proves_zero(step)
        message = " ".join(messages_of(self.book, step, self.book.language)).split()
        for text in (*step.cautions, step.defer):
            if not set(text.split()) <= set(message):
                raise Unsafe(f"the message of {step.kind} {step.id} leaves out {text!r}")

    def _cautions(self, step: Step) -> set[str]:
        names: list[str] = []
        if step.kind == "check":
            names = self.book.question(step.id).cautions
        elif step.kind == "repair":
            names = self.book.causes[step.id].repair.cautions
        elif step.kind == "hold" and hold_rank(step.id) > hold_rank(self.stand.hold):
            names = self.book.holds[step.id].cautions
        return {self.book.cautions[name] for name in names}

    def _proves_zero(self, step: Step) -> None:
        """No answer says that it is depressured, but on the page with the step that proves it."""
        proof = [text for text in self.book.holds["depressured"].steps if ZERO in text.lower()]
        says = any(choice.label == self.book.holds["depressured"].done for choice in step.choices)
        into = step.kind == "hold" and step.id == "depressured" and self.stand.hold == "isolated"
        if says and not into:
            raise Unsafe(
                f"{step.kind} {step.id} can be answered with {self.book.holds['depressured'].done!r}"
            )
        if into and not set(proof) <= set(step.steps):
            raise Unsafe(f"the way to depressured leaves out {proof}")


def random_callout(book: Book, source: random.Random, unit: Unit) -> int:
    """Do anything that a walk can do, at random, until it ends for good; the moves made.

    `Unsafe` at the first step that must not be.
    """
    watch = Watch(book)
    opened = open_callout("random", unit, book, "")
    walk = Walk(book, [opened], watch.take, lambda: "2026-01-31T12:00:00Z", SHAPES)
    wanted = False
    for made in range(MOST):
        step = walk.view().step
        if step is None and source.random() < 0.7:
            return made
        if step:
            watch.see(step, wanted)
        for shown in _better(walk, source):
            watch.see(shown)
        wanted = _move(walk, source, step, wanted)
    assert watch.stand.hold == walk.state.hold in HOLDS
    return MOST


def _better(walk: Walk, source: random.Random) -> Iterator[Step]:
    """Now and then what looking further ahead would advise instead."""
    if source.random() < 0.01:
        view = walk.looked_ahead()
        if view and view.step:
            yield view.step


def _move(walk: Walk, source: random.Random, step: Step | None, wanted: bool) -> bool:
    """One thing that a person does; whether the next page is one that was asked for."""
    book, kind = walk.book, source.random()
    try:
        if kind < 0.06:
            walk.undo()
        elif kind < 0.12:
            walk.ask(source.choice([*book.checks, *book.facts, *book.triage, COMPLAINT]))
            return True
        elif kind < 0.18:
            name = source.choice([*book.checks, *book.facts])
            asked = book.checks[name].outcomes if name in book.checks else book.facts[name].values
            walk.volunteer(name, source.choice(list(asked)), source.random() < 0.8)
        elif kind < 0.2:
            walk.volunteer(COMPLAINT, source.choice(list(book.complaints)))
        elif kind < 0.23:
            walk.tick()
        elif step is None:
            walk.prove_now()
        else:
            # Mostly willing where something is to be done: else the deeper holds are hardly ever reached.
            willing = step.kind in WORKED and source.random() < 0.85
            walk.answer((step.choices[0] if willing else source.choice(step.choices)).answer)
    except (NotAnAnswer, BadEvent):
        return wanted
    # A tick changes nothing of what is asked, nor does taking back when nothing was.
    return wanted and walk.view().step == step
