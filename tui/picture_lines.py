"""The pictures of a walk as text, for both faces: 0 the timeline, 1 to 5 the graph around a leader."""

from collections.abc import Callable, Sequence

from diagnose.unit_graph import graph_on_unit, in_loop_order
from diagnose.walk import Walk
from diagnose.walk_view import View
from tui.graph_text import loop_lines
from tui.screen.wrap import wrap
from tui.texts import texts_in
from tui.timeline_text import timeline_lines

Lines = Callable[[int], Sequence[str]]
"""The lines of a picture for a width in columns."""


def picture(walk: Walk, view: View, number: int) -> Lines:
    """A picture, worked out; slow. `IndexError` when there is no leader of that number."""
    language = walk.book.language
    if not number:
        timeline = walk.timeline()
        return lambda width: timeline_lines(timeline, width, language)
    cause = view.leaders[number - 1].id
    if cause not in walk.book.causes:
        return lambda width: wrap(texts_in(language).fault.not_drawn, width)
    graph = graph_on_unit(walk.book, cause, view.state)
    stretches = in_loop_order(graph, cause)
    return lambda width: loop_lines(graph, stretches, width, language)
