"""One month of a site, for its report."""

import re
from collections import Counter
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from diagnose.charts import Axis, Chart, Series
from diagnose.history.closed import ClosedCallout
from diagnose.history.ledger import Ledger
from diagnose.history.pages import Fault, SitePage, faults_of, site_page
from knowledge.problems import InputProblems, Problem

MONTHS: Final = 24
"""Months that the curve of a report goes back."""


@dataclass(frozen=True)
class MonthReport:
    """What a month's report holds; times in UTC."""

    month: str
    """As 2026-01."""
    site: str
    """Empty for all."""
    callouts: tuple[ClosedCallout, ...]
    """Those that were opened in the month, in order."""
    faults: tuple[Fault, ...]
    """Of the month."""
    minutes: float
    open_ends: int
    """Callouts of the month that were not cured."""
    by_month: tuple[tuple[str, int], ...]
    """Callouts of the last months, this one the last."""
    page: SitePage
    """The site as it stood at the month's end."""


def month_report(ledger: Ledger, month: str, site: str | None = None) -> MonthReport:
    """The report of a month written as 2026-01; nothing in it came later. `InputProblems` if not so."""
    if not re.fullmatch(r"(19|20)\d\d-(0[1-9]|1[0-2])", month):
        raise InputProblems([Problem("--month", month, "is not a month", "Write it as: 2026-01.")])
    year, number = int(month[:4]), int(month[5:])
    end = datetime(year + number // 12, number % 12 + 1, 1, tzinfo=UTC)
    every = [closed for closed in ledger.callouts(site) if closed.ended < end]
    own = [closed for closed in every if closed.opened.strftime("%Y-%m") == month]
    counts = Counter(closed.opened.strftime("%Y-%m") for closed in every)
    names = [_month(year * 12 + number - 1 - back) for back in range(MONTHS - 1, -1, -1)]
    return MonthReport(
        month,
        site or "",
        tuple(sorted(own, key=lambda closed: closed.opened)),
        faults_of(ledger.book, own, end),
        sum(closed.minutes for closed in own),
        sum(closed.ending != "cured" for closed in own),
        tuple((name, counts[name]) for name in names),
        site_page(ledger.book, every, end, site),
    )


def _month(number: int) -> str:
    return f"{number // 12}-{number % 12 + 1:02d}"


def months_chart(report: MonthReport) -> Chart:
    """Callouts by month, this one at the right end."""
    points = tuple(
        (float(k - len(report.by_month) + 1), float(n)) for k, (_, n) in enumerate(report.by_month)
    )
    x, y = Axis("months before this one"), Axis("callouts")
    return Chart("months", "Callouts by month", x, y, (Series("callouts", points),), least=0.0)
