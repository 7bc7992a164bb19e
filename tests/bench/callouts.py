"""Simulated callouts of the book's own model: ``python -m tests.bench.callouts [COUNT] [SEED] [--jobs N]``.

Faults, conditions and what checks show are drawn from the book (`tests.bench.vessel`); each vessel is worked
by every policy (`diagnose.trial.policies`) to its cure, or to a call for help. The book judges itself here,
so that the figures speak of the engine and not of the world. Minutes are those of `diagnose.costs` for every
policy; the price of the risk of moving a live valve stands apart from them. Nothing is asserted. ``--keep
FILE`` keeps what is done, and goes on there; with ``--seconds N`` no callout is begun after so many seconds.
"""

import argparse
import math
import multiprocessing
import platform
import statistics
import sys
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, Final

import numpy as np

from diagnose.trial.policies import BEST, HALFSPLIT, POLICIES, ROLLOUT, TABLE, Desk
from diagnose.trial.working import Bill, Job, worked_by
from knowledge.book import Book, load_book
from knowledge.words import UNLISTED
from tests.bench.kept import KeptLines, program
from tests.bench.vessel import Vessel, callout

KNOWN: Final = ("action", "acting", "valve_fails")
"""Facts that the unit's sheet gives; the others are asked when they matter."""
BLOCK: Final = 16
"""Callouts that a process takes at a time. All of them are worked or none counts: the quick ones of a run
that was stopped would tell little."""
BAR: Final = 0.5
"""Share of the fixed table's mean minutes that halfsplit's may come to."""


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


@dataclass(frozen=True)
class Block:
    """Some callouts that a process takes at a time."""

    numbers: range
    seed: int
    policies: tuple[str, ...]
    until: float
    """When the clock says this none is begun any more."""

    def tasks(self) -> list[Task]:
        """Its callouts; those that begin with the same advice, facts and complaint alike, together."""
        drawn = []
        for number in self.numbers:
            vessel, complaint = callout(_book(), str(self.seed), number)
            facts = tuple((name, vessel.facts[name]) for name in KNOWN)
            drawn.append(Task(number, vessel.seed, facts, complaint, self.policies))
        return sorted(drawn, key=lambda task: (task.facts, task.complaint, task.number))


def work(task: Task) -> Result:
    """One callout by every policy, each on a vessel of its own that is the same."""
    desk, vessel = _desk(task.facts), Vessel(_book(), task.seed)
    bills = {
        name: worked_by(Job(desk, Vessel(desk.book, task.seed), task.complaint), POLICIES[name])
        for name in task.policies
    }
    needed = tuple(tuple(repairs) for repairs in vessel.repairs_to_cure())
    return Result(task, tuple(sorted(vessel.faults)), needed, bills)


def work_all(block: Block) -> list[Result]:
    """Every callout of a block; none when the time is up before all are begun."""
    results = []
    for task in block.tasks() if time.time() < block.until else []:
        if time.time() >= block.until:
            return []
        results.append(work(task))
    return results


def read_result(line: dict[str, Any], policies: tuple[str, ...]) -> Result:
    """The result that was kept as `asdict` shows it."""
    bills = {
        name: Bill(**{**bill, "log": [tuple(step) for step in bill["log"]]})
        for name, bill in line["bills"].items()
    }
    task = line["task"]
    facts = tuple((name, value) for name, value in task["facts"])
    return Result(
        Task(task["number"], task["seed"], facts, task["complaint"], policies),
        tuple(line["faults"]),
        tuple(map(tuple, line["needed"])),
        bills,
    )


def results_of(given: argparse.Namespace, policies: tuple[str, ...]) -> list[Result]:
    """What was kept and what is worked now, in order of the callouts' numbers; whole blocks alone."""
    kept, done = None, dict[int, Result]()
    if given.keep:
        head = {"callouts": 1, "seed": given.seed, "program": program(), "policies": list(policies)}
        kept = KeptLines(given.keep, head)
        read = [read_result(line, policies) for line in kept.begin()]
        done = {result.task.number: result for result in read}
    began, until = time.perf_counter(), time.time() + given.seconds
    numbers = [range(at, min(at + BLOCK, given.count)) for at in range(0, given.count, BLOCK)]
    left = [Block(some, given.seed, policies, until) for some in numbers if not done.keys() >= set(some)]
    found = [done[number] for some in numbers if done.keys() >= set(some) for number in some]
    with multiprocessing.Pool(given.jobs) as pool:
        for some in pool.imap_unordered(work_all, left):
            found += some
            for result in some:
                if kept:
                    kept.add(asdict(result))
            seconds = time.perf_counter() - began
            print(f"\r{len(found)} of {given.count}, {seconds:.0f} s", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return sorted(found, key=lambda result: result.task.number)


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
    results = results_of(given, policies)
    if not results:
        print("none was ended in time")
        return
    seconds = time.perf_counter() - began
    few = "" if len(results) == given.count else f" of {given.count} (whole blocks alone)"
    print(
        f"{len(results)}{few} simulated callouts, seed {given.seed}, {seconds:.0f} s with {given.jobs} jobs"
    )
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
    parser.add_argument("--keep", type=Path, help="the file to keep results in, and to go on from")
    parser.add_argument("--seconds", type=float, default=math.inf, help="begin no callout after so many")
    parser.add_argument("--ahead", action="store_true", help="halfsplit by rollout besides; slow")
    parser.add_argument("--stories", type=int, default=0, help="tell so many of halfsplit's worst callouts")
    return parser.parse_args()


if __name__ == "__main__":
    main(_arguments())
