"""A drill: the tool plays the vessel, a person does the checks, names the fault and mends it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from diagnose.callout import State
from diagnose.sheet import Unit
from diagnose.steps import Step, check_step, choices, hold_step, repair_step
from diagnose.trees import Shapes
from diagnose.trial.drill_search import Entry, Found, search
from diagnose.trial.drill_vessel import Vessel
from diagnose.trial.policies import Desk
from diagnose.trial.unit import RigUnit
from diagnose.trial.working import Bill, Job
from diagnose.walk import limits_of
from diagnose.wording import answer_label
from knowledge.book import Book
from knowledge.schema import Check
from knowledge.words import HOLDS, SECTIONS, hold_rank

OFFERED: Final = 6
"""Checks that an easy drill offers."""
GO, BACK = "go", "back"
THE_UNIT: Final = "the unit and the day"
"""Where the facts stand among the sections."""
Part = Literal["way", "walk", "look", "tell", "work", "back", "proof"]


class Refused(ValueError):
    """What was asked for cannot be done now; the message says why. Nothing has changed."""


@dataclass(frozen=True)
class Page:
    """Everything that a face shows at one moment."""

    state: State
    minutes: float
    """Spent so far."""
    step: Step | None = None
    """What is about to be done; None where the hand chooses what to do, and at the end."""
    place: str = ""
    """The hold that a check or a repair is done in, coming from the present one."""
    price: tuple[tuple[Part, float], ...] = ()
    """What that costs, part by part: minutes that are not 0."""
    offers: tuple[Found, ...] = ()
    """Checks that are offered to choose from."""
    news: tuple[tuple[str, str, str, float], ...] = ()
    """(kind, id, answer, minutes) of what came of the last answer."""


@dataclass(frozen=True)
class _Wish:
    kind: Literal["check", "repair", "prove"]
    id: str
    agreed: bool = False
    """Whether its page was read and it is on the way."""


class Drill:
    """One drill. It changes by `look`, `name`, `answer` and `give_up`, and `page` says where it stands."""

    def __init__(self, desk: Desk, vessel: Vessel) -> None:
        """``desk``: of the vessel's set-up, see `desk_for`."""
        self.desk, self.book, self.vessel = desk, desk.book, vessel
        unit = unit_for(desk.book, vessel)
        self._job = Job(desk, unit, vessel.complaint, vessel.ready.unit.quantities)
        self._wish: _Wish | None = None
        self._page: Page | None = None
        self._mark = len(self.bill.log)

    @property
    def state(self) -> State:
        """The state of the callout."""
        return self._job.state

    @property
    def bill(self) -> Bill:
        """What it has cost so far."""
        return self._job.bill

    def page(self) -> Page:
        """Where it stands; worked out once for each change."""
        if self._page is None:
            self._page = self._looked()
        return self._page

    def find_check(self, text: str) -> tuple[Found, ...]:
        """The checks and facts that can be looked at now and that the words may mean."""
        return search([self._entry(name) for name in self.desk.open_questions(self.state)], text)

    def find_fault(self, text: str) -> tuple[Found, ...]:
        """The causes that the words may mean."""
        return search([Entry(name, c.title, c.plain) for name, c in self.book.causes.items()], text)

    def by_section(self) -> tuple[tuple[str, tuple[Found, ...]], ...]:
        """The checks that can be made now, by section in signal order; then the facts nobody told."""
        places: dict[str, list[Found]] = {name: [] for name in (*SECTIONS, THE_UNIT)}
        for name in self.desk.open_questions(self.state):
            places[self.book.sections.get(name, THE_UNIT)].append(Found(name, self.book.question(name).ask))
        return tuple((place, tuple(found)) for place, found in places.items() if found)

    def look(self, question: str) -> None:
        """Wish to make a check or to look up a fact. Raises `Refused`."""
        self._free()
        if question in self.state.findings:
            told = answer_label(self.book, question, self.state.findings[question].answer)
            raise Refused(f"That was looked at: {told}. Nothing has changed since.")
        if question not in self.desk.open_questions(self.state):
            raise Refused("That cannot be looked at now.")
        self._set(_Wish("check", question))

    def name(self, cause: str) -> None:
        """Name the fault: wish to put it right. Raises `Refused`."""
        self._free()
        if cause not in self.book.causes:
            raise Refused(f"There is no fault named {cause!r}.")
        if cause in self.state.in_order:
            raise Refused("That was looked at: it is in order.")
        self._set(_Wish("repair", cause))

    def answer(self, key: str) -> None:
        """Take the choice with that key: an offered check, or what the page of a step asks. `Refused`."""
        page = self.page()
        keys = {choice.key: choice.answer for choice in page.step.choices} if page.step else {}
        if not page.step:
            keys = {str(number): found.id for number, found in enumerate(page.offers, 1)}
        if key not in keys:
            raise Refused(f"There is no answer {key} here.")
        if not page.step:
            self.look(keys[key])
        elif keys[key] == BACK:
            self._set(None)
        else:
            self._go_on(page.step)

    def give_up(self) -> None:
        """End it: somebody else must find the fault. It costs nothing. Raises `Refused`."""
        if self.state.ended:
            raise Refused("It has ended.")
        self._set(None)
        self._job.take("help", "help", "called", 0.0)

    def _free(self) -> None:
        if self.state.ended:
            raise Refused("It has ended.")
        if self.state.to_prove:
            raise Refused("First see whether it is cured.")

    def _set(self, wish: _Wish | None) -> None:
        self._wish, self._page, self._mark = wish, None, len(self.bill.log)

    def _looked(self) -> Page:
        page = Page(self.state, self.bill.minutes, news=tuple(self.bill.log[self._mark :]))
        wish = self._wish
        if wish is None:
            return replace(page, offers=self._offers())
        if not wish.agreed:
            step, price = self._asked(wish)
            kept = tuple((part, amount) for part, amount in price if amount)
            return replace(page, step=step, place=self._target(wish), price=kept)
        return replace(page, step=self._hold_page(self._next_hold(wish), wish))

    def _offers(self) -> tuple[Found, ...]:
        """In an easy drill the checks that split best, in the order in which the signal runs."""
        if self.vessel.wanted.level != "easy" or self.state.ended:
            return ()
        adviser, limits = self.desk.adviser(self.state), limits_of(self.book, self.state)
        if adviser.beliefs.weight <= 0:
            return ()
        outlook, start = adviser.outlook(limits)
        values, names = outlook.values(start), outlook.decision.questions
        best = [names[k] for k in np.argsort(values, kind="stable")[:OFFERED] if np.isfinite(values[k])]
        order = [*self.book.checks, *self.book.facts]
        best.sort(key=lambda name: (self._rank(name), order.index(name)))
        return tuple(Found(name, self.book.question(name).ask) for name in best)

    def _rank(self, question: str) -> int:
        section = self.book.sections.get(question)
        return SECTIONS.index(section) if section else len(SECTIONS)

    def _entry(self, question: str) -> Entry:
        asked = self.book.question(question)
        answers = asked.outcomes if isinstance(asked, Check) else {**asked.values, "": asked.title}
        place = self.book.sections.get(question, "")
        return Entry(question, asked.ask, " ".join((asked.say, place, *answers.values())))

    def _asked(self, wish: _Wish) -> tuple[Step, Sequence[tuple[Part, float]]]:
        """The page on which a wish can still be dropped, and its price."""
        costs, prices, hold = self.desk.costs, self.book.prices, self.state.hold
        if wish.kind == "check":
            step = check_step(self.book, wish.id, self._reason(wish.id), self.state.quantities)
            place = limits_of(self.book, self.state).place
            walk = self.desk.asking(wish.id, hold, place) - costs.question(wish.id, hold)
            way = costs.move(hold, costs.place_for(wish.id, hold))
            answers = choices({GO: "Make this check", BACK: "Not now"})
            price: list[tuple[Part, float]] = [("way", way), ("walk", walk)]
            price += [("look", step.minutes), ("tell", prices.talk)]
        else:
            step = repair_step(self.book, wish.id, "")
            place = costs.place_for_repair(wish.id, hold)
            answers = choices({GO: "Put this right", BACK: "Not now"})
            price = [("way", costs.move(hold, place)), ("work", step.minutes)]
            price += [("back", costs.move(place, HOLDS[0])), ("proof", prices.proof)]
        return replace(step, choices=answers, reading=""), price

    def _reason(self, question: str) -> str:
        """Why a check tells something, for an easy drill."""
        if self.vessel.wanted.level != "easy":
            return ""
        why = self.book.question(question).why_it_splits
        return f"{why[:1].upper()}{why[1:].rstrip('.')}."

    def _target(self, wish: _Wish) -> str:
        """The hold in which a wish is done."""
        if wish.kind == "prove":
            return HOLDS[0]
        place_for = self.desk.costs.place_for if wish.kind == "check" else self.desk.costs.place_for_repair
        return place_for(wish.id, self.state.hold)

    def _next_hold(self, wish: _Wish) -> str:
        rank, target = hold_rank(self.state.hold), hold_rank(self._target(wish))
        return HOLDS[rank + (1 if target > rank else -1)]

    def _hold_page(self, target: str, wish: _Wish) -> Step:
        """The page of one hold on the way, with all of its cautions."""
        title = {"check": "the check", "repair": "the repair", "prove": "the proof"}[wish.kind]
        up = hold_rank(target) > hold_rank(self.state.hold)
        read = self.book.holds[target].cautions if up else ()
        step = hold_step(self.book, self.state.hold, target, read, f"Needed for {title}.")
        done = f"The cautions are read, and it is {target}" if up else f"Done: it is {target} again"
        refuse = {} if wish.kind == "prove" else {BACK: "Not now"}
        # They are read on this page, together, and not before it.
        return replace(step, choices=choices({GO: done, **refuse}), read=())

    def _go_on(self, step: Step) -> None:
        """What the page says is done; then whatever needs no page of its own."""
        assert self._wish
        self._mark = len(self.bill.log)
        if step.kind == "hold":
            self._job.move(step.id)
        self._wish, self._page = replace(self._wish, agreed=True), None
        while self._wish and self._target(self._wish) == self.state.hold:
            wish, self._wish = self._wish, None
            match wish.kind:
                case "check":
                    self._job.look(wish.id)
                case "repair":
                    self._job.repair(wish.id)
                    self._wish = _Wish("prove", wish.id, agreed=True) if self.state.to_prove else None
                case "prove":
                    self._job.prove()


def desk_for(book: Book, unit: Unit, shapes: Shapes | None = None) -> Desk:
    """The desk on which a drill and the tool's own walk on that unit are worked."""
    return Desk(book, unit.facts, shapes)


def unit_for(book: Book, vessel: Vessel) -> RigUnit:
    """The vessel as it is found; in an easy drill nobody looks wrong, though gauges err by their grade."""
    slips = vessel.wanted.level == "hard"
    return RigUnit(book, vessel.case, vessel.ready.unit.facts, slips=slips)
