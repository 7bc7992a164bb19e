"""Where plant and book disagree: what the plant shows of a fault, against the book's chance of it.

A disagreement is an outcome of a check, or a complaint, that the plant shows with one fault in it and that
the book, of that cause alone on that unit, holds to be rarer than `LEAST`. The plant knows nothing of the
book, so either may be wrong.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from diagnose.alone import Alone, alone
from diagnose.readings import judge
from diagnose.rig.faults import FAULTS
from diagnose.sheet import quantities_of, told_quantities
from diagnose.trial.case import Case
from diagnose.trial.complaints import complaints
from diagnose.trial.eyes import EYES
from diagnose.trial.set_ups import SHEETS, as_found, set_up
from diagnose.trial.sweep import Trial, case_of
from diagnose.trial.unit import SIGN_FACTS
from diagnose.units import from_si
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest
from knowledge.schema import Check

LEAST: Final = 0.1
"""Chance by the book under which what the plant shows is a disagreement (judgement)."""
COMPLAINT: Final = "complaint"
"""Stands for the name of a check where the disagreement is about what is complained of."""


@dataclass(frozen=True)
class Disagreement:
    """One thing that the plant shows and the book does not expect."""

    set_up: str
    fault: str
    severity: float
    check: str
    """A check of the book, or `COMPLAINT`."""
    shown: str
    """The outcome, or the complaint, that the plant gives."""
    chance: float
    """The book's chance of it, of this cause alone."""
    expected: str
    """What the book holds to be likeliest; empty for a complaint."""
    plant_because: str
    """What the fault does to the plant."""
    book_because: tuple[str, ...]
    """The way in the book from the cause to what the check looks at; empty where there is none."""


class Comparison:
    """The plant against one book."""

    def __init__(self, book: Book, least: float = LEAST) -> None:
        """``least``: the book's chance under which what the plant shows is told."""
        self.book, self.least = book, least
        self._alone: dict[tuple[tuple[str, str], ...], Alone] = {}

    def of(self, trial: Trial) -> Iterator[Disagreement]:
        """What one trial of one fault brings; nothing where the plant gives no ground for a complaint."""
        ((fault, severity),) = trial.faults
        case = case_of(trial)
        if not (there := complaints(case)):
            return
        by_book = self._by_book(self._facts(trial.set_up, case))
        at = list(by_book.causes).index(fault)
        about = FAULTS[fault].about
        if (chance := float(by_book.reported[there[0]][at])) < self.least:
            way = _way(self.book, fault, {self.book.complaints[there[0]].of})
            yield Disagreement(trial.set_up, fault, severity, COMPLAINT, there[0], chance, "", about, way)
        for name, shown in self._shown(case, there[0]):
            outcomes, chances = list(self.book.checks[name].outcomes), by_book.shows[name][:, at]
            if (chance := float(chances[outcomes.index(shown)])) < self.least:
                likeliest = outcomes[int(np.argmax(chances))]
                way = _way(self.book, fault, _looked_at(self.book.checks[name]))
                yield Disagreement(trial.set_up, fault, severity, name, shown, chance, likeliest, about, way)

    def _facts(self, name: str, case: Case) -> dict[str, str]:
        """What the sheet says of the unit, and what the day tells."""
        facts = dict(as_found(set_up(name, self.book).unit, case, self.book).facts)
        for fact, (sign, there, otherwise) in SIGN_FACTS.items():
            facts[fact] = there if case.sees(sign) else otherwise
        return facts

    def _by_book(self, facts: Mapping[str, str]) -> Alone:
        key = tuple(sorted(facts.items()))
        if key not in self._alone:
            self._alone[key] = alone(self.book, facts)
        return self._alone[key]

    def _shown(self, case: Case, complaint: str) -> Iterator[tuple[str, str]]:
        """(Check, outcome) of every check that can be made with this complaint, gauges without error."""
        level = self.book.complaints[complaint].level
        quantities = quantities_of(self.book, told_quantities(self.book, case.values))
        for name, eye in EYES.items():
            check = self.book.checks[name]
            if check.level in (None, level):
                seen = eye(case)
                if isinstance(seen, str):
                    yield name, seen
                elif check.reading:
                    text = f"{from_si(seen, check.reading.unit)} {check.reading.unit}"
                    yield name, judge(check.reading, text, quantities).outcome


def _looked_at(check: Check) -> set[str]:
    return {given for row in check.shows for given in row.given}


def _way(book: Book, cause: str, aims: Collection[str]) -> tuple[str, ...]:
    """The shortest way along the book's links from a cause to one of some aims."""
    ways: list[tuple[str, ...]] = [(cause,)]
    seen = {cause}
    for way in ways:
        if way[-1] in aims:
            return way
        further = [target for source, target in book.links if source == way[-1] and target not in seen]
        seen.update(further)
        ways += [(*way, target) for target in further]
    return ()


def wanted(
    book: Book,
    faults: Collection[str] | None,
    set_ups: Collection[str] | None,
    severity: float,
    seed: int,
) -> list[Trial]:
    """The trials of some faults, or all, in some set-ups, or all, that can have them.

    Raises `InputProblems` for an unknown name and a severity out of range.
    """
    problems = [
        Problem("--fault", "", f"the rig has no fault {name!r}", nearest(name, FAULTS))
        for name in faults or ()
        if name not in FAULTS
    ]
    problems += [
        Problem("--set-up", "", f"there is no set-up {name!r}", nearest(name, SHEETS))
        for name in set_ups or ()
        if name not in SHEETS
    ]
    if not 0 < severity <= 1:
        problems.append(Problem("--severity", "", f"{severity:g} is not above 0 and at most 1"))
    if problems:
        raise InputProblems(problems)
    plants = {name: set_up(name, book).plant for name in set_ups or SHEETS}
    return [
        Trial(name, ((fault, severity),), seed)
        for name, plant in plants.items()
        for fault in faults or FAULTS
        if fault in book.causes and FAULTS[fault].fits(plant)
    ]
