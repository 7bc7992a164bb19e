"""Speeds of the store: ``python -m tests.bench.history [CALLOUTS] [--postgresql] [--merge N]``.

Fills a store with CALLOUTS (a million; less is quicker), then prints beside the bars: a merge of N more
(100,000), a finding committed, a unit's callouts and the open ones listed, the memory at its highest.
Each callout has 14 events, as one of some six checks has.
"""

import argparse
import gc
import os
import random
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import ExitStack
from datetime import UTC, datetime, timedelta
from pathlib import Path

from diagnose.events import Event, Opening
from diagnose.history.record import Record
from diagnose.history.store import History, Wanted
from diagnose.history.travel import merge
from diagnose.history.wire import line_of
from tests.diagnose.history.server import database, running
from tui.__main__ import LEAST_WASTE

START = datetime(2023, 1, 1, tzinfo=UTC)
UNITS, SITES = 1000, 20
NOW = "2026-02-01T00:00:00Z"
STEPS = (
    ("triage", "danger", "no_danger"),
    ("triage", "trip", "hours"),
    ("complaint", "complaint", "wont_open"),
    ("check", "level_glass", "high"),
    ("check", "supply_gauge", "full"),
    ("check", "output_gauge", "none"),
    ("check", "lift_arm", "nothing"),
    ("check", "vent_breathes", "no"),
    ("caution", "supply off", "read_it"),
    ("hold", "supply off", "done"),
    ("repair", "pilot_gummed", "done"),
    ("hold", "running", "done"),
    ("prove", "pilot_gummed", "cured"),
)


def record(number: int) -> Record:
    """An invented callout."""
    draw = random.Random(number)
    unit = draw.randrange(UNITS)
    opened = START + timedelta(minutes=draw.randrange(3 * 365 * 24 * 60))
    opening = Opening(
        callout=f"{opened:%Y%m%dT%H%M%SZ}-V-{unit}-{number:06x}",
        unit=f"V-{unit}",
        site=f"Site {unit % SITES}",
        facts={"action": "snap", "acting": "direct", "valve_fails": "closed", "season": "cold"},
        quantities={"supply_psi": 20.0 + unit % 10},
        book="0" * 64,
    )
    events = [Event(at=f"{opened:%Y-%m-%dT%H:%M:%SZ}", kind="opened", opening=opening)]
    for minutes, (kind, name, answer) in enumerate(STEPS, 1):
        at = opened + timedelta(minutes=3 * minutes)
        events.append(Event(at=f"{at:%Y-%m-%dT%H:%M:%SZ}", kind=kind, id=name, answer=answer))
    return Record.in_a_row(events)


def write(path: Path, numbers: range) -> None:
    """A file of callouts."""
    with path.open("w", encoding="utf-8") as out:
        out.writelines(line_of(record(number)) + "\n" for number in numbers)


def timed(work: Callable[[], object], times: int = 1) -> tuple[float, float]:
    """The medians of so many runs, in seconds: by the clock, and of this process alone."""
    found = []
    for _ in range(times):
        begun = time.perf_counter(), time.process_time()
        work()
        found.append((time.perf_counter() - begun[0], time.process_time() - begun[1]))
    return statistics.median(wall for wall, _ in found), statistics.median(own for _, own in found)


def findings(history: History, times: int) -> list[float]:
    """Seconds of so many findings, each behind some fifteen others of its callout."""
    found = []
    for number in range(times):
        if number % 15 == 0:
            key = history.begin(record(10**9 + number).kept[0].event)
        event = Event(at=NOW, kind="check", id="output_gauge", answer="none", text=f"{number} psi")
        begun = time.perf_counter()
        history.append(key, event, 1 + number % 15)
        found.append(time.perf_counter() - begun)
    return found


def memory() -> float:
    """The most that this process has had, in MB."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1e6 if sys.platform == "darwin" else 1e3)


def tell(what: str, seconds: tuple[float, float], bar: str) -> None:
    """One line of the table."""
    wall, own = seconds
    print(f"{what:22}{wall:8.3f} s ({own:.3f} s of this process), bar: {bar}", flush=True)


def main() -> None:
    """Fill, time, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("callouts", type=int, nargs="?", default=1_000_000)
    parser.add_argument("--merge", type=int, default=100_000)
    parser.add_argument("--postgresql", action="store_true")
    args = parser.parse_args()
    gc.set_threshold(LEAST_WASTE)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        url = stack.enter_context(running(durable=True)) if args.postgresql else ""
        name = database(url, f"bench_{os.getpid()}") if url else str(folder / "bench.sqlite")
        history = stack.enter_context(History.open(name, lambda: NOW))
        file = folder / "in.jsonl"
        step, filled = 100_000, 0.0
        for first in range(0, args.callouts, step):
            write(file, range(first, min(first + step, args.callouts)))
            filled += timed(lambda: merge(history, [file]))[0]
        print(f"filled with {args.callouts:,} callouts in {filled:.0f} s", flush=True)
        if not url:
            print(f"the file: {Path(name).stat().st_size / 1e6:,.0f} MB")
        write(file, range(args.callouts, args.callouts + args.merge))
        tell(f"merge {args.merge:,}", timed(lambda: merge(history, [file])), "60 s for 100,000")
        tell("the same once more", timed(lambda: merge(history, [file])), "none")
        committed = statistics.median(findings(history, 300)) * 1000
        print(f"{'finding committed':22}{committed:8.1f} ms, bar {20 if url else 5} ms", flush=True)
        tell("a unit's callouts", timed(lambda: history.callouts(Wanted(unit="V-7")), 5), "0.1 s")
        tell("open callouts", timed(history.open_callouts, 5), "none")
        print(f"memory               {memory():9.0f} MB, bar 500 MB")


if __name__ == "__main__":
    main()
