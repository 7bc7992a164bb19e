"""``python -m tests.fuzz [CASES] [SEED] [KIND …]``: how many cases were taken, refused, or found wanting."""

import sys
import tempfile
import time
from pathlib import Path
from typing import Final

from tests.fuzz.kinds import KINDS, cases

SHARES: Final = {
    "reading": 30,
    "said": 5,
    "calculation": 20,
    "sheet": 15,
    "book": 10,
    "batch": 10,
    "typed": 2,
}
"""Of the cases, by how quick they are; every other kind has one share."""
SHOWN: Final = 60
"""Characters of a finding; findings that begin alike are shown once."""


def main(arguments: list[str]) -> int:
    """Run the cases and print the table; 1 when there was a finding."""
    count = int(arguments[0]) if arguments else 1000
    seed = int(arguments[1]) if len(arguments) > 1 else 0
    kinds = arguments[2:] or list(KINDS)
    whole = sum(SHARES.get(kind, 1) for kind in kinds)
    print(f"{'kind':14}{'cases':>8}{'taken':>8}{'refused':>9}{'findings':>10}{'seconds':>9}")
    worst = 0
    with tempfile.TemporaryDirectory() as folder:
        for kind in kinds:
            worst = max(worst, _run(kind, max(1, count * SHARES.get(kind, 1) // whole), seed, Path(folder)))
    return worst


def _run(kind: str, count: int, seed: int, folder: Path) -> int:
    start = time.perf_counter()
    taken = refused = 0
    found: dict[str, str] = {}
    for number, came in cases(kind, count, seed, folder):
        if isinstance(came, Exception):
            found.setdefault(f"{type(came).__name__}: {came}"[:SHOWN], f"{kind} {seed} {number}")
        elif came:
            taken += 1
        else:
            refused += 1
    seconds = time.perf_counter() - start
    wrong = count - taken - refused
    print(f"{kind:14}{count:8}{taken:8}{refused:9}{wrong:10}{seconds:9.0f}", flush=True)
    for what, which in found.items():
        print(f"    {which}: {what!r}")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
