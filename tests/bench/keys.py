"""Milliseconds from a key to its answer on the walk's screen, while the walk saves and reckons behind it.

``python -m tests.bench.keys [ANSWERS]`` walks the shipped book on an example unit, with a store on disk.
After each answer it presses harmless keys until the next question stands, and times each from the press
until the screen has handled it.
"""

import argparse
import asyncio
import statistics
import sys
import tempfile
import time
from contextlib import ExitStack, closing
from pathlib import Path

from textual.pilot import Pilot

from diagnose.history.saver import Saver
from diagnose.history.store import History
from diagnose.sheet import read_unit
from diagnose.walk import Walk
from knowledge.book import load_book
from tui.clock import utc_now
from tui.screen.app import WalkApp
from tui.session import start

UNIT = "willow-flat-v210"
ANSWERS = ("1", "1", "0")
"""No danger, the first complaint, then "could not tell" to every check: the longest of all walks."""
LONGEST = 120.0


async def timed(pilot: Pilot[int], key: str) -> float:
    """Seconds until the key is handled and all that it changed is drawn."""
    start = time.perf_counter()
    pilot.app.simulate_key(key)
    done = asyncio.Event()
    pilot.app.screen.call_after_refresh(done.set)
    await done.wait()
    return time.perf_counter() - start


async def measure(walk: Walk, answers: int) -> tuple[list[float], list[float], list[float]]:
    """Seconds of each key pressed while it works, of each answer key itself, and to each next question."""
    app = WalkApp(walk, "bench")
    while_busy, answering, questions = list[float](), list[float](), list[float]()
    async with app.run_test(size=(80, 24)) as pilot:
        screen = app.walk_screen
        for number in range(answers + 1):
            began = time.perf_counter()
            while screen.busy and time.perf_counter() - began < LONGEST:
                while_busy.append(await timed(pilot, "up"))
                await asyncio.sleep(0.02)
            questions.append(time.perf_counter() - began)
            await asyncio.sleep(0.5)
            if number == answers or screen.shown is None or screen.shown.step is None:
                break
            step = screen.shown.step
            wanted = ANSWERS[min(number, len(ANSWERS) - 1)]
            keys = [choice.key for choice in step.choices]
            answering.append(await timed(pilot, wanted if wanted in keys else keys[-1]))
    return while_busy, answering, questions


def main(answers: int) -> None:
    """Print the median, the 99th percentile and the worst."""
    book = load_book()
    with ExitStack() as stack:
        folder = stack.enter_context(tempfile.TemporaryDirectory())
        history = stack.enter_context(closing(History.open(str(Path(folder) / "history.sqlite"), utc_now)))
        saver = Saver(history, start(history, read_unit(UNIT, book), book, learning=False))
        walk = Walk(book, saver.events, saver.save, utc_now, None, "en", saver)
        found = asyncio.run(measure(walk, answers))
    names = (
        "a key while it saves and reckons",
        "an answer key itself",
        "from an answer to the next question",
    )
    for what, seconds in zip(names, found, strict=True):
        ranked = sorted(seconds) or [0.0]
        most = ranked[min(len(ranked) - 1, int(len(ranked) * 0.99))]
        print(
            f"{what}: {len(seconds)} times, median {statistics.median(ranked) * 1000:.0f} ms, "
            f"99 % {most * 1000:.0f} ms, worst {ranked[-1] * 1000:.0f} ms"
        )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("answers", nargs="?", type=int, default=12)
    sys.exit(main(parser.parse_args().answers))
