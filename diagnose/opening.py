"""How a callout begins."""

from diagnose.events import Event, Opening
from diagnose.learned import Learned
from diagnose.sheet import Unit
from knowledge.book import Book


def open_callout(
    name: str,
    unit: Unit,
    book: Book,
    at: str,
    caller: str = "",
    by: str = "",
    learned: Learned | None = None,
) -> Event:
    """The first event of a new callout; names of people only if anybody wants them kept.

    ``learned``: what the history has taught of the unit.
    """
    opening = Opening(
        callout=name,
        unit=unit.name,
        facts=dict(unit.facts),
        quantities=dict(unit.quantities),
        sheet=dict(unit.values),
        book=book.digest,
        site=unit.site,
        learned=learned,
        caller=caller,
    )
    return Event(at=at, kind="opened", opening=opening, by=by)
