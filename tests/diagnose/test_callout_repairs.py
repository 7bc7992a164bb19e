"""Repairs on a callout: their proof, their end, and the epoch that begins where they did not cure."""

import networkx as nx
import pytest

from diagnose.callout import BadEvent, Finding, State, apply, shown_by
from diagnose.events import ALSO, COULD_NOT_TELL
from diagnose.evidence import Evidence
from diagnose.reasoner import Reasoner
from knowledge.words import HOLDS
from tests.diagnose.callout_events import BOOK, down_to, event, repaired, state_after


@pytest.mark.parametrize("hold", HOLDS[:4])
def test_a_repair_below_its_hold_is_refused(hold):
    """A stem is freed with the vessel depressured, not before."""
    with pytest.raises(BadEvent, match="the repair of 'stem_stuck' needs the unit depressured"):
        state_after(*down_to(hold), event("repair", "stem_stuck", "done"))
    assert (
        state_after(*down_to("depressured"), event("repair", "stem_stuck", "done")).to_prove == "stem_stuck"
    )


def test_a_repair_is_proved_with_the_unit_back_in_service():
    """Not while it is still depressured; and never when nothing was repaired."""
    words = "there is nothing to prove, or the unit is not back in service"
    with pytest.raises(BadEvent, match=words):
        state_after(
            *down_to("depressured"), event("repair", "stem_stuck", "done"), event("prove", "", "cured")
        )
    with pytest.raises(BadEvent, match=words):
        state_after(event("prove", "stem_stuck", "cured"))


@pytest.mark.parametrize(("proof", "ending"), [("cured", "cured"), (COULD_NOT_TELL, "not_proved")])
def test_a_callout_ends_with_its_proof_or_without_one(proof, ending):
    """And nothing can follow."""
    ended = repaired("supply_lost", proof)
    assert state_after(*ended).ended == ending
    with pytest.raises(BadEvent, match="the callout has ended"):
        state_after(*ended, event("complaint", "complaint", "wont_open"))


def test_what_ended_without_its_proof_can_be_proved_later():
    """Somebody has watched it since: it is cured, or it goes on; what is cured stays so."""
    again = state_after(*repaired("supply_lost", COULD_NOT_TELL), event("reopened"))
    assert (again.ended, again.to_prove) == (None, "supply_lost")
    assert apply(BOOK, again, event("prove", "supply_lost", "cured")).ended == "cured"
    after = apply(BOOK, again, event("prove", "supply_lost", "not_cured"))
    assert (after.ended, after.epoch, after.to_prove) == (None, 1, "")


def test_more_than_one_thing_can_be_wrong():
    """A second complaint is evidence beside the first; another first one begins anew."""
    first, second = event("complaint", "complaint", "wont_open"), event("complaint", ALSO, "wont_shut")
    both = state_after(first, second, second)
    assert both.evidence.complaints == both.complaints == ("wont_open", "wont_shut")
    assert state_after(second).complaints == ("wont_shut",)
    changed = state_after(first, second, event("complaint", "complaint", "wont_shut"))
    assert changed.complaints == ("wont_shut",)


FINDINGS = {
    "supply_gauge": "none",
    "stem_moves": "yes",
    "trim_seen": "good",
    "season": "warm",
    "drop_seen": "no",
}


def not_cured() -> tuple[State, State]:
    """(before, after) a lost supply that was put right and did not cure it."""
    events = [event("complaint", "complaint", "wont_open")]
    events += [event("check", name, answer) for name, answer in FINDINGS.items()]
    return state_after(*events), state_after(*events, *repaired("supply_lost"))


def test_a_repair_that_does_not_cure_starts_an_epoch():
    """The complaint is asked anew, and the repair is remembered."""
    _, after = not_cured()
    assert (after.epoch, after.complaint, after.to_prove) == (1, "", "")
    assert after.repaired == ("supply_lost",)
    assert after.ended is None


def test_findings_that_the_repair_could_have_changed_are_set_aside():
    """The gauge and the drop hang on the supply; stem, trim and the season do not."""
    before, after = not_cured()
    assert dict(after.set_aside) == {name: before.findings[name] for name in ("supply_gauge", "drop_seen")}
    assert set(after.findings) == {"stem_moves", "trim_seen", "season"}
    assert set(after.evidence.findings) == {"stem_moves", "trim_seen", "season"}


def test_a_finding_set_aside_can_be_asked_again():
    """Its new answer belongs to the new epoch, and the old one is kept."""
    events = [event("check", "supply_gauge", "none"), *repaired("supply_lost")]
    state = state_after(*events, event("check", "supply_gauge", "full"))
    assert state.findings["supply_gauge"] == Finding("full", "", 1)
    assert state.set_aside == (("supply_gauge", Finding("none", "", 0)),)


@pytest.mark.parametrize("cause", list(BOOK.causes))
def test_what_a_repair_sets_aside_is_what_looks_at_its_descendants(cause):
    """Exactly the checks with a row on the cause or on anything it leads to."""
    reached = {cause} | nx.descendants(nx.DiGraph(BOOK.links), cause)
    for name, check in BOOK.checks.items():
        looks = {given for row in check.shows for given in row.given}
        assert (name in shown_by(BOOK, cause)) == bool(looks & reached)


def test_in_the_second_epoch_the_repaired_cause_starts_lower():
    """By what the repair leaves: nearly always taken is 0.05 left, and after two repairs 0.0025."""
    _, after = not_cured()
    assert after.remains == {"supply_lost": pytest.approx(0.05)}
    reasoner = Reasoner(BOOK, after.facts)
    first = reasoner.beliefs(Evidence()).causes["supply_lost"]
    second = reasoner.beliefs(Evidence(remains=after.remains)).causes["supply_lost"]
    assert second == pytest.approx(0.05 * first)
    twice = state_after(*repaired("supply_lost"), *repaired("supply_lost"))
    assert (twice.epoch, twice.remains) == (2, {"supply_lost": pytest.approx(0.0025)})


def test_the_same_complaint_after_a_repair_points_elsewhere():
    """With the same findings again, what was put right is no longer first."""
    before, after = not_cured()
    again = apply(BOOK, after, event("complaint", "complaint", "wont_open"))
    reasoner = Reasoner(BOOK, again.facts)
    first, second = (reasoner.beliefs(state.evidence).causes for state in (before, again))
    assert max(first, key=first.get) == "supply_lost"
    assert max(second, key=second.get) != "supply_lost"
