"""Events of a callout on the tiny book, and the state that they add up to."""

from diagnose.callout import State, replay
from diagnose.events import Event, Opening
from knowledge.words import HOLDS
from tests.helpers import tiny_book

CLOCK = "2024-05-01T10:00:00Z"


BOOK = tiny_book({"holds": {"on bypass": {"cautions": ["read_it", "shut_first"]}}})


OPENED = Event(
    at=CLOCK,
    kind="opened",
    opening=Opening(callout="c1", unit="V-1", facts={"fails": "closed"}, quantities={}, book=BOOK.digest),
)


def event(kind: str, name: str = "", answer: str = "") -> Event:
    return Event(at=CLOCK, kind=kind, id=name, answer=answer)


def down_to(hold: str) -> list[Event]:
    """The events that take the unit from running to a hold."""
    way = []
    for name in HOLDS[1 : HOLDS.index(hold) + 1]:
        way += [event("caution", name, caution) for caution in BOOK.holds[name].cautions]
        way.append(event("hold", name, "done"))
    return way


def back_from(hold: str) -> list[Event]:
    return [event("hold", name, "done") for name in HOLDS[: HOLDS.index(hold)][::-1]]


def state_after(*events: Event) -> State:
    return replay(BOOK, [OPENED, *events])


def repaired(cause: str, proof: str = "not_cured") -> list[Event]:
    """A repair, the way back and its proof."""
    hold = BOOK.causes[cause].repair.hold
    return [*down_to(hold), event("repair", cause, "done"), *back_from(hold), event("prove", cause, proof)]
