"""Events, and the laws of undo."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.events import Event, Opening, opening_of, standing

STEADY = settings(max_examples=100, deadline=None, derandomize=True)
OPENED = Event(
    at="2024-05-01T10:00:00Z",
    kind="opened",
    opening=Opening(callout="c1", unit="V-1", facts={}, quantities={}, book="0" * 64),
)
UNDO = Event(at="", kind="undo")
done = st.builds(
    Event,
    at=st.just(""),
    kind=st.sampled_from(["triage", "complaint", "check", "caution", "hold", "repair", "prove"]),
    id=st.text("abc", min_size=1, max_size=3),
    answer=st.text("xyz", max_size=2),
)
events = st.lists(done, max_size=8).map(lambda more: [OPENED, *more])
mixed = st.lists(done | st.just(UNDO), max_size=12).map(lambda more: [OPENED, *more])


@given(events, st.integers(0, 12))
@STEADY
def test_n_undos_take_back_n_events_but_never_the_opening(before, count):
    """More undos than events leave the opening."""
    assert standing([*before, *[UNDO] * count]) == before[: max(1, len(before) - count)]


@given(mixed, done)
@STEADY
def test_an_event_and_its_undo_are_as_if_nothing_had_been(before, event):
    """Whatever stood before."""
    assert standing([*before, event, UNDO]) == standing(before)


@given(mixed, mixed)
@STEADY
def test_no_undo_stands_and_the_opening_always_does(before, after):
    """For any mixture; and what stands, stands still when it is read again."""
    kept = standing([*before, *after[1:]])
    assert kept[0] == OPENED
    assert all(event.kind != "undo" for event in kept)
    assert standing(kept) == kept


@given(mixed)
@STEADY
def test_a_line_of_json_is_the_event(before):
    """Each event is one line, and reads back as itself."""
    for event in before:
        assert "\n" not in event.line()
        assert Event.model_validate_json(event.line()) == event


def test_a_line_leaves_out_what_is_empty():
    """An undo is two fields."""
    assert json.loads(UNDO.line()) == {"at": "", "kind": "undo"}


def test_the_opening_says_what_the_callout_starts_from():
    """It is carried by the first event."""
    assert opening_of([OPENED]).unit == "V-1"


@pytest.mark.parametrize("bad", [[], [UNDO], [Event(at="", kind="opened")]])
def test_a_callout_that_does_not_start_with_an_opening_is_refused(bad):
    """Empty, or with anything else first."""
    with pytest.raises(ValueError, match="the first event does not open a callout"):
        opening_of(bad)
