"""The history's pages as lines: a unit's file, the table of a site."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from rich.cells import cell_len

from diagnose.words import minutes_text, percent_text
from tui.screen.wrap import cut, wrap
from tui.statistics_lines import MONTHS
from tui.texts.english import ENGLISH

if TYPE_CHECKING:
    from diagnose.history.closed import ClosedCallout
    from diagnose.history.pages import SitePage, UnitFile, UnitRow
    from diagnose.history.trends import Trend
    from knowledge.book import Book

RAMP: Final = "._-=+*#"
"""Signs of a sparkline, from nothing to the most."""
MOST: Final = 15
"""Callouts that a unit's file lists."""
MOST_SEASONS: Final = 5
"""Faults with a season that a site's page lists."""
NONE_WORSE: Final = "No unit can be said to get worse."
FEW: Final = "too few callouts to tell a trend"


def sparkline(values: Sequence[float], most: float | None = None) -> str:
    """A sign for each value, ``.`` for nothing; ``most``: what the last sign stands for.

    >>> sparkline([0, 1, 2, 6]), sparkline([1, 1], most=6)
    ('._-#', '__')
    """
    top = most or max(values, default=0) or 1
    steps = len(RAMP) - 1
    return "".join(
        RAMP[0 if value <= 0 else max(1, min(steps, round(value / top * steps)))] for value in values
    )


def trend_text(trend: "Trend | None") -> str:
    """A unit's trend by itself, in words."""
    if trend is None:
        return FEW
    days = f"a callout every {trend.mtbf_now.value:.0f} days now, every {trend.mtbf.value:.0f} over all"
    if trend.growth.low > 1:
        return f"getting worse ({percent_text(1 - trend.power_worse)} sure): {days}"
    if trend.growth.high < 1:
        return f"getting better: {days}"
    return f"no trend to be seen: {days}"


def unit_lines(book: "Book", file: "UnitFile", width: int = 80) -> list[str]:
    """A unit's file: what comes next first, then its faults over time, its trend, its sheet, its callouts."""
    site = f" at {file.site}" if file.site else ""
    lines = wrap(f"{file.unit}{site}: {_count(len(file.callouts))} closed", width)
    lines += ["", *wrap("NEXT TIME, LOOK FIRST", width)]
    for number, item in enumerate(file.next_time, 1):
        share = percent_text(item.of_1000 / 1000)
        lines += wrap(f"{item.title}: {share} of callouts ({item.rests_on})", width, f" {number}  ")
        if item.check:
            lines += wrap(book.checks[item.check].ask, width, "      Check: ")
    lines += ["", *_over_time("FAULTS BY QUARTER", file, width), ""]
    lines += wrap(trend_text(file.trend), width, "TREND: ")
    if file.repeats:
        lines += wrap(f"{_count(file.repeats)} within 30 days of the same repair", width, "CAME BACK: ")
    given = {name: value for name, value in file.facts.items() if name in book.facts}
    known = "; ".join(
        f"{book.facts[name].title}: {_value(book, name, value)}" for name, value in given.items()
    )
    lines += ["", *wrap(known or "nothing is known of it", width, "SHEET: ")]
    lines += ["", *wrap(f"CALLOUTS, the last {min(MOST, len(file.callouts))}", width)]
    for closed in file.callouts[: -MOST - 1 : -1]:
        lines += wrap(callout_line(book, closed), width, " ", "     ")
    return lines


def _value(book: "Book", fact: str, value: str) -> str:
    return book.facts[fact].values.get(value, value)


def hours(minutes: float) -> str:
    """Minutes for a column: whole hours from two hours on.

    >>> hours(1945), hours(64.6)
    ('32 h', '65 min')
    """
    return f"{minutes / 60:.0f} h" if minutes >= 120 else f"{minutes:.0f} min"


def _count(number: int) -> str:
    return f"{number} callout{'' if number == 1 else 's'}"


def _over_time(head: str, page: "UnitFile | SitePage", width: int) -> list[str]:
    """A line for all and one for each fault: a sparkline on one scale, how often, its title."""
    most = max(page.by_quarter, default=0)
    lines = wrap(f"{head}, {page.quarters[0]} to {page.quarters[-1]}; . is none, {RAMP[-1]} is {most}", width)
    lines.append(f" {sparkline(page.by_quarter, most)} {sum(page.by_quarter):>3}           in these quarters")
    for fault in page.faults[:8]:
        front = f" {sparkline(fault.by_quarter, most)} {fault.callouts:>3} {hours(fault.minutes):>6}  "
        lines += wrap(fault.title, width, front)
    return lines


def callout_line(book: "Book", closed: "ClosedCallout") -> str:
    """One closed callout in a line."""
    cause = book.causes.get(closed.leading)
    told = (
        cause.title
        if cause and closed.ending == "cured"
        else ENGLISH.end.endings[closed.ending].partition(".")[0]
    )
    return f"{closed.opened:%Y-%m-%d}  {told}; {minutes_text(closed.minutes)}, {len(closed.checks)} checks"


def row_text(row: "UnitRow", width: int) -> str:
    """One unit in the site's table, on one line."""
    mark = "WORSE" if row.worse else ""
    lost = minutes_text(row.minutes) if row.last_year else "-"
    front = f"{row.last_year:>3} {lost:>10} {sparkline(row.by_quarter)} {mark:<5} "
    return front + cut(row.unit, max(4, width - cell_len(front)))


def head_of_rows() -> str:
    """What stands over the rows of `row_text`."""
    return "Last year's callouts and minutes, by quarter, getting worse, unit"


def site_lines(page: "SitePage", width: int = 80) -> list[str]:
    """The table of a site: the unit that cost most in the last year first; then its faults."""
    name = page.site or "All sites"
    last = sum(row.last_year for row in page.units)
    lines = wrap(
        f"{name}: {_count(page.callouts)} closed on {len(page.units)} units; in the last year {last}, "
        f"{minutes_text(page.minutes)}",
        width,
    )
    worse = [row for row in page.units if row.worse]
    lines += ["", *wrap("GETTING WORSE, look at these first" if worse else NONE_WORSE, width)]
    for row in worse:
        lines += wrap(f"{row.unit}: {trend_text(row.trend)}", width, " ", "     ")
        lines += wrap(f"mostly: {row.leading}", width, "     ")
    lines += ["", *wrap(head_of_rows(), width)]
    for row in page.units:
        lines.append(row_text(row, width))
    lines += ["", *_over_time("FAULTS BY QUARTER", page, width)]
    if page.seasons:
        lines += ["", *wrap("COMES WITH THE SEASON, be ready a month before", width)]
    for each in page.seasons[:MOST_SEASONS]:
        told = f"{each.title}: mostly about {MONTHS[each.peak - 1]}, {_count(each.callouts)}"
        lines += wrap(told, width, " ", "     ")
    return lines
