"""Every fault of the rig, put into the standard set-ups and looked for: what it costs to find it."""

import json
import multiprocessing
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from hashlib import blake2b
from itertools import combinations
from pathlib import Path
from typing import Any, Final

import diagnose
from diagnose.rig.faults import FAULTS
from diagnose.rig.run import run
from diagnose.rig.trace import Trace
from diagnose.trial.case import FOUND, Case
from diagnose.trial.complaints import complaints
from diagnose.trial.policies import ANY_ORDER, BEST, HALFSPLIT, POLICIES, TABLE, Desk
from diagnose.trial.set_ups import SHEETS, SetUp, as_found, set_up
from diagnose.trial.unit import RigUnit
from diagnose.trial.working import Bill, Job, worked_by
from knowledge.book import Book, load_book

SEVERITIES: Final = (1.0, 0.5)
PAIRS: Final = 300
COMPARED: Final = (HALFSPLIT, TABLE, ANY_ORDER, BEST)
"""The policies that work each case."""
CHUNK: Final = 4
"""Cases that a process takes at a time."""


@dataclass(frozen=True)
class Trial:
    """One case to be looked for."""

    set_up: str
    faults: tuple[tuple[str, float], ...]
    """(fault, severity)."""
    seed: int

    @property
    def key(self) -> str:
        """A name of its own."""
        return "/".join([self.set_up, str(self.seed), *(f"{name}={how:g}" for name, how in self.faults)])


@dataclass(frozen=True)
class Result:
    """What came of a trial."""

    trial: Trial
    complaint: str
    """What was called about; empty where the plant shows nothing, and nothing was looked for."""
    bills: Mapping[str, Bill]
    """By policy."""

    @property
    def found(self) -> bool:
        """Whether it was put right and proved without opening the vessel for nothing."""
        bill = self.bills[HALFSPLIT]
        return bill.ended == "cured" and not bill.wrong_open

    def line(self) -> str:
        """One line of JSON."""
        return json.dumps(
            {
                "trial": asdict(self.trial),
                "complaint": self.complaint,
                "bills": {name: asdict(bill) for name, bill in self.bills.items()},
            }
        )


def read_result(line: str) -> Result:
    """The result on a line that `Result.line` made; `ValueError`, `KeyError` or `TypeError` for another."""
    data: dict[str, Any] = json.loads(line)
    trial = data["trial"]
    faults = tuple((str(name), float(how)) for name, how in trial["faults"])
    bills = {
        name: Bill(**{**bill, "log": [tuple(step) for step in bill["log"]]})
        for name, bill in data["bills"].items()
    }
    return Result(Trial(trial["set_up"], faults, trial["seed"]), data["complaint"], bills)


def trials(book: Book, seed: int = 0, share: float = 1.0) -> list[Trial]:
    """Every fault alone at two severities in every set-up, and `PAIRS` pairs; or a share of them by lot.

    The same for the same seed. Faults that a set-up cannot have, and those that the book does not know, are
    left out.
    """
    every: list[Trial] = []
    for name in SHEETS:
        plant = set_up(name, book).plant
        fitting = [fault for fault in FAULTS if FAULTS[fault].fits(plant) and fault in book.causes]
        every += [Trial(name, ((fault, how),), seed) for how in SEVERITIES for fault in fitting]
        pairs = sorted(combinations(fitting, 2), key=lambda pair: _draw(seed, name, *pair))
        every += [
            Trial(name, tuple((fault, 1.0) for fault in pair), seed)
            for pair in pairs[: round(PAIRS / len(SHEETS))]
        ]
    return [trial for trial in every if _draw(seed, "sample", trial.key) < share]


def _draw(*key: object) -> float:
    return int.from_bytes(blake2b(repr(key).encode(), digest_size=8).digest()) / 2**64


@cache
def _book() -> Book:
    return load_book()


@cache
def _at(name: str) -> SetUp:
    return set_up(name, _book())


@cache
def _desk(facts: tuple[tuple[str, str], ...]) -> Desk:
    return Desk(_book(), dict(facts))


@cache
def _usual(name: str, seed: int) -> Trace:
    return run(_at(name).plant, FOUND, seed)


def case_of(trial: Trial) -> Case:
    """The plant of a trial."""
    ready, usual = _at(trial.set_up), _usual(trial.set_up, trial.seed)
    return Case(ready.unit.values, ready.plant, dict(trial.faults), trial.seed, usual)


def looked_for(trial: Trial, policies: Sequence[str] = COMPARED) -> Result:
    """Work one trial with each policy."""
    case = case_of(trial)
    called = next(iter(complaints(case)), "")
    if not called:
        return Result(trial, "", {})
    unit = as_found(_at(trial.set_up).unit, case, _book())
    desk = _desk(tuple(sorted(unit.facts.items())))
    cases = {frozenset(case.faults): case}
    bills = {}
    for name in policies:
        subject = RigUnit(desk.book, case, unit.facts, cases=cases)
        bills[name] = worked_by(Job(desk, subject, called, unit.quantities), POLICIES[name])
    return Result(trial, called, bills)


def _worked_all(some: Sequence[Trial]) -> list[Result]:
    return [looked_for(trial) for trial in some]


def sweep(
    given: Sequence[Trial],
    jobs: int,
    done: Iterable[Result] = (),
    keep: Callable[[Result], None] = lambda _: None,
) -> Iterator[Result]:
    """The result of every trial, as they come; the same whatever ``jobs``.

    Those in ``done`` are not worked again; ``keep`` takes each new one.
    """
    known = {result.trial.key: result for result in done}
    left = [trial for trial in given if trial.key not in known]
    yield from (known[trial.key] for trial in given if trial.key in known)
    chunks = [left[at : at + CHUNK] for at in range(0, len(left), CHUNK)]
    with multiprocessing.Pool(jobs) as pool:
        for some in pool.imap_unordered(_worked_all, chunks):
            for result in some:
                keep(result)
                yield result


@cache
def _program() -> str:
    """A digest of the code that results come from."""
    digest = blake2b(digest_size=16)
    for path in sorted(Path(diagnose.__file__).parent.rglob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()


class Kept:
    """Results on disk, a line each under a heading that says what they are of, so that a sweep can go on."""

    def __init__(self, path: Path, seed: int, digest: str) -> None:
        """``digest``: the book's. A file of another book, seed or program is begun anew."""
        self._path = path
        self._head = json.dumps({"sweep": 1, "seed": seed, "book": digest, "program": _program()})

    def read(self) -> list[Result]:
        """What was kept; a line that was cut short is left out."""
        try:
            lines = self._path.read_text().splitlines()
        except OSError:
            return []
        if not lines or lines[0] != self._head:
            return []
        results = []
        for line in lines[1:]:
            try:
                results.append(read_result(line))
            except (ValueError, KeyError, TypeError):
                continue
        return results

    def begin(self) -> None:
        """Make the file ready to be added to; keeps what belongs to this sweep."""
        kept = self.read()
        self._path.parent.mkdir(parents=True, exist_ok=True)
        self._path.write_text("".join(f"{line}\n" for line in [self._head, *(r.line() for r in kept)]))

    def add(self, result: Result) -> None:
        """Add one result."""
        with self._path.open("a") as file:
            file.write(result.line() + "\n")
