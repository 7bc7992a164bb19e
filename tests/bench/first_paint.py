"""Milliseconds from the command to the first frame of the screen, and to its first question.

``python -m tests.bench.first_paint [TIMES]`` runs ``walk`` in a pseudo-terminal of 80x24, then ``desk`` with
the callouts of those walks on it: to its list, and until the first of them is worked out.
"""

import os
import pty
import select
import statistics
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Sequence

WALK = ("walk", "--new", "--unit", "willow-flat-v210")
STARTS = (
    ("walk", WALK, (b"halfsplit", "first frame"), (b"question 1", "first question")),
    ("desk", ("desk",), (b"Desk: ", "list"), (b"Awaited", "callout worked out")),
)
"""(command, its words, what shows that its frame is there, and that it is done)."""
LONGEST = 120.0


def once(folder: str, command: Sequence[str], first: bytes, last: bytes) -> tuple[float, float]:
    """(Seconds to the first frame, until it is done) of one start."""
    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, 80))
    words = [sys.executable, "-m", "tui", *command]
    kept = {"HALFSPLIT_DATA": folder, "HALFSPLIT_CACHE": f"{folder}/cache"}
    start = time.perf_counter()
    process = subprocess.Popen(
        words, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True, env={**os.environ, **kept}
    )
    os.close(theirs)
    seen, frame, question = b"", 0.0, 0.0
    try:
        while not question and time.perf_counter() - start < LONGEST:
            if select.select([ours], [], [], 0.05)[0]:
                seen += os.read(ours, 65536)
            now = time.perf_counter() - start
            frame = frame or (now if first in seen else 0.0)
            question = now if last in seen else 0.0
    finally:
        process.kill()
        process.wait()
        os.close(ours)
    return frame, question


def main(times: int) -> None:
    """Print the median and the worst of so many starts, after one that fills the cache."""
    with tempfile.TemporaryDirectory() as folder:
        for name, command, (first, frame), (last, question) in STARTS:
            once(folder, command, first, last)
            found = zip(*(once(folder, command, first, last) for _ in range(times)), strict=True)
            for what, seconds in zip((frame, question), found, strict=True):
                middle, worst = statistics.median(seconds) * 1000, max(seconds) * 1000
                print(f"{name}, {what}: median {middle:.0f} ms, worst {worst:.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
