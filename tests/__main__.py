"""Everything that CI runs, in one word: ``python -m tests`` (lint, format, types, tests).

Words after it go to pytest: ``python -m tests -k history``.
"""

import os
import subprocess
import sys
from pathlib import Path

CHECKS = (
    ["ruff", "check", "."],
    ["ruff", "format", "--check", "."],
    ["mypy"],
    # As many workers as there are processors; two take the laws and the slow references side by side.
    ["pytest", "-n", "auto", "--dist", "worksteal"],
)
ONE_THREAD = os.environ | {"OPENBLAS_NUM_THREADS": "1"}
"""The workers share the processors already."""


def main(words: list[str]) -> int:
    """Run every check, also after one failed; 0 when all passed."""
    worst = 0
    for tool, *options in CHECKS:
        extra = words if tool == "pytest" else []
        print(f"== {tool} {' '.join(options)}", flush=True)
        code = subprocess.run(
            [sys.executable, "-m", tool, *options, *extra], cwd=Path(__file__).parents[1], env=ONE_THREAD
        ).returncode
        worst = worst or code
    return worst


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
