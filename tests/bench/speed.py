"""How long an answer takes: ``python -m tests.bench.speed``. Best of several runs; nothing is asserted."""

import platform
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np

from diagnose.advice import Adviser, Limits
from diagnose.evidence import Evidence
from diagnose.events import Event
from diagnose.reasoner import Reasoner
from diagnose.sheet import Unit
from diagnose.walk import Walk, open_callout
from knowledge.book import load_book

KNOWN = {"action": "snap", "acting": "direct", "valve_fails": "closed"}
FOUND = Evidence(("wont_open",), {"level_glass": "high", "lever_by_hand": "both"})
RANK = ["rank", "--saw", "complaint=wont_open", "--saw", "level_glass=high", "--json"]


def best(task: Callable[[], object], runs: int = 7) -> float:
    """Milliseconds of the quickest of several runs."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        task()
        times.append(time.perf_counter() - start)
    return min(times) * 1000


def main() -> None:
    """Print one table."""
    book = load_book()
    print(f"Python {platform.python_version()}, numpy {np.__version__}, {platform.machine()}")
    print(f"{'load the book':42}{best(load_book):8.1f} ms")
    for label, facts in (("nothing known", {}), ("action, acting, fail position known", KNOWN)):
        reasoner = Reasoner(book, facts)
        names = list(book.checks)
        print(f"{label}: {reasoner.tree.cells:,} cells")
        print(f"{'  compile':42}{best(lambda f=facts: Reasoner(book, f)):8.1f} ms")
        print(f"{'  all beliefs':42}{best(lambda r=reasoner: r.beliefs(FOUND)):8.1f} ms")
        print(
            f"{'  every what-if of every check':42}{best(lambda r=reasoner: r.what_ifs(FOUND, names)):8.1f} ms"
        )
        print(f"{'  advice':42}{best(lambda r=reasoner: Adviser(r, FOUND).best(Limits())):8.1f} ms")
        print(f"{'  an answer to the next question':42}{answer_time(facts):8.1f} ms")
    command = [sys.executable, "-m", "tui", *RANK]
    print(
        f"{'halfsplit rank, from the shell':42}{best(lambda: subprocess.run(command, capture_output=True)):8.1f} ms"
    )


def answer_time(facts: dict[str, str]) -> float:
    """Milliseconds from an answer until the next view is there, the slowest of the first questions."""
    book = load_book()
    events: list[Event] = []
    walk = Walk(book, [open_callout("bench", Unit("bench", facts), book, "")], events.append, lambda: "")
    for question in book.triage.values():
        walk.answer(next(iter(question.outcomes)))
    walk.answer("wont_open")
    walk.view()
    slowest = 0.0
    for _ in range(4):
        start = time.perf_counter()
        step = walk.view().step
        assert step is not None
        walk.answer(step.choices[0].key)
        walk.view()
        slowest = max(slowest, time.perf_counter() - start)
    return slowest * 1000


if __name__ == "__main__":
    main()
