"""A line on stderr that says how far a long work has come."""

import sys
import time
from collections.abc import Callable
from typing import Final

WIDTH: Final = 30
EVERY: Final = 0.2
"""Seconds between two drawings."""
FIRST: Final = 0.5
"""Seconds before the first: a short work shows nothing."""


def bar(what: str) -> Callable[[int, int], None]:
    """Something to tell progress to. It draws on a terminal only."""
    began = time.monotonic()
    last = began + FIRST - EVERY

    def tell(done: int, whole: int) -> None:
        nonlocal last
        now = time.monotonic()
        if not sys.stderr.isatty() or (now - last < EVERY and done < whole) or now - began < FIRST:
            return
        last = now
        share = min(1.0, done / whole) if whole else 1.0
        full = round(share * WIDTH)
        end = "\n" if done >= whole else ""
        line = f"\r{what} [{'#' * full}{'.' * (WIDTH - full)}] {share:4.0%}{end}"
        sys.stderr.write(line)
        sys.stderr.flush()

    return tell
