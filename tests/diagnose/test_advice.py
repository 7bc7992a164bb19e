"""Advice: laws of the best buy, and what is never advised."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose import advice as advice_module
from diagnose.advice import Adviser, Limits, blamed
from diagnose.evidence import Evidence
from diagnose.lookahead import LEAST_SAVING
from diagnose.reasoner import Reasoner
from knowledge.book import load_book
from knowledge.words import HOLDS, UNLISTED, hold_rank, strength
from tests.helpers import bare_book, book_of, cause, changed, check, tiny_book

STEADY = settings(max_examples=60, deadline=None, derandomize=True)
SHUT = Evidence(("wont_open",))


@pytest.fixture(scope="module")
def tiny():
    return Reasoner(tiny_book(), {})


def everything_asked(reasoner: Reasoner, hold: str = "running", **more) -> Limits:
    """Limits under which only repairs are left."""
    return Limits(hold, asked={*reasoner.book.checks, *reasoner.book.facts}, **more)


def repairable(adviser: Adviser) -> tuple[dict[str, float], dict[str, float]]:
    """(chance that putting it right cures, minutes of that) of each cause of the book, unit running."""
    share = {name: part for name, part in adviser.present_culprits().items() if not name.startswith(UNLISTED)}
    causes = adviser.book.causes
    cures = {name: part * strength(causes[name].repair.takes) for name, part in share.items()}
    return cures, {name: adviser.costs.repair(name, "running") for name in share}


def expected_of(order: tuple[str, ...], share: dict[str, float], minutes: dict[str, float], help_: float):
    """Heckerman, Breese & Rommelse 1995: sum of c_i (1 - sum of p_j before), and help for what is left."""
    left, spent = 1.0, 0.0
    for name in order:
        spent += minutes[name] * left
        left -= share[name]
    return spent + help_ * left


def cheapest(share: dict[str, float], minutes: dict[str, float], help_: float):
    """(expected minutes, order) of the best of all orders of all subsets; help alone is the empty one."""
    orders = (order for size in range(len(share) + 1) for order in permutations(share, size))
    return min((expected_of(order, share, minutes, help_), order) for order in orders)


@st.composite
def one_fault_books(draw):
    """Up to five causes of one complaint, all repaired while it runs, with no check that can be made."""
    count = draw(st.integers(1, 5))
    causes = {
        f"fault_{k}": cause(
            {"stays_shut": draw(st.floats(0.1, 0.95))},
            draw(st.floats(1, 60)),
            minutes=draw(st.integers(1, 90)),
        )
        for k in range(count)
    }
    prices = {"help": draw(st.integers(5, 400)), "proof": draw(st.integers(0, 30))}
    return book_of(changed(bare_book(), {"causes": causes, "prices": prices}))


@given(one_fault_books())
@STEADY
def test_repairing_by_probability_over_cost_is_the_best_of_all_orders(book):
    """No order of any of the repairs, with a call for help at its end, is cheaper in expectation."""
    reasoner = Reasoner(book, {})
    adviser = Adviser(reasoner, SHUT)
    advice = adviser.best(everything_asked(reasoner))
    share, minutes = repairable(adviser)
    best, order = cheapest(share, minutes, book.prices.help)
    assert advice.expected == pytest.approx(best, rel=1e-12)
    first = order[0] if order else ""
    if advice.kind == "repair":
        told = (advice.id, *(name for name in order if name != advice.id))
        assert expected_of(told, share, minutes, book.prices.help) == pytest.approx(best, rel=1e-12)
    else:
        assert advice.kind == "help"
        assert not first or best == pytest.approx(book.prices.help)


def test_the_printed_formula_of_repair_orders():
    """p .5 .3 .2 at costs 10, 2, 8 (sum c_i (1 - sum p_j)): by p/c the second, first, third: 10.6."""
    share = {"a": 0.5, "b": 0.3, "c": 0.2}
    minutes = {"a": 10.0, "b": 2.0, "c": 8.0}
    # 2 x 1 + 10 x 0.7 + 8 x 0.2, by hand.
    assert cheapest(share, minutes, 100) == (pytest.approx(10.6), ("b", "a", "c"))


def values_before_their_cost(adviser: Adviser, limits: Limits) -> dict[str, float]:
    """For each open question: minutes of the plan without it, less those once its answer is known."""
    outlook, start = adviser.outlook(limits)
    decision = outlook.decision
    own = decision.question_of()
    both = decision.likelihood * start.shares
    chance = both.sum(axis=1)
    here = np.full(len(own), start.hold)
    after = outlook.plan.expected((both / chance[:, None])[:, :-1], here, start.used, own, start.shares[:-1])
    known = np.bincount(own, chance * after)
    return {name: outlook.without(start, k) - known[k] for k, name in enumerate(decision.questions)}


@st.composite
def one_fault_looks(draw):
    """A one-fault book with one look at its first cause, of any quality."""
    book = bare_book()
    causes = {
        f"fault_{k}": cause({"stays_shut": 0.9}, draw(st.floats(0.5, 5)), minutes=draw(st.integers(1, 90)))
        for k in range(draw(st.integers(1, 4)))
    }
    rows = [{"given": "fault_0", "then": {"no": draw(st.floats(0.01, 0.99))}}]
    look = check([*rows, {"then": {"yes": draw(st.floats(0.01, 0.99))}}], slip=draw(st.floats(0.001, 0.4)))
    return book_of(changed(book, {"causes": causes, "checks": {"look": look}}))


@given(one_fault_looks())
@STEADY
def test_knowing_more_never_costs_more(book):
    """The value of a check before its own minutes is not negative."""
    values = values_before_their_cost(Adviser(Reasoner(book, {}), SHUT), Limits())
    assert min(values.values()) >= -1e-9


def test_knowing_more_never_costs_more_where_two_faults_coincide():
    """Two common causes of 30 minutes each, and a look that tells whether both are there."""
    look = check([{"given": ["left", "right"], "then": {"no": 0.9}}, {"then": {"no": 0.05}}], slip=0.001)
    twin = cause({"stays_shut": 0.95}, 60, minutes=30)
    causes = {"left": twin, "right": twin}
    book = book_of(changed(bare_book(), {"causes": causes, "checks": {"look": look}}))
    values = values_before_their_cost(Adviser(Reasoner(book, {}), SHUT), Limits())
    assert min(values.values()) >= -1e-9


@pytest.mark.parametrize("hold", HOLDS)
def test_knowing_more_never_costs_more_in_any_hold(tiny, hold):
    """Not for any check or fact of the tiny book, though repairs need holds and faults may coincide."""
    values = values_before_their_cost(Adviser(tiny, SHUT), Limits(hold))
    assert len(values) > 5
    assert min(values.values()) >= -1e-9


@pytest.mark.parametrize("complaint", load_book().complaints)
def test_knowing_more_never_costs_more_in_the_shipped_book(complaint):
    """Not for any check or fact of it, with nothing known of the unit."""
    values = values_before_their_cost(Adviser(Reasoner(load_book(), {}), Evidence((complaint,))), Limits())
    assert len(values) > 50
    assert min(values.values()) >= -1e-9


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


def test_a_question_that_tells_nothing_is_never_advised():
    """A look whose rows are all the same saves nothing, however cheap."""
    idle = check([{"given": "fault", "then": {"yes": 0.7}}, {"then": {"yes": 0.7}}], minutes=0)
    book = book_of(
        changed(
            bare_book(),
            {"causes": {"fault": cause({"stays_shut": 0.9})}, "checks": {"idle": idle}},
        )
    )
    advice = Adviser(Reasoner(book, {}), SHUT).best(Limits(asked={"drop_seen"}))
    assert (advice.kind, advice.id) == ("repair", "fault")


def test_a_perfect_look_is_worth_what_the_order_of_repairs_would_waste():
    """Two equal causes, 60 minutes each, and a look of one minute that parts them: the look goes first."""
    twin = cause({"stays_shut": 0.9}, 5, minutes=60)
    look = check([{"given": "left", "then": "no"}, {"then": "yes"}], slip=0.001, minutes=1)
    book = book_of(changed(bare_book(), {"causes": {"left": twin, "right": twin}, "checks": {"look": look}}))
    advice = Adviser(Reasoner(book, {}), SHUT).best(Limits(asked={"drop_seen"}))
    assert (advice.kind, advice.id) == ("check", "look")


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
    book = book_of(changed(bare_book(), {"causes": {"stuck": dear}, "checks": {"look": look}}))
    adviser = Adviser(Reasoner(book, {}), Evidence(("wont_open",), {"look": "yes"}))
    asked = frozenset({"look", "drop_seen"})
    advice = adviser.best(Limits(asked=asked))
    assert (advice.kind, advice.id, advice.again) == ("check", "look", True)
    assert adviser.best(Limits(asked=asked, again=frozenset({"look"}))).kind == "help"
