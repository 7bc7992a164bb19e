"""A site with a habit, before and after three years of its history: ``python -m tests.bench.habit [COUNT]``.

The site is cold and its supply freezes a dozen times as often as the book says. Its callouts are drawn from
the book's own model with that one rate changed (`tests.bench.vessel`), and closed by what was truly wrong:
this speaks of what the rates do to the next callout, not of how well earlier ones were found. Then the same
new callouts are worked by halfsplit's advice with the book alone and with the book that learned, to their
cure or to a call for help: those that are about the habit, and those of every kind. Nothing is asserted.

``--keep FILE`` writes every callout down as soon as it is worked, and passes over those that stand there: a
run that was stopped goes on. Take another file when the advice has changed. ``--minutes`` ends a run after
so long; it prints what there is.
"""

import argparse
import json
import multiprocessing
import statistics
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass, fields
from datetime import UTC, datetime, timedelta
from functools import cache
from hashlib import sha256
from itertools import count, islice
from math import inf
from multiprocessing.pool import IMapIterator
from pathlib import Path
from typing import Final

from diagnose.compile import unlisted
from diagnose.history.closed import ClosedCallout
from diagnose.history.everywhere import everywhere_of
from diagnose.history.expected import Expected
from diagnose.history.rates import learned_of, unit_rates
from diagnose.history.tally import counted, tally
from diagnose.learned import Learned, learned_book
from diagnose.trees import Shapes
from diagnose.trial.policies import HALFSPLIT, POLICIES, Desk
from diagnose.trial.working import Job, worked_by
from knowledge.book import Book, load_book
from tests.bench.vessel import Vessel, callout
from tui.folder import kept

HABIT: Final = "ice_in_supply"
TIMES: Final = 12.0
SITE: Final = "Cold Fork"
UNITS: Final = 6
A_YEAR: Final = 10
"""Callouts of each unit a year."""
YEARS: Final = 3
SET_UP: Final = {"action": "snap", "acting": "direct", "valve_fails": "closed", "supply_medium": "field_gas"}
"""Of every unit of the site, as its sheet says."""
NOW: Final = datetime(2026, 1, 1, tzinfo=UTC)


@cache
def _book() -> Book:
    return load_book()


@cache
def _world() -> Book:
    """The book of the site as it truly is."""
    return learned_book(_book(), Learned(times={HABIT: TIMES}))


@cache
def drawn(seed: str, number: int) -> tuple[Vessel, str]:
    """A callout of the site as it truly is, on a unit that is set up as all of them are."""
    tries = 0
    while True:
        vessel, complaint = callout(_world(), f"{seed} {number}", tries)
        if all(vessel.facts[name] == value for name, value in SET_UP.items()):
            return vessel, complaint
        tries += 1


def closed_as_it_was(number: int, seed: str) -> ClosedCallout:
    """One earlier callout, closed by what was truly wrong."""
    vessel, complaint = drawn(seed, number)
    cures = vessel.repairs_to_cure()
    cause = cures[0][-1] if cures else unlisted(complaint)
    ended = NOW - timedelta(days=365.25 * YEARS * (number + 1) / (UNITS * A_YEAR * YEARS))
    return ClosedCallout(
        f"{number}",
        f"V-{number % UNITS}",
        SITE,
        ended - timedelta(hours=2),
        ended,
        complaint,
        "cured" if cures else "help",
        {cause: 1.0},
        120.0,
        facts={**SET_UP, "weather": vessel.facts["weather"]},
    )


@cache
def learned(seed: str) -> Learned:
    """What a unit of the site has been taught by its history."""
    history = [closed_as_it_was(number, f"{seed} history") for number in range(UNITS * A_YEAR * YEARS)]
    expected = Expected(_book())
    found = tally(expected, *counted(history, NOW))
    return learned_of(unit_rates(expected, everywhere_of(found), found, (SITE, "V-0"), SET_UP), (), ())


@dataclass(frozen=True)
class Task:
    """One new callout."""

    seed: str
    number: int

    @property
    def of_the_habit(self) -> bool:
        """Whether a cure takes the habit's repair."""
        return any(HABIT in cure for cure in drawn(self.seed, self.number)[0].repairs_to_cure())


def of_the_habit(seed: str, number: int) -> Iterator[Task]:
    """The first so many callouts that are about the habit."""
    return islice((task for task in (Task(seed, n) for n in count()) if task.of_the_habit), number)


def of_every_kind(seed: str, number: int) -> Iterator[Task]:
    """The first so many callouts."""
    return (Task(seed, n) for n in range(number))


@cache
def _desk(seed: str, learns: bool) -> Desk:
    book = learned_book(_book(), learned(seed)) if learns else _book()
    # Both books make networks of the same shape: what is compiled for one serves the other.
    return Desk(book, SET_UP, _shapes())


@cache
def _shapes() -> Shapes:
    return kept()


@dataclass(frozen=True)
class Cost:
    """What a callout came to by one book."""

    checks: int
    minutes: float
    wrong: int
    cured: bool


Pair = tuple[Cost, Cost]
"""By the book alone, and by the book that learned."""


def work(task: Task) -> tuple[Task, Pair]:
    """The same vessel by both books."""
    vessel, complaint = drawn(task.seed, task.number)
    bills = []
    for learns in (False, True):
        job = Job(_desk(task.seed, learns), Vessel(_world(), vessel.seed), complaint)
        bill = worked_by(job, POLICIES[HALFSPLIT])
        bills.append(Cost(bill.checks, bill.minutes, bill.wrong, bill.ended == "cured"))
    return task, (bills[0], bills[1])


class Keep:
    """The callouts that were worked, by number, in a file of one object a line."""

    def __init__(self, path: Path | None, seed: str) -> None:
        """Lines that were worked with another book, seed or rates are passed over."""
        taught = learned(seed).model_dump_json(include={"times"})
        self.path, self._run = path, f"{_book().digest} {seed} {sha256(taught.encode()).hexdigest()[:16]}"
        self.pairs: dict[int, Pair] = {}
        self.about: set[int] = set()
        """The numbers of those that are about the habit."""
        lines = path.read_text("utf-8").splitlines() if path and path.exists() else []
        for row in map(json.loads, lines):
            if row["run"] == self._run:
                self._put(row["number"], row["habit"], (Cost(**row["book"]), Cost(**row["learned"])))

    def add(self, task: Task, pair: Pair) -> None:
        """One more."""
        self._put(task.number, task.of_the_habit, pair)
        if self.path:
            row = {"run": self._run, "number": task.number, "habit": task.of_the_habit}
            row |= {"book": asdict(pair[0]), "learned": asdict(pair[1])}
            with self.path.open("a", encoding="utf-8") as file:
                file.write(json.dumps(row) + "\n")

    def _put(self, number: int, habit: bool, pair: Pair) -> None:
        self.pairs[number] = pair
        if habit:
            self.about.add(number)


def show(name: str, bills: Sequence[Pair]) -> None:
    """Means before and after, and the standard error of the difference."""
    if not bills:
        return
    print(f"{name}, {len(bills)} callouts")
    for what in (field.name for field in fields(Cost)):
        pairs = [(float(getattr(one, what)), float(getattr(two, what))) for one, two in bills]
        before, after = (statistics.fmean(side) for side in zip(*pairs, strict=True))
        error = statistics.stdev(b - a for a, b in pairs) / len(pairs) ** 0.5 if len(pairs) > 1 else 0.0
        change = f"{after - before:+8.2f} ± {error:.2f}"
        print(f"  {what:12}{before:10.2f}{after:10.2f}{change:>18}")


def main(given: argparse.Namespace) -> None:
    """Work so many callouts of each kind, and print what the history saved."""
    seed = str(given.seed)
    taught = learned(seed)
    print(f"{UNITS * A_YEAR * YEARS} callouts in {YEARS} years on {UNITS} units, seed {seed}")
    times = taught.times.get(HABIT, 1.0)
    print(
        f"{HABIT}: truly {TIMES:g} times the book's rate, learned {times:g} times; {taught.rests_on(HABIT)}"
    )
    keep = Keep(given.keep, seed)
    end = time.monotonic() + 60 * given.minutes
    with multiprocessing.Pool(given.jobs) as pool:
        for some in (of_the_habit(seed, given.count), of_every_kind(seed, given.count)):
            left = (task for task in some if task.number not in keep.pairs)
            for task, pair in _until(end, pool.imap_unordered(work, left)):
                keep.add(task, pair)
                print(f"\r{len(keep.pairs)} worked", end="", file=sys.stderr, flush=True)
        pool.terminate()
    print(file=sys.stderr)
    print(f"{'mean of':14}{'book':>10}{'learned':>10}{'change ± s.e.':>18}")
    show("of the habit", [keep.pairs[n] for n in sorted(keep.about)[: given.count]])
    show("of every kind", [keep.pairs[n] for n in _from_the_first(keep.pairs) if n < given.count])


def _from_the_first(numbers: Iterable[int]) -> list[int]:
    """The numbers up to the first that is missing: the habit's own, which come first, are no fair sample."""
    there = set(numbers)
    return list(range(next(n for n in count() if n not in there)))


def _until(end: float, results: "IMapIterator[tuple[Task, Pair]]") -> Iterator[tuple[Task, Pair]]:
    """The results that come before a time of the steady clock."""
    with suppress(multiprocessing.TimeoutError, StopIteration):
        while time.monotonic() < end:
            yield results.next(None if end == inf else end - time.monotonic())


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="What a site's history does to its next callouts.")
    parser.add_argument("count", nargs="?", type=int, default=500)
    parser.add_argument("seed", nargs="?", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--keep", type=Path, metavar="FILE", help="write worked callouts there, and go on")
    parser.add_argument("--minutes", type=float, default=inf, help="stop after so long")
    return parser.parse_args()


if __name__ == "__main__":
    main(_arguments())
