"""A closed callout: whose fault it was, by shares, and what the times between the answers tell."""

from datetime import timedelta

import pytest

from diagnose.advice import Adviser
from diagnose.callout import BadEvent, replay
from diagnose.events import Event
from diagnose.history.closed import LONGEST_PAUSE, Posterior, closed_of, closed_record, put_right_with
from diagnose.history.record import Record
from diagnose.reasoner import Reasoner
from knowledge.book import load_book
from knowledge.words import UNLISTED
from tests.diagnose.history.callouts import START, complained, events_of, repair
from tests.helpers import tiny_book

BOOK = tiny_book({})
TWINS = tiny_book({"causes": {"stem_stuck": {"same_repair_as": "trim_worn"}}})
HELP = ("help", "help", "called", 1)


def closed(steps, book=BOOK, **more):
    found = closed_of(book, events_of(book, steps, **more))
    assert found
    return found


def test_a_proved_repair_has_the_whole_callout():
    """One cause put right, and it was cured: its share is 1 and nobody else has one."""
    found = closed([complained(), *repair(BOOK, "supply_lost", "cured")])
    assert found.shares == {"supply_lost": 1.0}
    assert (found.unit, found.site, found.ending, found.complaint) == ("V-1", "North", "cured", "wont_open")
    assert found.repairs[0].held is True


def test_an_open_callout_is_no_closed_one():
    """Nothing is made of a callout that goes on, nor of one in which nothing was complained of."""
    assert closed_of(BOOK, events_of(BOOK, [complained()])) is None
    assert closed_of(BOOK, events_of(BOOK, [])) is None
    assert closed_of(BOOK, events_of(BOOK, [HELP])) is None


@pytest.mark.parametrize("seen", ["yes", "no"])
def test_never_found_counts_by_the_blame(seen):
    """Help was called: the shares are the posterior blame, the rest lies with the unlisted, the sum is 1."""
    events = events_of(BOOK, [complained(), ("check", "drop_seen", seen, 2), HELP])
    found = closed_of(BOOK, events)
    assert found
    assert sum(found.shares.values()) == pytest.approx(1)
    state = replay(BOOK, events)
    blame = Adviser(Reasoner(BOOK, state.facts), state.evidence).present_culprits()
    for name, share in blame.items():
        if not name.startswith(UNLISTED):
            assert found.shares.get(name, 0.0) == pytest.approx(share, abs=1e-12)
    assert found.shares[f"{UNLISTED}wont_open"] >= blame[f"{UNLISTED}wont_open"]


def test_what_was_not_proved_counts_by_the_blame_too():
    """A repair that nobody saw proved does not take the whole callout."""
    found = closed([complained(), *repair(BOOK, "supply_lost", "could_not_tell")])
    assert found.ending == "not_proved"
    assert 0 < found.shares["supply_lost"] < 1
    assert found.repairs[0].held is None


def test_one_piece_of_work_that_puts_two_right_is_shared_between_them():
    """The two share the callout by what was believed of each, and nobody else has a part of it."""
    assert put_right_with(TWINS, "trim_worn") == put_right_with(TWINS, "stem_stuck")
    found = closed([complained(), *repair(TWINS, "stem_stuck", "cured")], TWINS)
    assert set(found.shares) <= {"stem_stuck", "trim_worn"}
    assert sum(found.shares.values()) == pytest.approx(1)
    state = replay(TWINS, events_of(TWINS, [complained()]))
    blame = Posterior(TWINS).blame(state, "wont_open")
    both = blame["stem_stuck"] + blame.get("trim_worn", 0)
    assert found.shares["stem_stuck"] == pytest.approx(blame["stem_stuck"] / both)


def test_the_last_repair_is_the_one_that_cured_it():
    """A repair in vain has no share, and nobody can say whether it held."""
    first, second = repair(BOOK, "supply_lost", "not_cured"), repair(BOOK, "stem_stuck", "cured")
    found = closed([complained(), *first, complained(), *second])
    assert found.shares == {"stem_stuck": 1.0}
    assert [(tried.cause, tried.held) for tried in found.repairs] == [
        ("supply_lost", None),
        ("stem_stuck", True),
    ]


def test_a_repair_made_twice_did_not_hold_the_first_time():
    """The same cause put right again cured it: the first time failed, the second held."""
    first, second = repair(BOOK, "supply_lost", "not_cured"), repair(BOOK, "supply_lost", "cured")
    found = closed([complained(), *first, complained(), *second])
    assert [tried.held for tried in found.repairs] == [False, True]


def test_times_between_answers_are_the_minutes_of_a_step():
    """A check's and a repair's minutes are those since the answer before; a pause or none tells nothing."""
    steps = [complained(), ("check", "drop_seen", "no", 3)]
    found = closed([*steps, *repair(BOOK, "supply_lost", "cured", 7)])
    assert [(made.check, made.answer, made.minutes) for made in found.checks] == [("drop_seen", "no", 3)]
    assert found.repairs[0].minutes == 7
    assert found.ended - found.opened == timedelta(minutes=found.minutes)
    for minutes in (0.0, 0.1, 500.0):
        told = closed([complained(), ("check", "drop_seen", "no", minutes), HELP])
        assert told.checks[0].minutes is None


def test_a_shut_lid_is_not_work():
    """A pause of a night counts as no minutes; the end is when it ended."""
    whole = closed([complained(), ("check", "drop_seen", "no", LONGEST_PAUSE * 3), HELP])
    assert whole.minutes == 2
    assert whole.ended - whole.opened == timedelta(minutes=2 + LONGEST_PAUSE * 3)


def test_an_answer_that_was_taken_back_counts_for_nothing():
    """Undone answers are not among the checks made."""
    found = closed([complained(), ("check", "drop_seen", "no", 2), ("undo", "", "", 1), HELP])
    assert found.checks == ()


def test_a_time_that_is_none_is_refused():
    """Statistics need the time: an event without one is told of."""
    events = events_of(BOOK, [complained(), HELP])
    broken = [*events[:-1], events[-1].model_copy(update={"at": "yesterday"})]
    with pytest.raises(BadEvent, match="'yesterday' is not a time"):
        closed_of(BOOK, broken)


def test_times_are_taken_in_utc():
    """An offset is taken off; a time without one is UTC."""
    events = events_of(BOOK, [complained(), HELP])
    first = events[0].model_copy(update={"at": "2024-05-01T12:00:00+02:00"})
    found = closed_of(BOOK, [first, *events[1:]])
    assert found
    assert found.opened == START


def test_every_shared_work_of_the_shipped_book_is_seen_from_both_sides():
    """Whichever of the two is put right, the same causes share the callout."""
    book = load_book()
    pairs = [(name, entry.same_repair_as) for name, entry in book.causes.items() if entry.same_repair_as]
    assert pairs
    for name, other in pairs:
        assert put_right_with(book, name) == put_right_with(book, other) >= {name, other}


def test_lost_production_counts_as_it_was_said_last():
    """Only a number of minutes does; a callout of which nobody said any has none."""
    events = events_of(BOOK, [complained(), *repair(BOOK, "supply_lost", "cured")])

    def lost(*said):
        remarks = [
            Event(at=f"2030-01-0{day}T00:00:00Z", kind="corrected", id="lost", answer=answer)
            for day, answer in enumerate(said, 1)
        ]
        return closed_record(BOOK, Record.in_a_row([*events, *remarks])).lost_minutes

    assert lost() is None
    assert lost("90") == 90
    assert lost("90", "240") == 240
    assert lost("nan") is None
