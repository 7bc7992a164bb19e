"""A callout that begins with what the history taught: its numbers, its words, and its replay."""

import pytest
from pydantic import ValidationError

from diagnose.advice import Adviser
from diagnose.events import Event
from diagnose.evidence import Evidence
from diagnose.history.closed import closed_of
from diagnose.learned import Learned, learned_book
from diagnose.opening import open_callout
from diagnose.question import Question
from diagnose.reasoner import Reasoner
from diagnose.report import rank
from diagnose.sheet import Unit
from diagnose.walk import Walk
from tests.diagnose.history.callouts import complained, events_of, repair
from tests.helpers import tiny_book

BOOK = tiny_book({})
FACTS = {"fails": "closed", "season": "warm"}
LEARNED = Learned(
    times={"stem_stuck": 6.0, "supply_lost": 0.3},
    minutes={"drop_seen": 9.0},
    takes={"supply_lost": 0.5},
    counts={"stem_stuck": (3, 41)},
    callouts=(5, 90),
)


def walk_with(learned):
    first = open_callout("c", Unit("V-1", FACTS), BOOK, "2025-01-01T00:00:00Z", learned=learned)
    walk = Walk(BOOK, [first], lambda event: None, lambda: "2025-01-01T00:01:00Z")
    while walk.view().step.kind != "complaint":
        walk.answer("1")
    walk.answer("wont_open")
    return walk


def test_what_was_learned_moves_the_beliefs():
    """Exactly as a book with those numbers would."""
    taught, plain = walk_with(LEARNED), walk_with(None)
    chances = {leader.id: leader.probability for leader in taught.view().leaders}
    by_book = Reasoner(learned_book(BOOK, LEARNED), FACTS).beliefs(Evidence(("wont_open",))).causes
    assert chances == {name: pytest.approx(by_book[name], abs=1e-12) for name in chances}
    before = {leader.id: leader.probability for leader in plain.view().leaders}
    assert chances["stem_stuck"] > 2 * before["stem_stuck"]


def test_each_leader_says_what_it_rests_on():
    """With a history; without one nothing is said."""
    said = {leader.id: leader.rests_on for leader in walk_with(LEARNED).view().leaders}
    assert said["stem_stuck"] == "3 here, 41 in all"
    assert said["supply_lost"] == "none in 90 callouts"
    assert {leader.rests_on for leader in walk_with(None).view().leaders} == {""}


def test_a_replay_of_its_events_gives_the_same_numbers():
    """The opening, written and read as a line, holds all that was learned."""
    walk = walk_with(LEARNED)
    again = [Event.model_validate_json(event.line()) for event in walk.events]
    replayed = Walk(BOOK, again, lambda event: None, lambda: "")
    assert replayed.view() == walk.view()


def test_minutes_and_odds_count_too():
    """A check's minutes are in its page, a repair's odds in what a failed one leaves."""
    walk = walk_with(LEARNED)
    walk.ask("drop_seen")
    assert walk.view().step.minutes == 9
    steps = [complained(), *repair(BOOK, "supply_lost", "not_cured")]
    events = events_of(BOOK, steps, facts=FACTS)
    opening = events[0].opening.model_copy(update={"learned": LEARNED})
    taught = Walk(BOOK, [events[0].model_copy(update={"opening": opening}), *events[1:]], print, lambda: "")
    plain = Walk(BOOK, events, print, lambda: "")
    assert taught.state.remains == {"supply_lost": pytest.approx(0.5)}
    assert plain.state.remains["supply_lost"] < 0.1


def test_history_does_not_confirm_itself():
    """What a doubtful ending counts for is worked out from the book alone."""
    events = events_of(BOOK, [complained(), ("help", "help", "called", 1)], facts=FACTS)
    opening = events[0].opening.model_copy(update={"learned": LEARNED})
    taught = [events[0].model_copy(update={"opening": opening}), *events[1:]]
    assert closed_of(BOOK, taught).shares == closed_of(BOOK, events).shares


def test_rank_tells_what_it_rests_on():
    """In its own keys, which are not there without a history."""
    question = Question(FACTS, ("wont_open",))
    with_it = rank(learned_book(BOOK, LEARNED), Unit("V-1"), question, learned=LEARNED)
    without = rank(BOOK, Unit("V-1"), question)
    (stuck,) = (cause for cause in with_it["causes"] if cause["id"] == "stem_stuck")
    assert (stuck["here"], stuck["everywhere"], stuck["times"]) == (3, 41, 6.0)
    assert stuck["rests_on"] == "3 here, 41 in all"
    assert with_it["history"] == {"callouts_here": 5, "callouts_everywhere": 90}
    assert "history" not in without
    assert "rests_on" not in without["causes"][0]
    adviser = Adviser(Reasoner(learned_book(BOOK, LEARNED), FACTS), Evidence(("wont_open",)))
    assert stuck["probability"] == pytest.approx(adviser.beliefs.causes["stem_stuck"])


@pytest.mark.parametrize(
    "bad",
    [
        {"times": {"stem_stuck": -1.0}},
        {"times": {"stem_stuck": float("nan")}},
        {"times": {"stem_stuck": float("inf")}},
        {"takes": {"stem_stuck": 1.0}},
        {"minutes": {"drop_seen": -3.0}},
    ],
)
def test_numbers_that_cannot_be_are_refused(bad):
    """A callout from elsewhere cannot bring a rate below nothing or a certain repair."""
    with pytest.raises(ValidationError):
        Learned(**bad)
