"""How long an answer takes: ``python -m tests.bench.speed``. Best of several runs; nothing is asserted."""

import os
import platform
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from tempfile import TemporaryDirectory

import numpy as np

from diagnose.advice import Adviser, Limits
from diagnose.events import Event
from diagnose.evidence import Evidence
from diagnose.opening import open_callout
from diagnose.reasoner import Reasoner
from diagnose.sheet import Unit
from diagnose.walk import Walk
from knowledge.book import load_book

KNOWN = {"action": "snap", "acting": "direct", "valve_fails": "closed"}
FOUND = Evidence(("wont_open",), {"level_glass": "high", "lever_by_hand": "both"})
RANK = ["rank", "--saw", "complaint=wont_open", "--saw", "level_glass=high", "--json"]

BOOK = load_book()
CHECKS = list(BOOK.checks)


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
    print(f"Python {platform.python_version()}, numpy {np.__version__}, {platform.machine()}")
    at_hand: dict[str, object] = {}
    print(f"{'load the book':42}{best(load_book):8.1f} ms")
    print(f"{'load the book, its data kept':42}{best(partial(load_book, kept=at_hand)):8.1f} ms")
    for label, facts in (("nothing known", {}), ("action, acting, fail position known", KNOWN)):
        reasoner = Reasoner(BOOK, facts)
        print(f"{label}: {reasoner.tree().cells:,} cells")
        kept: dict[str, object] = {}
        print(f"{'  compile':42}{best(partial(Reasoner, BOOK, facts)):8.1f} ms")
        print(f"{'  compile, its shape kept':42}{best(partial(Reasoner, BOOK, facts, kept)):8.1f} ms")
        print(f"{'  all beliefs':42}{best(partial(reasoner.beliefs, FOUND)):8.1f} ms")
        print(
            f"{'  every what-if of every check':42}{best(partial(reasoner.what_ifs, FOUND, CHECKS)):8.1f} ms"
        )
        print(f"{'  advice':42}{best(partial(advise, reasoner)):8.1f} ms")
        print(f"{'  advice by rollout':42}{best(partial(look_ahead, reasoner), 3):8.1f} ms")
        print(f"{'  an answer to the next question':42}{answer_time(facts):8.1f} ms")
    with TemporaryDirectory() as folder:
        print(f"{'halfsplit rank, from the shell':42}{best(partial(rank, folder)):8.1f} ms")
    print(f"{'  with nothing kept from the last time':42}{best(partial(rank, '')):8.1f} ms")


def advise(reasoner: Reasoner) -> None:
    """Beliefs, what-ifs and the best next step."""
    Adviser(reasoner, FOUND).best(Limits())


def look_ahead(reasoner: Reasoner) -> None:
    """The same by rollout."""
    Adviser(reasoner, FOUND).best_ahead(Limits())


def rank(cache: str) -> None:
    """One command in a process of its own; ``cache``: the folder for what is kept, or empty for none."""
    environment = {**os.environ, "HALFSPLIT_CACHE": cache}
    subprocess.run([sys.executable, "-m", "tui", *RANK], capture_output=True, check=True, env=environment)


def answer_time(facts: dict[str, str]) -> float:
    """Milliseconds from an answer until the next view is there, the slowest of the first questions."""
    events: list[Event] = []
    walk = Walk(BOOK, [open_callout("bench", Unit("bench", facts), BOOK, "")], events.append, lambda: "")
    for question in BOOK.triage.values():
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
