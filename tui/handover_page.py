"""A hand-over as one HTML file that prints on two pages, and as text."""

from types import SimpleNamespace
from typing import TYPE_CHECKING, Final

from diagnose.timeline import timeline_chart
from tui.curves_svg import chart_svg
from tui.graph_text import loop_lines
from tui.html_page import drawn, page_html
from tui.loop_svg import loop_svg
from tui.screen.wrap import wrap
from tui.summary_lines import summary_rows, summary_text
from tui.timeline_text import timeline_lines

if TYPE_CHECKING:
    from markupsafe import Markup

    from diagnose.handover import Handover

WORDS: Final = SimpleNamespace(
    findings="What was found and done, in order, by the minute",
    pictures="How the fault was cornered",
    note="Note",
    other_book="It was worked with another edition of the book: the percents may differ from what they were",
)
MANY: Final = 26
"""Lines in all from which the findings are printed in two columns."""
VERY_MANY: Final = 38
"""Lines from which they are printed smaller too."""
MOST: Final = 44
"""Lines that two pages can hold."""
MOST_ROWS: Final = 11
MOST_NOTES: Final = 3


def handover_html(handover: "Handover") -> str:
    """The whole file."""
    summary = handover.summary
    rows = summary_rows(summary)
    entries = summary.entries[-MOST:]
    left = len(summary.entries) - len(entries)
    more = len(rows) - MOST_ROWS
    if more > 0:
        rows = [*rows[:MOST_ROWS], ("And", f"{more} lines more: see the text of this report")]
    weight = len(entries) + len(rows) + 2 * len(handover.notes[-MOST_NOTES:])
    crowd = "very-many" if weight > VERY_MANY else "many" if weight > MANY else ""
    site = f", {handover.site}" if handover.site else ""
    return page_html(
        "handover.html.j2",
        title=f"{summary.unit}{site}: hand-over",
        handover=handover,
        rows=rows,
        hold=f"Unit left: {summary.hold.upper()}",
        notes=handover.notes[-MOST_NOTES:],
        entries=entries,
        left_out=f"{left} earlier lines stand in the text of this report." if left else "",
        crowd=crowd,
        pictures=_pictures(handover),
        words=WORDS,
    )


def _pictures(handover: "Handover") -> "list[Markup]":
    pictures = []
    if handover.timeline.moments:
        pictures.append(drawn(chart_svg(timeline_chart(handover.timeline))))
    if handover.graph.nodes:
        title = f"The way of: {handover.around}"
        pictures.append(drawn(loop_svg(handover.graph, list(handover.stretches), title)))
    return pictures


def handover_text(handover: "Handover") -> str:
    """The whole hand-over as plain text of at most 80 columns."""
    parts = [summary_text(handover.summary).rstrip()]
    if handover.notes:
        notes = (wrap(note, 72, f"{WORDS.note}: ", "  ") for note in handover.notes)
        parts.append("\n".join(line for lines in notes for line in lines))
    if handover.timeline.moments:
        parts.append("\n".join(timeline_lines(handover.timeline, 78)))
    if handover.graph.nodes:
        parts.append("\n".join(loop_lines(handover.graph, list(handover.stretches), 78)))
    return "\n\n".join(parts) + "\n"
