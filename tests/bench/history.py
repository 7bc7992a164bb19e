"""Speeds of the store: ``python -m tests.bench.history [--callouts N] [--postgresql] [--merge N]``.

Fills a store with N callouts (a million) of 5,000 units, straight into the tables as merging them would leave
them and as the statistics read them. Then prints beside the bars: a merge of 100,000 more by a process of its
own, a finding committed, a unit's file, lists and searches, the memory of this process and of the merge at
their highest.
"""

import argparse
import gc
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Final

from diagnose.events import Event
from diagnose.history.ledger import Ledger
from diagnose.history.pages import unit_file
from diagnose.history.store import History, Wanted
from diagnose.history.teacher import Teacher
from diagnose.history.travel import merge
from knowledge.book import load_book
from tests.bench.history_fill import NOW, Invented, fill, write
from tests.diagnose.history.server import database, running
from tests.diagnose.history.test_merge import text_of
from tui.__main__ import LEAST_WASTE

FINDINGS: Final = 300
"""Findings that are timed, each behind some fifteen others of its callout."""


def timed(work: Callable[[], object], times: int = 1) -> tuple[float, float]:
    """The medians of so many runs, in seconds: by the clock, and of this process alone."""
    found = []
    for _ in range(times):
        begun = time.perf_counter(), time.process_time()
        work()
        found.append((time.perf_counter() - begun[0], time.process_time() - begun[1]))
    return statistics.median(wall for wall, _ in found), statistics.median(own for _, own in found)


def tell_load() -> None:
    """How busy the machine is: on one that others use, the seconds of the process say more than the clock."""
    busy = f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "not known"
    print(f"load of the machine: {busy}, on {os.cpu_count()} processors", flush=True)


def findings(history: History, times: int = FINDINGS) -> tuple[list[float], float]:
    """Seconds of so many findings by the clock, in order, and of this process for one."""
    found, own = [], 0.0
    for number in range(times):
        if number % 15 == 0:
            key = history.begin(Invented(10**9 + number, 1).record().kept[0].event)
        event = Event(at=NOW, kind="check", id="output_gauge", answer="none", text=f"{number} psi")
        begun = time.perf_counter(), time.process_time()
        history.append(key, event, 1 + number % 15)
        found.append(time.perf_counter() - begun[0])
        own += time.process_time() - begun[1]
    return sorted(found), own / times


def tell_findings(found: tuple[list[float], float], bar: float) -> None:
    """The line of the table for findings."""
    seconds, own = found
    at = [seconds[int(share * (len(seconds) - 1))] * 1000 for share in (0.5, 0.9, 0.99)]
    line = f"{at[0]:8.1f} ms half of them, {at[1]:.1f} ms 90 %, {at[2]:.1f} ms 99 %"
    print(f"{'finding committed':22}{line} ({own * 1000:.1f} ms of its process), bar: {bar:g} ms", flush=True)


def memory() -> float:
    """The most that this process has had, in MB."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1e6 if sys.platform == "darwin" else 1e3)


def tell(what: str, seconds: tuple[float, float], bar: str) -> None:
    """One line of the table."""
    wall, own = seconds
    print(f"{what:22}{wall:8.3f} s ({own:.3f} s of its process), bar: {bar}", flush=True)


def merged(name: str, file: Path) -> tuple[float, float]:
    """The command that merges a file: seconds by the clock and of its process. Its memory is printed."""
    begun = time.perf_counter()
    command = [sys.executable, "-m", "tui", "history", "merge", str(file), "--db", name]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    assert status == 0
    most = used.ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3)
    print(f"{'memory of the merge':22}{most:8.0f} MB, bar: 500 MB", flush=True)
    return time.perf_counter() - begun, used.ru_utime + used.ru_stime


def prove_alike(folder: Path) -> None:
    """What `fill` puts in is what a merge of the same callouts leaves."""
    file, count = folder / "few.jsonl", 40
    write(file, range(count), count)
    texts = []
    for way in (lambda history: fill(history, count, count), lambda history: merge(history, [file])):
        with History.open(str(folder / f"few{len(texts)}.sqlite"), lambda: NOW) as history:
            way(history)
            texts.append((text_of(history), history.callouts()))
    assert texts[0] == texts[1]


def main() -> None:
    """Fill, time, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--callouts", type=int, default=1_000_000)
    parser.add_argument("--merge", type=int, default=100_000)
    parser.add_argument("--postgresql", action="store_true")
    args = parser.parse_args()
    gc.set_threshold(LEAST_WASTE)
    whole = args.callouts + args.merge
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        prove_alike(folder)
        tell_load()
        url = stack.enter_context(running(durable=True)) if args.postgresql else ""
        name = database(url, f"bench_{os.getpid()}") if url else str(folder / "bench.sqlite")
        history = stack.enter_context(History.open(name, lambda: NOW))
        tell(f"fill {args.callouts:,}", timed(lambda: fill(history, args.callouts, whole)), "none")
        if not url:
            print(f"{'the file':22}{Path(name).stat().st_size / 1e6:8,.0f} MB")
        tell_findings(findings(history), 20 if url else 5)
        unit = history.find(Invented(1, whole).opening.callout)
        ledger = Ledger(history, load_book())
        teacher = Teacher(ledger)
        tell("all sites reckoned", timed(lambda: teacher.taught), "none, once for each twentieth more")
        tell("a unit's file", timed(lambda: unit_file(teacher, unit.site, unit.unit), 5), "0.1 s")
        tell("a unit's callouts", timed(lambda: history.callouts(Wanted(unit=unit.unit)), 5), "none")
        tell("open callouts", timed(history.open_callouts, 5), "none")
        tell("found by its name", timed(lambda: history.find(unit.name), 5), "none")
        tell("found by its key", timed(lambda: history.find(unit.key[:8]), 5), "none")
        print(f"{'memory':22}{memory():8.0f} MB, bar: 500 MB", flush=True)
        file = folder / "in.jsonl"
        write(file, range(args.callouts, whole), whole)
        for what in (f"merge {args.merge:,}", "the same once more"):
            tell(what, merged(name, file), "60 s for 100,000")
        tell_load()


if __name__ == "__main__":
    main()
