"""Milliseconds from the command to the first frame of the screen, and to its first question.

``python -m tests.bench.first_paint [TIMES]`` runs ``walk`` in a pseudo-terminal of 80x24.
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

FRAME, QUESTION = b"halfsplit", b"question 1"
LONGEST = 120.0


def once(folder: str) -> tuple[float, float]:
    """(Seconds to the first frame, to the first question) of one start."""
    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, 80))
    words = [sys.executable, "-m", "tui", "walk", "--new", "--unit", "willow-flat-v210"]
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
            frame = frame or (now if FRAME in seen else 0.0)
            question = now if QUESTION in seen else 0.0
    finally:
        process.kill()
        process.wait()
        os.close(ours)
    return frame, question


def main(times: int) -> None:
    """Print the median and the worst of so many starts, after one that fills the cache."""
    with tempfile.TemporaryDirectory() as folder:
        once(folder)
        frames, questions = zip(*(once(folder) for _ in range(times)), strict=True)
    for what, found in (("first frame", frames), ("first question", questions)):
        print(f"{what}: median {statistics.median(found) * 1000:.0f} ms, worst {max(found) * 1000:.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
