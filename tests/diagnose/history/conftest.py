"""Both kinds of store: a file of SQLite and a database of a real PostgreSQL, one server for all tests."""

import os
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest

from diagnose.history.store import History

NOW = "2026-02-01T00:00:00Z"
NUMBERS = count(1)


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The URL of a PostgreSQL that the tests start and stop."""
    from tests.diagnose.history.server import running

    with running() as url:
        yield url


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[[], str]:
    """Makes the name of a store that is not there yet."""
    if request.param == "sqlite":
        return lambda: str(tmp_path / f"{next(NUMBERS)}.sqlite")
    from tests.diagnose.history.server import database

    url = request.getfixturevalue("server")
    return lambda: database(url, f"test_{os.getpid()}_{next(NUMBERS)}")


@pytest.fixture
def history(place: Callable[[], str]) -> Iterator[History]:
    """A new store."""
    with History.open(place(), lambda: NOW) as made:
        yield made
