"""Everything that CI runs, in one word: ``python -m tests`` (lint, format, types, tests).

Words after it go to pytest: ``python -m tests -k journal``.
"""

import subprocess
import sys
from pathlib import Path

CHECKS = (
    ["ruff", "check", "."],
    ["ruff", "format", "--check", "."],
    ["mypy"],
    ["pytest"],
)


def main(words: list[str]) -> int:
    """Run every check, also after one failed; 0 when all passed."""
    worst = 0
    for tool, *options in CHECKS:
        extra = words if tool == "pytest" else []
        print(f"== {tool} {' '.join(options)}", flush=True)
        code = subprocess.run(
            [sys.executable, "-m", tool, *options, *extra], cwd=Path(__file__).parents[1]
        ).returncode
        worst = worst or code
    return worst


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
