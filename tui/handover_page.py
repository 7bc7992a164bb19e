"""A hand-over as one HTML file that prints on two pages, and as text."""

from typing import TYPE_CHECKING, Final

from diagnose.own_words import said
from diagnose.timeline import timeline_chart
from tui.curves_svg import chart_svg
from tui.graph_text import loop_lines
from tui.html_page import drawn, page_html
from tui.loop_svg import loop_svg
from tui.screen.wrap import wrap
from tui.summary_lines import summary_rows, summary_text
from tui.texts import texts_in
from tui.timeline_text import timeline_lines

if TYPE_CHECKING:
    from markupsafe import Markup

    from diagnose.handover import Handover

MANY: Final = 26
"""Lines in all from which the findings are printed in two columns."""
VERY_MANY: Final = 38
"""Lines from which they are printed smaller too."""
MOST: Final = 44
"""Lines that two pages can hold."""
MOST_ROWS: Final = 11
LEAST_ROWS: Final = 3
"""Rows beside what to watch that always stand."""
MOST_NOTES: Final = 3
"""Notes that stand on the page, the newest; it says how many older ones stand in the text."""


def handover_html(handover: "Handover", language: str = "en") -> str:
    """The whole file."""
    texts, summary = texts_in(language).end, handover.summary
    rows = summary_rows(summary, language)
    entries = summary.entries[-MOST:]
    left = len(summary.entries) - len(entries)
    notes = handover.notes[-MOST_NOTES:]
    older = len(handover.notes) - len(notes)
    most = MOST_ROWS - bool(older)
    # What was put right or complained of gives way to what to watch.
    others = [row for row in rows if row[0] != texts.watch]
    watch = [row for row in rows if row[0] == texts.watch][: most - min(LEAST_ROWS, len(others))]
    others = others[: most - len(watch)]
    more = len(rows) - len(watch) - len(others)
    rows = [*others[:1], *watch, *others[1:]]
    rows += [(texts.and_more, texts.more_lines.format(number=more))] if more else []
    weight = len(entries) + len(rows) + len(handover.cautions) + 2 * len(notes)
    crowd = "very-many" if weight > VERY_MANY else "many" if weight > MANY else ""
    site = f", {handover.site}" if handover.site else ""
    return page_html(
        "handover.html.j2",
        language=language,
        title=texts.hand_over.format(unit=f"{summary.unit}{site}"),
        handover=handover,
        rows=rows,
        hold=texts.unit_left.format(hold=said(language, summary.hold).upper()),
        notes=notes,
        older=texts.older_notes.format(number=older) if older else "",
        cautions=handover.cautions,
        caution=texts_in(language).page.caution.rstrip(" :"),
        entries=entries,
        left_out=texts.left_out.format(number=left) if left else "",
        crowd=crowd,
        pictures=_pictures(handover, language),
        callout=texts.callout.format(name=handover.name),
        words=texts,
    )


def _pictures(handover: "Handover", language: str) -> "list[Markup]":
    pictures = []
    if handover.timeline.moments:
        pictures.append(drawn(chart_svg(timeline_chart(handover.timeline, language))))
    if handover.graph.nodes:
        title = texts_in(language).end.way_of.format(title=handover.around)
        pictures.append(drawn(loop_svg(handover.graph, list(handover.stretches), title, language)))
    return pictures


def handover_text(handover: "Handover", language: str = "en") -> str:
    """The whole hand-over as plain text of at most 80 columns."""
    texts = texts_in(language).end
    parts = [summary_text(handover.summary, language).rstrip()]
    if handover.cautions:
        front = f"! {texts_in(language).page.caution}"
        cautions = (wrap(caution, 72, front, "  ") for caution in handover.cautions)
        parts.append("\n".join(line for lines in cautions for line in lines))
    if handover.notes:
        notes = (wrap(note, 72, f"{texts.note}: ", "  ") for note in handover.notes)
        parts.append("\n".join(line for lines in notes for line in lines))
    if handover.timeline.moments:
        parts.append("\n".join(timeline_lines(handover.timeline, 78, language)))
    if handover.graph.nodes:
        parts.append("\n".join(loop_lines(handover.graph, list(handover.stretches), 78, language)))
    return "\n\n".join(parts) + "\n"
