"""Advice: what is never advised, and what is where there is nothing to choose from."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose import advice as advice_module
from diagnose.advice import Adviser, Limits, blamed
from diagnose.evidence import Evidence
from diagnose.lookahead import LEAST_SAVING
from diagnose.reasoner import Reasoner
from knowledge.words import HOLDS, hold_rank
from tests.diagnose.adviser import SHUT, STEADY, everything_asked
from tests.helpers import bare_book, book_of, cause, changed, check, tiny_book


@pytest.fixture(scope="module")
def tiny():
    return Reasoner(tiny_book(), {})


_findings = st.fixed_dictionaries(
    {},
    optional={
        "supply_gauge": st.sampled_from(["none", "part", "full"]),
        "output_moves": st.sampled_from(["yes", "no"]),
        "stem_moves": st.sampled_from(["yes", "no"]),
        "vent_breathes": st.sampled_from(["yes", "no"]),
        "fails": st.sampled_from(["closed", "open"]),
    },
)


@given(_findings, st.sampled_from(["wont_open", "wont_shut"]), st.sampled_from(HOLDS), st.sampled_from(HOLDS))
@STEADY
def test_nothing_is_advised_out_of_its_hold_or_beyond_reach(tiny, findings, said, hold, highest):
    """A check or repair is advised in its own hold; else the next hold on the way; never past the last."""
    hold, highest = sorted((hold, highest), key=hold_rank)
    adviser = Adviser(tiny, Evidence((said,), findings))
    asked = frozenset(findings)
    advice = adviser.best(Limits(hold, highest, asked, frozenset({"supply_lost"})))
    wanted = advice.sake if advice.kind == "hold" else advice.id
    questions = {*tiny.book.checks, *tiny.book.facts} - asked
    if advice.kind == "help":
        assert advice.expected <= tiny.book.prices.help
        return
    assert wanted in (asked if advice.again else questions | set(tiny.book.causes) - {"supply_lost"})
    questions |= asked
    place = adviser.costs.place_for if wanted in questions else adviser.costs.place_for_repair
    target = place(wanted, hold)
    assert hold_rank(target) <= hold_rank(highest)
    if advice.kind == "hold":
        assert hold_rank(advice.id) - hold_rank(hold) == (1 if hold_rank(target) > hold_rank(hold) else -1)
    else:
        assert target == hold


@pytest.mark.parametrize("highest", HOLDS)
def test_a_look_beyond_reach_is_not_advised_however_good(highest):
    """A sure, quick look at one of two equal causes, made with the vessel open; holds cost nothing."""
    twin = cause({"stays_shut": 0.9}, 100, minutes=60)
    look = check([{"given": "left", "then": "no"}, {"then": "yes"}], slip=0.001, minutes=1, hold="open")
    book = book_of(changed(bare_book(), {"causes": {"left": twin, "right": twin}, "checks": {"look": look}}))
    advice = Adviser(Reasoner(book, {}), SHUT).best(Limits(highest=highest, asked={"drop_seen"}))
    if highest == "open":
        assert (advice.kind, advice.id, advice.sake) == ("hold", "on bypass", "look")
    else:
        assert (advice.kind, advice.sake) == ("repair", "")


@pytest.mark.parametrize("highest", HOLDS)
def test_a_repair_beyond_reach_is_not_advised_however_likely_its_cause(highest):
    """The one cause of the complaint is put right with the unit isolated: short of that, help is called."""
    fault = cause({"stays_shut": 0.95}, 300, hold="isolated")
    book = book_of(changed(bare_book(), {"causes": {"fault": fault}}))
    advice = Adviser(Reasoner(book, {}), SHUT).best(Limits(highest=highest, asked={"drop_seen"}))
    if hold_rank(highest) >= hold_rank("isolated"):
        assert (advice.kind, advice.id, advice.sake) == ("hold", "on bypass", "fault")
    else:
        assert (advice.kind, advice.sake) == ("help", "")


def test_advice_goes_one_hold_at_a_time_for_the_sake_of_a_check():
    """A worn trim can only be seen with the valve open: the first step there is the bypass."""
    book = tiny_book({"prices": {"help": 900}})
    evidence = Evidence(("wont_shut",), {"output_moves": "yes", "fails": "closed"})
    asked = {*book.checks, *book.facts} - {"trim_seen"}
    advice = Adviser(Reasoner(book, {}), evidence).best(Limits(asked=asked))
    assert (advice.kind, advice.id) == ("hold", "on bypass")
    assert advice.sake in ("trim_seen", "trim_worn")


def test_where_only_running_can_be_reached_only_running_steps_are_advised(tiny):
    """With nothing beyond running and all asked there, the supply is the one repair left."""
    evidence = Evidence(("wont_open",), {"supply_gauge": "none"})
    advice = Adviser(tiny, evidence).best(everything_asked(tiny, highest="running"))
    assert (advice.kind, advice.id) == ("repair", "supply_lost")


def test_a_nearly_certain_cause_is_repaired(tiny):
    """The blocked vent was seen, the supply is full, the stem moves: no more questions are worth it."""
    seen = {"vent_breathes": "no", "supply_gauge": "full", "stem_moves": "yes", "season": "warm"}
    evidence = Evidence(("wont_open",), {**seen, "fails": "closed"})
    adviser = Adviser(tiny, evidence)
    assert adviser.present_culprits()["vent_blocked"] > 0.8
    advice = adviser.best(Limits("supply off", asked=frozenset(evidence.findings)))
    assert (advice.kind, advice.id) == ("repair", "vent_blocked")
    from_running = adviser.best(Limits(asked=frozenset(evidence.findings)))
    assert (from_running.kind, from_running.id) == ("hold", "on bypass")


def test_in_the_red_band_repairs_are_advised_and_no_questions(tiny, monkeypatch):
    """Where what-ifs would take too long there are the beliefs, and repairs in order."""
    evidence = Evidence(("wont_open",), {"supply_gauge": "none"})
    assert Adviser(tiny, evidence).what_ifs(Limits())
    monkeypatch.setattr(advice_module, "band", lambda cells: "red")
    adviser = Adviser(tiny, evidence)
    assert adviser.what_ifs(Limits()) == {}
    assert (adviser.best(Limits()).kind, adviser.best(Limits()).id) == ("repair", "supply_lost")


def test_help_is_called_when_nothing_can_be_done(tiny):
    """No check left and no repair allowed: help, at the price of help."""
    none = everything_asked(tiny, no_repair=frozenset(tiny.book.causes))
    advice = Adviser(tiny, SHUT).best(none)
    assert (advice.kind, advice.id, advice.expected) == ("help", "", tiny.book.prices.help)


def test_without_a_complaint_the_complaint_is_asked_for(tiny):
    """Nothing is advised before it is said what is wrong."""
    assert Adviser(tiny, Evidence()).best(Limits()).kind == "complaint"


def test_an_advised_check_says_what_it_saves_and_what_to_expect(tiny):
    """Its answers' chances are the what-if's and sum to 1; it saves more than nothing against repairing."""
    advice = Adviser(tiny, SHUT).best(Limits())
    at_once = Adviser(tiny, SHUT).best(everything_asked(tiny)).expected
    assert advice.kind == "check"
    what_if = tiny.what_ifs(SHUT, [advice.id])[advice.id]
    assert [answer for answer, _ in advice.answers] == list(what_if.outcomes)
    assert [chance for _, chance in advice.answers] == pytest.approx(what_if.chance.tolist(), rel=1e-12)
    assert sum(chance for _, chance in advice.answers) == pytest.approx(1)
    assert advice.saves > LEAST_SAVING
    assert advice.expected < at_once - LEAST_SAVING


def test_blame_falls_only_on_what_can_bring_the_complaint_about():
    """Each complaint blames its ancestors in the graph and its own unlisted cause, and nobody else."""
    book = tiny_book(
        {"causes": {"lonely": cause({"lonely_end": "always"})}, "conditions": {"lonely_end": {"title": "X"}}}
    )
    assert "lonely" not in blamed(book, ["wont_open"])
    assert blamed(book, ["wont_open"]) == {
        "vent_blocked",
        "supply_lost",
        "supply_frozen",
        "stem_stuck",
        "unlisted_wont_open",
    }
    assert "trim_worn" in blamed(book, ["wont_shut"])
    assert Adviser(Reasoner(book, {}), SHUT).present_culprits()["lonely"] == 0


@given(st.integers(0, 2**32 - 1), st.integers(1, 4))
@STEADY
def test_shares_of_the_blame_are_never_negative_and_never_more_than_one_in_all(tiny, seed, rows):
    """For any beliefs whatever."""
    adviser = Adviser(tiny, SHUT)
    blame = adviser.culprits(np.random.default_rng(seed).uniform(size=(rows, len(adviser.causes))))
    assert (blame >= 0).all()
    assert (blame.sum(axis=1) <= 1 + 1e-12).all()


def test_a_cause_that_was_there_all_along_is_not_blamed_for_more_than_it_does():
    """A common cause that hardly ever brings the complaint about gets little blame, however likely it is."""
    causes = {
        "common": cause({"stays_shut": 0.01}, 500, minutes=1),
        "rare": cause({"stays_shut": 0.95}, 20, minutes=1),
    }
    adviser = Adviser(Reasoner(book_of(changed(bare_book(), {"causes": causes})), {}), SHUT)
    assert adviser.beliefs.causes["common"] > adviser.beliefs.causes["rare"]
    blame = adviser.present_culprits()
    assert blame["rare"] > 3 * blame["common"]


def test_before_help_the_likeliest_wrong_answer_is_looked_at_once_more_and_no_more():
    """One dear cause, and one look that speaks against it: either the look went wrong or nobody knows."""
    dear = cause({"stays_shut": 0.9}, 100, minutes=200)
    look = check([{"given": "stuck", "then": "no"}, {"then": "yes"}], slip=0.1, minutes=2)
    book = book_of(
        changed(bare_book(), {"causes": {"stuck": dear}, "checks": {"look": look}, "prices": {"talk": 1}})
    )
    adviser = Adviser(Reasoner(book, {}), Evidence(("wont_open",), {"look": "yes"}))
    asked = frozenset({"look", "drop_seen"})
    advice = adviser.best(Limits(asked=asked))
    assert (advice.kind, advice.id, advice.again) == ("check", "look", True)
    assert advice.minutes == 2, "the talk is no part of the step itself"
    assert adviser.best(Limits(asked=asked, again=frozenset({"look"}))).kind == "help"
