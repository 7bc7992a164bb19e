"""Simulated callouts of the book's own model: ``python -m tests.bench.callouts [COUNT] [SEED] [--jobs N]``.

Faults, conditions and what checks show are drawn from the book (`tests.bench.vessel`); each vessel is worked
by every policy (`tests.bench.policies`) to its cure, or to a call for help. The book judges itself here, so
that the figures speak of the engine and not of the world. Minutes are those of `diagnose.costs` for every
policy; the price of the risk of moving a live valve stands apart from them. Nothing is asserted.
"""

import argparse
import multiprocessing
import platform
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import Final

import numpy as np

from diagnose.callout import State, apply
from diagnose.events import Event, Kind
from diagnose.walk import limits_of
from knowledge.book import Book, load_book
from knowledge.words import HOLDS, UNLISTED, hold_rank
from tests.bench.policies import BEST, HALFSPLIT, POLICIES, ROLLOUT, TABLE, Desk, Policy
from tests.bench.vessel import Vessel, callout

KNOWN: Final = ("action", "acting", "valve_fails")
"""Facts that the unit's sheet gives; the others are asked when they matter."""
CHUNK: Final = 8
"""Callouts that a process takes at a time."""
MOST_STEPS: Final = 2000
"""A policy that takes more is caught in a circle."""
BAR: Final = 0.5
"""Share of the fixed table's mean minutes that halfsplit's may come to."""


@dataclass
class Bill:
    """What one policy made of one callout."""

    minutes: float = 0.0
    risk: float = 0.0
    """Price of the risk of moving a live valve, as minutes; not in ``minutes``."""
    checks: int = 0
    wrong: int = 0
    """Repairs of what was sound."""
    opened: int = 0
    """How often the vessel was opened."""
    ended: str = ""
    log: list[tuple[str, str, str, float]] = field(default_factory=list)
    """(kind, id, answer, minutes) of every step."""


class Callout:
    """One callout being worked by one policy."""

    def __init__(self, desk: Desk, policy: Policy, vessel: Vessel, complaint: str) -> None:
        self.desk, self.book, self.vessel, self.first = desk, desk.book, vessel, complaint
        self.bill = Bill()
        self.state = State("sim", desk.facts, {})
        self._take("complaint", "complaint", complaint, 0.0)
        while not self.state.ended:
            if len(self.bill.log) > MOST_STEPS:
                raise RuntimeError(f"{vessel.seed}: no end after {MOST_STEPS} steps")
            self._step(policy)
        self.bill.ended = self.state.ended

    def _take(self, kind: Kind, name: str, answer: str, minutes: float) -> None:
        self.state = apply(self.book, self.state, Event(at="", kind=kind, id=name, answer=answer))
        self.bill.minutes += minutes
        self.bill.log.append((kind, name, answer, minutes))

    def _step(self, policy: Policy) -> None:
        if self.state.to_prove:
            self._prove()
            return
        act = policy(self.desk, self.state, self.vessel)
        match act.kind:
            case "hold":
                self._go(act.id)
            case "check":
                self._ask(act.id)
            case "repair":
                self._repair(act.id)
            case "help":
                self._take("help", "help", "called", self.book.prices.help)

    def _go(self, target: str) -> None:
        """Take the unit to a hold, through every hold between."""
        while self.state.hold != target:
            start = self.state.hold
            up = hold_rank(target) > hold_rank(start)
            following = HOLDS[hold_rank(start) + (1 if up else -1)]
            for caution in self.book.holds[following].cautions if up else ():
                self.state = apply(
                    self.book, self.state, Event(at="", kind="caution", id=following, answer=caution)
                )
            self._take("hold", following, "done", self.desk.costs.move(start, following))
            self.bill.opened += up and following == HOLDS[-1]

    def _ask(self, question: str) -> None:
        self._go(self.desk.costs.place_for(question, self.state.hold))
        place = limits_of(self.book, self.state).place
        minutes = self.desk.asking(question, self.state.hold, place)
        check = self.book.checks.get(question)
        self.bill.checks += 1
        self.bill.risk += self.book.prices.moving * bool(check and check.moves_valve)
        self._take("check", question, self.vessel.shows(question, self.state.epoch), minutes)

    def _repair(self, cause: str) -> None:
        self._go(self.desk.costs.place_for_repair(cause, self.state.hold))
        self.bill.wrong += cause not in self.vessel.faults
        self._take("repair", cause, self.vessel.mend(cause), self.book.causes[cause].repair.minutes)

    def _prove(self) -> None:
        """Back to service, two full cycles; what is complained of when it is not cured."""
        self._go("running")
        cause, now = self.state.to_prove, self.vessel.complains(self.first, self.state.epoch)
        self._take("prove", cause, "not_cured" if now else "cured", self.book.prices.proof)
        if now:
            self._take("complaint", "complaint", now, 0.0)


@dataclass(frozen=True)
class Task:
    """One callout to be worked by some policies."""

    number: int
    seed: str
    """The vessel's own."""
    facts: tuple[tuple[str, str], ...]
    complaint: str
    policies: tuple[str, ...]


@dataclass(frozen=True)
class Result:
    """One callout, and every policy's bill."""

    task: Task
    faults: tuple[str, ...]
    needed: tuple[tuple[str, ...], ...]
    """Every least set of repairs that cures it."""
    bills: dict[str, Bill]

    @property
    def lost(self) -> float:
        """Minutes that halfsplit took over the clairvoyant."""
        return self.bills[HALFSPLIT].minutes - self.bills[BEST].minutes


@cache
def _book() -> Book:
    return load_book()


@lru_cache(maxsize=2)
def _desk(facts: tuple[tuple[str, str], ...]) -> Desk:
    return Desk(_book(), dict(facts))


def tasks(count: int, seed: int, policies: tuple[str, ...]) -> list[Task]:
    """So many callouts; those that begin with the same advice, facts and complaint alike, together."""
    drawn = []
    for number in range(count):
        vessel, complaint = callout(_book(), str(seed), number)
        facts = tuple((name, vessel.facts[name]) for name in KNOWN)
        drawn.append(Task(number, vessel.seed, facts, complaint, policies))
    return sorted(drawn, key=lambda task: (task.facts, task.complaint, task.number))


def work(task: Task) -> Result:
    """One callout by every policy, each on a vessel of its own that is the same."""
    desk, vessel = _desk(task.facts), Vessel(_book(), task.seed)
    bills = {
        name: Callout(desk, POLICIES[name], Vessel(desk.book, task.seed), task.complaint).bill
        for name in task.policies
    }
    needed = tuple(tuple(repairs) for repairs in vessel.repairs_to_cure())
    return Result(task, tuple(sorted(vessel.faults)), needed, bills)


def _work_all(some: Sequence[Task]) -> list[Result]:
    return [work(task) for task in some]


def work_all(given: Sequence[Task], jobs: int) -> list[Result]:
    """Every callout, in order of its number whatever ``jobs``; a line of progress on stderr."""
    chunks = [given[at : at + CHUNK] for at in range(0, len(given), CHUNK)]
    began, results = time.perf_counter(), list[Result]()
    with multiprocessing.Pool(jobs) as pool:
        for some in pool.imap_unordered(_work_all, chunks):
            results += some
            seconds = time.perf_counter() - began
            print(f"\r{len(results)} of {len(given)}, {seconds:.0f} s", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return sorted(results, key=lambda result: result.task.number)


def table(results: Sequence[Result]) -> list[str]:
    """One line for each policy, and whether the bar is met."""
    heads = (
        "mean",
        "± s.e.",
        "median",
        "90 %",
        "risk",
        "cured",
        "help",
        "wrong",
        "checks",
        "opened",
        "ratio",
    )
    lines = [f"{'policy':19}" + "".join(f"{head:>8}" for head in heads)]
    means = {name: statistics.fmean(r.bills[name].minutes for r in results) for name in results[0].bills}
    for name, mean in means.items():
        bills = [result.bills[name] for result in results]
        minutes = np.array([bill.minutes for bill in bills])
        error = minutes.std(ddof=1) / np.sqrt(len(minutes)) if len(minutes) > 1 else 0.0
        cured = 100 * statistics.fmean(bill.ended == "cured" for bill in bills)
        numbers = [
            f"{mean:.0f}",
            f"{error:.1f}",
            f"{np.median(minutes):.0f}",
            f"{np.quantile(minutes, 0.9):.0f}",
            f"{statistics.fmean(bill.risk for bill in bills):.1f}",
            f"{cured:.1f} %",
            f"{100 - cured:.1f} %",
            f"{statistics.fmean(bill.wrong for bill in bills):.2f}",
            f"{statistics.fmean(bill.checks for bill in bills):.2f}",
            f"{sum(bill.opened for bill in bills)}",
            f"{mean / means[HALFSPLIT]:.2f}",
        ]
        lines.append(f"{name:19}" + "".join(f"{number:>8}" for number in numbers))
    share = means[HALFSPLIT] / means[TABLE]
    met = "met" if share <= BAR else "NOT met"
    weak = f"the table never calls help before its last cause; help at once costs {_book().prices.help:.0f}"
    return [*lines, f"bar: halfsplit's mean at most {BAR} of the fixed table's: {share:.2f}, {met} ({weak})"]


def story(result: Result) -> list[str]:
    """One callout in words: what was wrong, and what halfsplit did."""
    bill, best = result.bills[HALFSPLIT], result.bills[BEST]
    unlisted = any(name.startswith(UNLISTED) for name in result.faults)
    cures = " or ".join("+".join(repairs) for repairs in result.needed) or "no repair of the book"
    facts = ", ".join(f"{name}={value}" for name, value in result.task.facts)
    lines = [
        f"callout {result.task.number}: {bill.minutes:.0f} min against {best.minutes:.0f}; {bill.ended}; "
        f"{result.task.complaint}; {facts}",
        f"  faults: {', '.join(result.faults) or 'none'}{' (one is not in the book)' if unlisted else ''}; "
        f"cured by {cures}",
    ]
    return lines + [
        f"  {minutes:5.0f}  {kind} {name}: {answer}" for kind, name, answer, minutes in bill.log if minutes
    ]


def main(given: argparse.Namespace) -> None:
    """Run so many callouts and print what came of them."""
    began = time.perf_counter()
    book = _book()
    policies = tuple(name for name in POLICIES if given.ahead or name != ROLLOUT)
    results = work_all(tasks(given.count, given.seed, policies), given.jobs)
    seconds = time.perf_counter() - began
    print(f"{given.count} simulated callouts, seed {given.seed}, {seconds:.0f} s with {given.jobs} jobs")
    print(f"Python {platform.python_version()}, numpy {np.__version__}, {platform.machine()}", end=", ")
    print(f"book {book.digest[:12]}, the sheet gives {', '.join(KNOWN)}")
    print("minutes: mean, its standard error, median, 90 %; risk: mean price of moving a live valve, apart")
    print(
        "wrong repairs and checks: a callout; opened: vessels opened in all; ratio: of means to halfsplit's"
    )
    print("\n".join(table(results)))
    if given.stories:
        print(f"\nthe {given.stories} callouts on which halfsplit lost most against the clairvoyant")
        for result in sorted(results, key=lambda r: -r.lost)[: given.stories]:
            print("\n".join(story(result)))


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Policies on simulated callouts from the book's own model.")
    parser.add_argument("count", nargs="?", type=int, default=2000)
    parser.add_argument("seed", nargs="?", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--ahead", action="store_true", help="halfsplit by rollout besides; slow")
    parser.add_argument("--stories", type=int, default=0, help="tell so many of halfsplit's worst callouts")
    return parser.parse_args()


if __name__ == "__main__":
    main(_arguments())
