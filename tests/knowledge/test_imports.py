"""The floors: imports run down, and the reasoning is there without the screen."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FORBIDDEN = {
    "knowledge": {"diagnose", "tui", "tests", "textual"},
    "diagnose": {"tui", "tests", "textual"},
    "tui": {"tests"},
}
FILES = sorted(path for floor in FORBIDDEN for path in (ROOT / floor).rglob("*.py"))


def imported(path: Path) -> set[str]:
    """Top-level packages that a file imports, anywhere in it."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name.partition(".")[0] for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}:{node.lineno} imports by a relative path"
            found.add((node.module or "").partition(".")[0])
    return found


def test_there_are_files_to_look_at():
    """The two lower floors are where they are looked for."""
    assert {path.parent.name for path in FILES} >= {"knowledge", "diagnose"}


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_an_import_runs_down_never_up(path):
    """Knowledge imports neither other floor, diagnose not the screen, and nobody the tests."""
    floor = path.relative_to(ROOT).parts[0]
    assert not imported(path) & FORBIDDEN[floor]


@pytest.mark.parametrize("module", ["knowledge.book", "diagnose.walk"])
def test_the_lower_floors_run_without_the_screen(module):
    """A fresh interpreter that imports one has loaded neither textual nor the floors above."""
    look = f"import sys, {module}; print(*sorted({{name.partition('.')[0] for name in sys.modules}}))"
    run = subprocess.run([sys.executable, "-c", look], capture_output=True, text=True, check=True, cwd=ROOT)
    loaded = set(run.stdout.split())
    floor = module.partition(".")[0]
    assert floor in loaded
    assert not loaded & FORBIDDEN[floor]


@pytest.mark.parametrize("path", [p for p in FILES if "diagnose" in p.parts], ids=lambda path: path.stem)
def test_the_reasoning_prints_nothing_and_reads_no_clock(path):
    """No call of print, no clock, no moment asked of the system: time is handed in."""
    calls = [n.func for n in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(n, ast.Call)]
    assert not {call.id for call in calls if isinstance(call, ast.Name)} & {"print", "input"}
    assert not {call.attr for call in calls if isinstance(call, ast.Attribute)} & {"now", "utcnow", "today"}
    assert not imported(path) & {"time", "secrets"}
