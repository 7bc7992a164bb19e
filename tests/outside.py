"""The table of outside checks: ``python -m tests.outside`` prints case, ours, theirs, difference, source."""

import importlib
import pkgutil
from collections.abc import Iterator
from typing import Any

import tests.diagnose as diagnose_tests
from tests.diagnose import calculators as calculator_tests
from tests.diagnose import history as history_tests


def tables() -> Iterator[tuple[str, list[Any]]]:
    """(subject, its `OUTSIDE` list) of every test module of the calculators and of the history."""
    for package in (calculator_tests, history_tests, diagnose_tests):
        for found in pkgutil.iter_modules(package.__path__, f"{package.__name__}."):
            name = found.name.rpartition(".")[2]
            if name.startswith("test_") and (package is not diagnose_tests or name == "test_loop"):
                rows = getattr(importlib.import_module(found.name), "OUTSIDE", None)
                if rows:
                    yield name.removeprefix("test_"), rows


def main() -> None:
    """Print the table, and how many rows it has."""
    count = 0
    for subject, rows in tables():
        print(f"\n{subject}")
        for case, ours, theirs, source, *_ in rows:
            print(f"  {str(case)[:58]:58} {ours:14.6g} {theirs:14.6g} {ours - theirs:+11.2e}  {source}")
            count += 1
    print(f"\n{count} outside values")


if __name__ == "__main__":
    main()
