"""Everything that CI runs, in one word: ``python -m tests`` (lint, format, types, tests).

Words after it go to pytest: ``python -m tests -k history``. ``python -m tests --coverage`` also tells which
lines of `diagnose` and `knowledge` no test runs, and fails where that is more than one in twenty.
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
COVERAGE = ["--cov", "--cov-report=term-missing:skip-covered"]
"""What is measured and how much is asked for stands in pyproject.toml."""


def main(words: list[str]) -> int:
    """Run every check, also after one failed; 0 when all passed."""
    worst = 0
    pytest_words = [word for word in words if word != "--coverage"]
    pytest_words += COVERAGE if "--coverage" in words else []
    for tool, *options in CHECKS:
        extra = pytest_words if tool == "pytest" else []
        print(f"== {tool} {' '.join(options)}", flush=True)
        code = subprocess.run(
            [sys.executable, "-m", tool, *options, *extra], cwd=Path(__file__).parents[1], env=ONE_THREAD
        ).returncode
        worst = worst or code
    return worst


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
