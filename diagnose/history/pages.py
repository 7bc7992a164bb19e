"""What a history shows of each unit and of a site: faults over time, trend, what to look at next."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import select

from diagnose.history.closed import ClosedCallout
from diagnose.history.ledger import Ledger
from diagnose.history.ledger_tables import PLACE
from diagnose.history.site_trends import back_soon, site_trends
from diagnose.history.stock import SEASONED
from diagnose.history.teacher import Teacher
from diagnose.history.trends import Trend
from diagnose.wording import titles_of
from knowledge.book import Book
from knowledge.problems import InputProblems, Problem, nearest
from knowledge.words import HOLDS

QUARTERS: Final = 12
"""Quarters of a year that faults are shown over."""
NEXT: Final = 3
"""Likeliest faults that are named for the next time."""


@dataclass(frozen=True)
class Fault:
    """One fault on a unit or a site."""

    cause: str
    title: str
    callouts: int
    minutes: float
    last: datetime
    by_quarter: tuple[int, ...]
    """The oldest first, up to the present one."""


@dataclass(frozen=True)
class NextTime:
    """A fault that may be met at the next callout of a unit."""

    cause: str
    title: str
    of_1000: float
    """Callouts of 1000."""
    rests_on: str
    check: str
    """The cheapest look at it on the running unit; empty when there is none."""


@dataclass(frozen=True)
class UnitFile:
    """All that is shown of one unit."""

    site: str
    unit: str
    facts: Mapping[str, str]
    """What was known of it at the last callout."""
    callouts: tuple[ClosedCallout, ...]
    """In the order of their ends."""
    faults: tuple[Fault, ...]
    """The most frequent first."""
    by_quarter: tuple[int, ...]
    quarters: tuple[str, ...]
    """Names of the quarters, as 2026 Q1."""
    repeats: int
    """Callouts about a fault that had been put right there within 30 days before."""
    trend: Trend | None
    next_time: tuple[NextTime, ...]


@dataclass(frozen=True)
class UnitRow:
    """One unit in the site's table."""

    site: str
    unit: str
    callouts: int
    last_year: int
    minutes: float
    """In the last year."""
    repeats: int
    leading: str
    """Title of the fault that it had most often."""
    trend: Trend | None
    worse: bool
    """It is getting worse, with the false alarms of looking at many units held down."""
    by_quarter: tuple[int, ...]


@dataclass(frozen=True)
class InSeason:
    """A fault that comes at one time of the year."""

    cause: str
    title: str
    callouts: int
    peak: int
    """The month, 1 to 12, about which they lie."""
    chance: float
    """P(as far from even | even)."""


@dataclass(frozen=True)
class SitePage:
    """All that is shown of a site, or of all sites."""

    site: str
    """Empty for all."""
    units: tuple[UnitRow, ...]
    """The one that cost most minutes in the last year first."""
    faults: tuple[Fault, ...]
    by_quarter: tuple[int, ...]
    quarters: tuple[str, ...]
    callouts: int
    minutes: float
    """In the last year."""
    seasons: tuple[InSeason, ...] = ()
    """The surest first."""


def find_unit(ledger: Ledger, named: str, site: str | None = None) -> tuple[str, str]:
    """(Site, unit) of the unit of that name, or whose name alone holds it; `InputProblems` if not one."""
    places = [place for place in places_of(ledger) if site is None or place[0] == site]
    found = [place for place in places if place[1] == named]
    found = found or [place for place in places if named.casefold() in place[1].casefold()]
    if len(found) == 1:
        return found[0]
    names = [unit for _, unit in places]
    what = "several units are named so" if found else "no callout of such a unit has ended"
    mend = f"It can be: {', '.join(unit for _, unit in found[:5])}." if found else nearest(named, names)
    raise InputProblems([Problem("history unit", named, what, mend)])


def places_of(ledger: Ledger) -> list[tuple[str, str]]:
    """(Site, unit) of every unit with a closed callout, by name."""
    with ledger.history.reading() as connection:
        rows = connection.execute(select(PLACE.c.site, PLACE.c.unit))
        return sorted((row.site, row.unit) for row in rows)


def unit_file(teacher: Teacher, site: str, unit: str) -> UnitFile:
    """The file of a unit. `InputProblems` when no callout of it has ended."""
    ledger, now = teacher.ledger, teacher.now
    callouts = ledger.callouts(site, unit)
    if not callouts:
        raise InputProblems([Problem("history unit", unit, "no callout of such a unit has ended", "")])
    facts = callouts[-1].facts
    rates = teacher.unit(site, unit, facts)
    likely = [rate for rate in rates.rates if rate.cause in ledger.book.causes][:NEXT]
    book = ledger.book
    return UnitFile(
        site,
        unit,
        facts,
        tuple(callouts),
        faults_of(book, callouts, now),
        _by_quarter(callouts, now),
        quarters(now),
        _came_back(callouts, now),
        site_trends(callouts, now).units[0].trend,
        tuple(
            NextTime(
                rate.cause,
                book.causes[rate.cause].title,
                rate.rate,
                rates.rests_on(rate),
                first_look(book, rate.cause),
            )
            for rate in likely
        ),
    )


def site_page(
    book: Book, callouts: Sequence[ClosedCallout], now: datetime, site: str | None = None
) -> SitePage:
    """The page of a site with these callouts, in the order of their ends; of all sites for None."""
    by_unit: dict[tuple[str, str], list[ClosedCallout]] = {}
    for closed in callouts:
        by_unit.setdefault((closed.site, closed.unit), []).append(closed)
    found = site_trends(callouts, now)
    trends = {(unit.site, unit.unit): unit for unit in found.units}
    titles = titles_of(book)
    year = now - timedelta(days=365)
    rows = []
    for place, own in by_unit.items():
        recent = [closed for closed in own if closed.ended >= year]
        rows.append(
            UnitRow(
                *place,
                len(own),
                len(recent),
                sum(closed.minutes for closed in recent),
                _came_back(own, now),
                faults_of(book, own, now)[0].title,
                trends[place].trend,
                trends[place].worse,
                _by_quarter(own, now),
            )
        )
    return SitePage(
        site or "",
        tuple(sorted(rows, key=lambda row: -row.minutes)),
        faults_of(book, callouts, now),
        _by_quarter(callouts, now),
        quarters(now),
        len(callouts),
        sum(row.minutes for row in rows),
        tuple(
            InSeason(each.cause, titles.get(each.cause, each.cause), each.callouts, each.peak, each.chance)
            for each in found.seasons
            if each.chance <= SEASONED
        ),
    )


def faults_of(book: Book, callouts: Iterable[ClosedCallout], now: datetime) -> tuple[Fault, ...]:
    """The leading faults of callouts, the most frequent first, of equals the one with most minutes."""
    groups: dict[str, list[ClosedCallout]] = {}
    for closed in callouts:
        groups.setdefault(closed.leading, []).append(closed)
    titles = titles_of(book)
    faults = [
        Fault(
            cause,
            titles.get(cause, cause),
            len(own),
            sum(closed.minutes for closed in own),
            max(closed.ended for closed in own),
            _by_quarter(own, now),
        )
        for cause, own in groups.items()
    ]
    return tuple(sorted(faults, key=lambda fault: (-fault.callouts, -fault.minutes)))


def _came_back(callouts: Sequence[ClosedCallout], now: datetime) -> int:
    return sum(back for back, _ in back_soon(sorted(callouts, key=lambda each: each.opened), now).values())


def first_look(book: Book, cause: str) -> str:
    """The cheapest check on the running unit that looks at a cause itself, or at what it does first."""
    for seen in ([cause], list(book.causes[cause].leads_to)):
        looks = {
            name: check.minutes
            for name, check in book.checks.items()
            if check.hold == HOLDS[0] and any(set(row.given) & set(seen) for row in check.shows)
        }
        if looks:
            return min(looks, key=lambda name: looks[name])
    return ""


def quarters(now: datetime, count: int = QUARTERS) -> tuple[str, ...]:
    """Names of the last quarters, up to the present one.

    >>> quarters(datetime(2026, 1, 31), 2)
    ('2025 Q4', '2026 Q1')
    """
    last = now.year * 4 + (now.month - 1) // 3
    return tuple(f"{number // 4} Q{number % 4 + 1}" for number in range(last - count + 1, last + 1))


def _by_quarter(callouts: Iterable[ClosedCallout], now: datetime) -> tuple[int, ...]:
    counts = Counter(quarters(closed.ended, 1)[0] for closed in callouts)
    return tuple(counts[name] for name in quarters(now))
