"""A site with a habit, before and after three years of its history: ``python -m tests.bench.habit [COUNT]``.

The site is cold and its supply freezes a dozen times as often as the book says. Its callouts are drawn from
the book's own model with that one rate changed (`tests.bench.vessel`), and closed by what was truly wrong:
this speaks of what the rates do to the next callout, not of how well earlier ones were found. Then the same
new callouts are worked by halfsplit's advice with the book alone and with the book that learned, to their
cure or to a call for help: those that are about the habit, and those of every kind. Nothing is asserted.
"""

import argparse
import multiprocessing
import statistics
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache
from typing import Final

from diagnose.compile import unlisted
from diagnose.history.closed import ClosedCallout
from diagnose.history.everywhere import everywhere_of
from diagnose.history.expected import Expected
from diagnose.history.rates import learned_of, unit_rates
from diagnose.history.tally import counted, tally
from diagnose.learned import Learned, learned_book
from diagnose.trial.policies import HALFSPLIT, POLICIES, Desk
from diagnose.trial.working import Bill, Job, worked_by
from knowledge.book import Book, load_book
from tests.bench.vessel import Vessel, callout

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


def tasks(count: int, seed: str, habit: bool) -> list[Task]:
    """So many new callouts, all of them about the habit or of every kind."""
    found: list[Task] = []
    number = 0
    while len(found) < count:
        vessel, _ = drawn(seed, number)
        if not habit or any(HABIT in cure for cure in vessel.repairs_to_cure()):
            found.append(Task(seed, number))
        number += 1
    return sorted(found, key=lambda task: drawn(seed, task.number)[1])


@cache
def _desk(seed: str, learns: bool) -> Desk:
    book = learned_book(_book(), learned(seed)) if learns else _book()
    return Desk(book, SET_UP)


def work(task: Task) -> tuple[Bill, Bill]:
    """The same vessel by both books."""
    vessel, complaint = drawn(task.seed, task.number)
    bills = []
    for learns in (False, True):
        job = Job(_desk(task.seed, learns), Vessel(_world(), vessel.seed), complaint)
        bills.append(worked_by(job, POLICIES[HALFSPLIT]))
    return bills[0], bills[1]


def show(name: str, bills: Sequence[tuple[Bill, Bill]]) -> None:
    """Means before and after, and the standard error of the difference."""
    for what in ("checks", "minutes", "wrong"):
        pairs = [(float(getattr(one, what)), float(getattr(two, what))) for one, two in bills]
        before, after = (statistics.fmean(side) for side in zip(*pairs, strict=True))
        error = statistics.stdev(b - a for a, b in pairs) / len(pairs) ** 0.5 if len(pairs) > 1 else 0.0
        change = f"{after - before:+8.2f} ± {error:.2f}"
        print(f"{name:14}{what:9}{before:10.2f}{after:10.2f}{change:>18}")
    cured = [sum(bill.ended == "cured" for bill in side) for side in zip(*bills, strict=True)]
    print(f"{name:14}{'cured':9}{cured[0]:10d}{cured[1]:10d}")


def main(given: argparse.Namespace) -> None:
    """Work so many callouts of each kind, and print what the history saved."""
    seed = str(given.seed)
    taught = learned(seed)
    print(f"{UNITS * A_YEAR * YEARS} callouts in {YEARS} years on {UNITS} units, seed {seed}")
    times = taught.times.get(HABIT, 1.0)
    print(
        f"{HABIT}: truly {TIMES:g} times the book's rate, learned {times:g} times; {taught.rests_on(HABIT)}"
    )
    print(f"{'callouts':14}{'mean':9}{'book':>10}{'learned':>10}{'change ± s.e.':>18}")
    with multiprocessing.Pool(given.jobs) as pool:
        for name, habit in (("of the habit", True), ("of every kind", False)):
            wanted = tasks(given.count, seed, habit)
            bills = []
            # In chunks of like complaints: what was advised before is at hand in the same process.
            chunk = max(1, len(wanted) // given.jobs)
            for number, pair in enumerate(pool.imap(work, wanted, chunk), 1):
                bills.append(pair)
                print(f"\r{number} of {len(wanted)}", end="", file=sys.stderr, flush=True)
            print(file=sys.stderr)
            show(name, bills)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="What a site's history does to its next callouts.")
    parser.add_argument("count", nargs="?", type=int, default=500)
    parser.add_argument("seed", nargs="?", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    return parser.parse_args()


if __name__ == "__main__":
    main(_arguments())
