"""Callouts that mean nothing, for a store that asks nothing of them."""

from collections.abc import Sequence

from hypothesis import strategies as st

from diagnose.events import Event, Opening
from diagnose.history.record import REMARKS, Kept, Record
from diagnose.history.store import History

ANSWERS = ("check", "undo", "note", "complaint", "repair", "prove", "help", "closed", "reopened", "struck")


def opening(
    name: str = "c1", unit: str = "V-1", site: str = "North", caller: str = "", by: str = ""
) -> Event:
    """The first event of a callout."""
    opened = Opening(
        callout=name,
        unit=unit,
        site=site,
        caller=caller,
        facts={"fails": "closed"},
        quantities={"supply_psi": 31.7},
        book="0" * 64,
    )
    return Event(at="2026-01-31T12:00:00Z", kind="opened", opening=opened, by=by)


def event(number: int, kind: str = "check", answer: str = "yes", by: str = "", **more: str) -> Event:
    """An event some seconds after the opening."""
    return Event(
        at=f"2026-01-31T12:{number // 60:02}:{number % 60:02}Z",
        kind=kind,
        id=more.pop("id", f"check_{number}"),
        answer=answer,
        by=by,
        **more,
    )


def saved(history: History, *events: Event) -> str:
    """A callout with these events, the opening first; its key."""
    key = history.begin(events[0])
    for count, later in enumerate(events[1:], 1):
        history.append(key, later, count)
    return key


NAMES = st.sampled_from(["c1", "c2", "c3"])
STEPS = st.lists(
    st.tuples(st.sampled_from(ANSWERS), st.sampled_from(["yes", "no"]), st.integers(1, 4), st.integers(0, 9)),
    max_size=8,
)


def record_of(name: str, steps: Sequence[tuple[str, str, int, int]]) -> Record:
    """A callout that forks wherever the last number of a step says so."""
    kept = [Kept.of(opening(name), -1)]
    answers = [0]
    for kind, answer, second, back in steps:
        said = event(second, kind, answer)
        if kind in REMARKS:
            kept.append(Kept.of(said, 0))
            continue
        parent = answers[-1 - back % len(answers)] if back > 6 else answers[-1]
        answers.append(len(kept))
        kept.append(Kept.of(said, parent))
    seen: dict[tuple[int, str], int] = {}
    whole: list[Kept] = []
    place: list[int] = []
    for entry in kept:
        parent = place[entry.parent] if entry.parent >= 0 else -1
        number = seen.setdefault((parent, entry.body), len(whole))
        if number == len(whole):
            whole.append(Kept(entry.event, entry.body, parent))
        place.append(number)
    return Record(tuple(whole))


RECORDS = st.builds(record_of, NAMES, STEPS)
