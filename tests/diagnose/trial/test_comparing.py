"""Plant against book: what is told, and the list of what was found and became of it."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.rig.faults import FAULTS
from diagnose.trial.comparing import COMPLAINT, Comparison, wanted
from diagnose.trial.eyes import EYES
from diagnose.trial.set_ups import SHEETS
from diagnose.trial.sweep import Trial
from knowledge.book import load_book
from knowledge.door import read_file
from knowledge.problems import InputProblems

LIST = Path(__file__).parents[2] / "data" / "disagreements.yaml"
TABLE = read_file(LIST).data
SETTLED = ("book", "rig")
SHUT = Trial("snap_direct_water", (("supply_shut", 1.0),), 0)


@pytest.fixture(scope="module")
def book():
    """The shipped book."""
    return load_book()


def rows() -> Iterator[dict]:
    """Every row of the list."""
    yield from TABLE["disagreements"]


def test_a_fault_that_both_know_alike_brings_no_disagreement(book):
    """A shut supply: no pressure, no signal, a valve that stays shut."""
    assert not [one for one in Comparison(book).of(SHUT) if one.check in ("supply_gauge", COMPLAINT)]


def test_with_no_chance_too_high_every_check_that_can_be_made_is_told(book):
    """Each with the chance of what was shown, and with a way along the book's links."""
    told = list(Comparison(book, 1.1).of(SHUT))
    level = book.complaints[told[0].shown].level
    assert [one.check for one in told] == [
        COMPLAINT,
        *(name for name in EYES if book.checks[name].level in (None, level)),
    ]
    for one in told:
        assert 0 < one.chance <= 1
        assert one.plant_because == FAULTS["supply_shut"].about
        steps = list(zip(one.book_because, one.book_because[1:], strict=False))
        assert all(step in book.links for step in steps)
        assert not one.book_because or one.book_because[0] == "supply_shut"


def test_a_plant_that_gives_no_ground_for_a_complaint_is_not_compared(book):
    """Little comes in, and nobody would call within the half hour."""
    quiet = Trial("snap_direct_water", (("nothing_wrong", 0.1),), 0)
    assert list(Comparison(book).of(quiet)) == []


def test_the_trials_are_those_that_were_wished_for(book):
    """Every fault that fits in every set-up, or the named ones."""
    assert wanted(book, ["supply_shut"], ["snap_direct_water"], 1.0, 0) == [SHUT]
    assert {trial.set_up for trial in wanted(book, None, None, 1.0, 0)} == set(SHEETS)


def test_mistakes_are_told_at_once(book):
    """Names and severity."""
    with pytest.raises(InputProblems) as caught:
        wanted(book, ["vent_bloked"], ["snap"], 2.0, 0)
    assert len(caught.value.problems) == 3


def test_the_list_speaks_of_what_there_is_and_gives_both_reasons(book):
    """Whatever is left as it was has a reason why."""
    for row in rows():
        assert row["set_up"] in SHEETS
        assert set(row["faults"]) <= set(FAULTS), row["check"]
        outcomes = book.complaints if row["check"] == COMPLAINT else book.checks[row["check"]].outcomes
        assert row["shown"] in outcomes
        assert row["became"] in (*SETTLED, "judgement")
        assert row["plant"]
        assert row["book"]
        assert bool(row.get("because")) == (row["became"] == "judgement")


@pytest.mark.parametrize("became", [*SETTLED, "judgement"])
def test_what_was_settled_is_gone_and_what_was_left_is_still_there(book, became):
    """Looked at once more for the first row of each kind, with its first fault."""
    row = next(row for row in rows() if row["became"] == became)
    trial = Trial(row["set_up"], ((row["faults"][0], float(row["severity"])),), TABLE["seed"])
    left = {(one.check, one.shown) for one in Comparison(book, TABLE["least"]).of(trial)}
    assert ((row["check"], row["shown"]) in left) == (became == "judgement")
