"""A callout for the next one who has to do with the unit: its summary, and what moved the leaders."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

from diagnose.book_graph import Graph
from diagnose.callout import replay
from diagnose.events import SCHEMA_VERSION, Event, opening_of
from diagnose.reasoner import Reasoner
from diagnose.summary import Summary, summary_of
from diagnose.timeline import Timeline, timeline_of
from diagnose.trees import Shapes
from diagnose.unit_graph import Stretch, graph_on_unit, in_loop_order
from knowledge.book import Book
from knowledge.words import HOLDS


@dataclass(frozen=True)
class Handover:
    """Everything that a report of one callout holds; no names of people."""

    name: str
    """Of the callout."""
    site: str
    """Empty when nobody said."""
    summary: Summary
    cautions: tuple[str, ...]
    """Those of the hold that the unit is left in; none in service."""
    notes: tuple[str, ...]
    """What was written down beside the answers."""
    timeline: Timeline
    around: str
    """Title of the cause that the graph is drawn around; empty for no graph."""
    graph: Graph
    stretches: tuple[Stretch, ...]
    """The graph's entries in loop order."""
    other_book: bool
    """It was worked with another edition of the book: the percents can differ from what was seen then."""


def handover_of(
    book: Book, events: Iterable[Event], notes: Iterable[str] = (), shapes: Shapes | None = None
) -> Handover:
    """The hand-over of a callout, open or ended. ``shapes``: where compiled shapes are kept.

    Raises `diagnose.callout.BadEvent` when the events do not fit the book.
    """
    told = list(events)
    state, opening = replay(book, told), opening_of(told)
    timeline = timeline_of(book, told, Reasoner(book, state.facts, shapes))
    last = timeline.moments[-1].chances if timeline.moments else ()
    summary = summary_of(book, told, zip(timeline.titles, last, strict=False))
    cause = summary.cause or (timeline.leaders[0] if timeline.leaders else "")
    graph = graph_on_unit(book, cause, state) if cause in book.causes else Graph((), ())
    return Handover(
        opening.callout,
        opening.site,
        summary,
        _cautions(book, summary.hold),
        tuple(notes),
        timeline,
        book.causes[cause].title if graph.nodes else "",
        graph,
        tuple(in_loop_order(graph, cause)) if graph.nodes else (),
        opening.book != book.digest,
    )


def _cautions(book: Book, hold: str) -> tuple[str, ...]:
    entry = book.holds.get(hold)
    return tuple(book.cautions[name] for name in entry.cautions) if entry and hold != HOLDS[0] else ()


def as_json(handover: Handover) -> dict[str, Any]:
    """A hand-over for `json.dumps`."""
    told = asdict(handover)
    order = [{"section": s.section, "ids": [node.id for node in s.nodes]} for s in handover.stretches]
    return {"schema_version": SCHEMA_VERSION, **told, "stretches": order}
