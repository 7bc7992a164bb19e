"""The vessel of a drill: one of the standard set-ups with something wrong in it, drawn by a seed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from hashlib import blake2b
from typing import Final, Literal

from diagnose.rig.faults import FAULTS
from diagnose.rig.run import run
from diagnose.trial.case import FOUND, Case
from diagnose.trial.complaints import complaints
from diagnose.trial.set_ups import SHEETS, SetUp, set_up
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest

Level = Literal["easy", "hard"]
HIDDEN: Final = "hidden"
"""What stands for a fault that is drawn."""
TWO_FAULTS: Final = 1 / 3
"""Share of hard drills whose vessel has two faults (judgement)."""


@dataclass(frozen=True)
class Wanted:
    """Which vessel is wanted. The same wish gives the same vessel."""

    seed: int
    fault: str = HIDDEN
    severity: float = 1.0
    """How bad each fault is, above 0 up to 1."""
    set_up: str = ""
    """Empty: the seed draws it."""
    level: Level = "easy"


@dataclass(frozen=True)
class Vessel:
    """A vessel that gives ground for a complaint."""

    wanted: Wanted
    ready: SetUp
    case: Case
    complaint: str

    @property
    def faults(self) -> tuple[str, ...]:
        """What is wrong with it."""
        return tuple(self.case.faults)


def drawn(book: Book, wanted: Wanted) -> Vessel:
    """The vessel of a wish. Raises `InputProblems` where no such vessel gives ground for a complaint."""
    _check(book, wanted)
    names = [wanted.set_up] if wanted.set_up else sorted(SHEETS, key=lambda name: _lot(wanted.seed, name))
    for name in names:
        for vessel in _alone(book, wanted, name):
            two = wanted.fault == HIDDEN and wanted.level == "hard" and _lot(wanted.seed, "two") < TWO_FAULTS
            return (_with_another(book, vessel) or vessel) if two else vessel
    where = f"on {wanted.set_up}" if wanted.set_up else "on any of the set-ups"
    what = f"{wanted.fault!r} at severity {wanted.severity:g} gives no ground for a complaint {where}"
    raise InputProblems([Problem("--fault", "", what, "Name another fault, set-up or severity.")])


def _check(book: Book, wanted: Wanted) -> None:
    problems = []
    known = [name for name in FAULTS if name in book.causes]
    if wanted.fault != HIDDEN and wanted.fault not in known:
        what = f"there is no fault {wanted.fault!r} to practise on"
        mend = nearest(wanted.fault, known) or "halfsplit rig faults lists them."
        problems.append(Problem("--fault", "", what, mend))
    if not 0 < wanted.severity <= 1:
        problems.append(Problem("--severity", "", f"{wanted.severity:g} is not above 0 and at most 1"))
    if wanted.set_up and wanted.set_up not in SHEETS:
        mend = nearest(wanted.set_up, SHEETS)
        problems.append(Problem("--set-up", "", f"there is no set-up {wanted.set_up!r}", mend))
    if problems:
        raise InputProblems(problems)


def _alone(book: Book, wanted: Wanted, name: str) -> Iterator[Vessel]:
    """The vessels of one set-up with a single fault, in the order of the lot."""
    ready = set_up(name, book)
    usual = run(ready.plant, FOUND, wanted.seed)
    faults = [wanted.fault] if wanted.fault != HIDDEN else _in_order_of_lot(book, wanted.seed)
    for fault in faults:
        if FAULTS[fault].fits(ready.plant):
            case = Case(ready.unit.values, ready.plant, {fault: wanted.severity}, wanted.seed, usual)
            for complaint in complaints(case)[:1]:
                yield Vessel(wanted, ready, case, complaint)


def _with_another(book: Book, first: Vessel) -> Vessel | None:
    """The vessel with a second fault that would be complained of by itself too."""
    wanted, name = first.wanted, first.ready.name
    for other in _alone(book, wanted, name):
        if other.faults != first.faults:
            both = {**first.case.faults, **other.case.faults}
            usual = first.case.usual
            case = Case(first.ready.unit.values, first.ready.plant, both, wanted.seed, usual)
            for complaint in complaints(case)[:1]:
                return Vessel(wanted, first.ready, case, complaint)
    return None


def _in_order_of_lot(book: Book, seed: int) -> Sequence[str]:
    known = [fault for fault in FAULTS if fault in book.causes]
    return sorted(known, key=lambda fault: _lot(seed, "fault", fault))


def _lot(*key: object) -> float:
    """A number from 0 to 1, always the same for the same key."""
    return int.from_bytes(blake2b(repr(key).encode(), digest_size=8).digest()) / 2**64
