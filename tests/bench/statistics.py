"""Rates and trends on a large history: ``python -m tests.bench.statistics [CALLOUTS]``, a million by default.

The callouts are put into the ledger as they are when they have been read; how long reading takes is told for
a few of them apart. Invented units, a fault drawn for each callout by the book's rates. Nothing is asserted.
"""

import argparse
import resource
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

import numpy as np
from sqlalchemy import insert

from diagnose.history.closed import ClosedCallout
from diagnose.history.expected import Expected
from diagnose.history.ledger import Ledger, put
from diagnose.history.site_trends import site_trends
from diagnose.history.stock import stock_of
from diagnose.history.store import History
from diagnose.history.tables import CALLOUT
from diagnose.history.teacher import Teacher
from knowledge.book import load_book

SITES: Final = 50
UNITS: Final = 100
"""Of each site."""
DAYS: Final = 1800
CHUNK: Final = 10_000
NOW: Final = datetime(2026, 1, 1, tzinfo=UTC)
BARS: Final = {"rates of one unit": 0.2, "trends of one site": 2.0}
"""Seconds."""


def fill(history: History, expected: Expected, callouts: int) -> None:
    """Put so many callouts into the ledger, in the order of their ends."""
    draw = np.random.default_rng(1)
    facts = [
        {"supply_medium": medium, "weather": w}
        for medium in ("air", "field_gas")
        for w in ("freezing", "mild")
    ]
    shares = expected.shares(facts)
    for start in range(0, callouts, CHUNK):
        found = []
        for number in range(start, min(start + CHUNK, callouts)):
            kind = int(draw.integers(len(facts)))
            cause = expected.causes[int(draw.choice(len(expected.causes), p=shares[kind]))]
            ended = NOW - timedelta(days=DAYS * (1 - number / callouts))
            site, unit = draw.integers((SITES, UNITS)).tolist()
            found.append((number + 1, one(number, f"Site {site}", f"V-{unit}", ended, cause, facts[kind])))
        with history.writing() as connection:
            rows = [{"row": row, "key": f"{row:016x}", "events": 1} for row, _ in found]
            connection.execute(insert(CALLOUT), rows)
            put(connection, found, NOW)
        print(f"\r{start + len(found)} of {callouts}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)


def one(
    number: int, site: str, unit: str, ended: datetime, cause: str, facts: dict[str, str]
) -> ClosedCallout:
    """A callout of one cause, two hours long."""
    opened = ended - timedelta(hours=2)
    return ClosedCallout(
        str(number), unit, site, opened, ended, "wont_open", "cured", {cause: 1.0}, 120.0, facts=facts
    )


def timed(name: str, began: float) -> None:
    """Print how long something took, and whether its bar is met."""
    seconds = time.perf_counter() - began
    bar = next((bar for start, bar in BARS.items() if name.startswith(start)), None)
    said = "" if bar is None else f"  bar {bar:g} s, {'met' if seconds <= bar else 'NOT met'}"
    print(f"{name:48}{seconds:9.3f} s{said}", flush=True)


def main(given: argparse.Namespace) -> None:
    """Fill a store, and time what is asked of it."""
    book = load_book()
    with (
        tempfile.TemporaryDirectory(dir=given.folder) as folder,
        History.open(str(Path(folder) / "history.sqlite"), lambda: NOW.isoformat()) as history,
    ):
        began = time.perf_counter()
        fill(history, Expected(book), given.callouts)
        print(f"{given.callouts} callouts, {SITES} sites of {UNITS} units")
        timed("filling", began)
        ledger = Ledger(history, book)
        began = time.perf_counter()
        Teacher(ledger).unit("Site 7", "V-7", {})
        timed("all sites anew (after each twentieth more)", began)
        for again in ("", ", again"):
            began = time.perf_counter()
            Teacher(ledger).unit("Site 7", "V-7", {})
            timed(f"rates of one unit{again}", began)
        began = time.perf_counter()
        callouts = ledger.callouts("Site 7")
        timed(f"reading one site's {len(callouts)} callouts", began)
        began = time.perf_counter()
        site_trends(ledger.callouts("Site 7"), NOW)
        timed("trends of one site", began)
        began = time.perf_counter()
        stock_of(book, Teacher(ledger).taught.everywhere, "Site 7", callouts, NOW)
        timed("stock of one site", began)
        print(f"largest memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Rates and trends on a large history.")
    parser.add_argument("callouts", nargs="?", type=int, default=1_000_000)
    parser.add_argument("--folder", help="where the store is put for the time")
    return parser.parse_args()


if __name__ == "__main__":
    main(_arguments())
