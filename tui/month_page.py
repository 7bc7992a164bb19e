"""A site's month as one HTML file."""

from textwrap import shorten
from typing import TYPE_CHECKING, Final

from diagnose.history.iso14224 import VERIFY, classes_of
from diagnose.history.month import months_chart
from diagnose.words import minutes_text
from tui.curves_svg import bars_svg, chart_svg
from tui.html_page import drawn, page_html
from tui.texts.english import ENGLISH

if TYPE_CHECKING:
    from diagnose.history.closed import ClosedCallout
    from diagnose.history.month import MonthReport
    from knowledge.book import Book

MOST: Final = 200
"""Units and callouts that a report lists."""
BARS: Final = 12


def month_html(book: "Book", report: "MonthReport") -> str:
    """The whole file."""
    name = report.site or "All sites"
    count = len(report.callouts)
    cured = count - report.open_ends
    bars = [
        (shorten(fault.title, 34, placeholder=" ..."), float(fault.callouts))
        for fault in report.faults[:BARS]
    ]
    left = max(0, count - MOST) + max(0, len(report.page.units) - MOST)
    return page_html(
        "month.html.j2",
        title=f"{name}, {report.month}",
        headline=f"{count} callouts, {cured} cured, {minutes_text(report.minutes)} in all",
        months=drawn(chart_svg(months_chart(report), tall=140)),
        bars=drawn(bars_svg("Callouts by fault", bars, "")) if bars else "",
        units=report.page.units[:MOST],
        callouts=[callout_row(book, closed) for closed in report.callouts[-MOST:]],
        verify=VERIFY,
        left_out=f"{left} rows are left out." if left else "",
    )


def callout_row(book: "Book", closed: "ClosedCallout") -> dict[str, str]:
    """One callout for a table, an export or JSON; no names of people."""
    cause = book.causes.get(closed.leading)
    known = cause is not None and closed.ending == "cured"
    return {
        "callout": closed.callout,
        "site": closed.site,
        "unit": closed.unit,
        "opened": closed.opened.strftime("%Y-%m-%d"),
        "complaint": closed.complaint,
        "ending": closed.ending,
        "cause": closed.leading if known else "",
        "told": cause.title if cause and known else ENGLISH.end.endings[closed.ending].partition(".")[0],
        "minutes": f"{closed.minutes:.0f}",
        **classes_of(book, closed),
    }
