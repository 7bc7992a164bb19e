"""A drill: the laws that hold however it is played."""

from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.trial.complaints import complaints
from diagnose.trial.drill import BACK, GO, OFFERED, Drill, Refused, desk_for, unit_for
from diagnose.trial.drill_outcome import outcome, own_side, tools_walk
from diagnose.trial.drill_search import Entry, search
from diagnose.trial.drill_vessel import Wanted, drawn
from diagnose.trial.policies import HALFSPLIT, POLICIES, Desk
from diagnose.trial.working import Job, worked_by
from knowledge.book import Book, load_book
from knowledge.problems import InputProblems
from knowledge.words import hold_rank

SET_UP = "snap_direct_water"


@cache
def book() -> Book:
    return load_book()


@cache
def vessel(fault: str = "supply_shut", level: str = "hard", set_up: str = SET_UP, seed: int = 1):
    return drawn(book(), Wanted(seed, fault, 1.0, set_up, level))


@cache
def desk(set_up: str = SET_UP) -> Desk:
    return desk_for(book(), vessel(set_up=set_up).ready.unit)


def drill(fault: str = "supply_shut", level: str = "hard") -> Drill:
    return Drill(desk(), vessel(fault, level))


def press(game: Drill, answer: str) -> None:
    """Give the answer of that name."""
    step = game.page().step
    game.answer(next(choice.key for choice in step.choices if choice.answer == answer))


def to_the_end(game: Drill) -> None:
    """Say yes to every page until the hand has to choose again."""
    while game.page().step:
        press(game, GO)


@pytest.mark.parametrize("fault", ["supply_shut", "valve_body_plugged", "vent_blocked"])
def test_naming_the_right_fault_ends_it_cured(fault):
    """With no check, and no wrong repair."""
    game = drill(fault)
    game.name(fault)
    to_the_end(game)
    assert (game.state.ended, game.bill.wrong, game.bill.checks) == ("cured", 0, 0)
    assert game.bill.minutes == pytest.approx(desk().costs.repair(fault, "running"))


def test_a_wrong_repair_is_paid_and_it_goes_on():
    """The unit is back in service, the call is there again, and it counts as wrong."""
    game = drill("vent_blocked")
    game.name("supply_shut")
    to_the_end(game)
    assert (game.state.ended, game.state.hold, game.bill.wrong) == (None, "running", 1)
    assert game.state.complaint == vessel("vent_blocked").complaint
    game.name("vent_blocked")
    to_the_end(game)
    assert game.state.ended == "cured"


WISH = st.tuples(
    st.sampled_from(["look", "name"]), st.integers(0, 10_000), st.lists(st.booleans(), max_size=12)
)


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(WISH, max_size=6))
def test_minutes_add_up_as_costs_says_and_no_hold_is_reached_past_its_cautions(wishes):
    """Whatever is wished, taken or dropped: each page's price is what it comes to, hold by hold."""
    game, costs, spent = (
        drill("stem_seized" if "stem_seized" in book().causes else "supply_shut"),
        desk().costs,
        0.0,
    )
    for kind, number, yeses in wishes:
        if game.state.ended:
            break
        names = desk().open_questions(game.state) if kind == "look" else list(book().causes)
        name = names[number % len(names)]
        try:
            getattr(game, kind)(name)
        except Refused:
            assert kind == "name"
            assert name in game.state.in_order
            continue
        first = game.page()
        start, price, begun = game.state.hold, dict(first.price), game.bill.minutes
        assert price.get("way", 0.0) == costs.move(start, first.place)
        dropped, waiting = False, list(yeses)
        while (page := game.page()).step:
            may_drop = BACK in [choice.answer for choice in page.step.choices]
            dropped = may_drop and bool(waiting) and not waiting.pop()
            before = game.state.hold
            press(game, BACK if dropped else GO)
            if hold_rank(game.state.hold) > hold_rank(before):
                assert (page.step.kind, page.step.id) == ("hold", game.state.hold)
                texts = [book().cautions[c] for c in book().holds[game.state.hold].cautions]
                assert list(page.step.cautions) == texts
        done = [entry for entry in game.bill.log if entry[0] in ("check", "repair")]
        if dropped:
            assert game.bill.minutes - begun == pytest.approx(costs.move(start, game.state.hold))
        elif kind == "look":
            assert game.bill.minutes - begun == pytest.approx(sum(price.values()))
            assert done[-1][1] == name
        elif game.bill.log[-1][2] == "in_order":
            assert game.bill.minutes - begun == pytest.approx(price.get("way", 0.0) + price["work"])
        else:
            assert game.bill.minutes - begun == pytest.approx(costs.repair(name, start))
        spent += game.bill.minutes - begun
    assert game.bill.minutes == pytest.approx(spent)
    assert sum(entry[3] for entry in game.bill.log) == pytest.approx(spent)


def test_the_tools_walk_is_the_policys_with_a_reason_for_each_act():
    """Step by step the same as `worked_by` makes it."""
    side = tools_walk(desk(), vessel())
    unit = unit_for(book(), vessel())
    job = Job(desk(), unit, vessel().complaint, vessel().ready.unit.quantities)
    bill = worked_by(job, POLICIES[HALFSPLIT])
    assert [(s.kind, s.id, s.answer, s.minutes) for s in side.steps] == bill.log
    assert (side.minutes, side.ended) == (bill.minutes, bill.ended)
    assert all(s.why for s in side.steps if s.kind in ("check", "repair", "help"))


def test_the_tools_steps_taken_by_hand_cost_the_same():
    """A drill and `worked_by` agree on every step, its answer and its minutes."""
    game = drill()
    for step in tools_walk(desk(), vessel()).steps:
        if step.kind in ("check", "repair"):
            (game.look if step.kind == "check" else game.name)(step.id)
            to_the_end(game)
    came = outcome(game)
    assert [(s.kind, s.id, s.answer, s.minutes) for s in came.own.steps] == [
        (s.kind, s.id, s.answer, s.minutes) for s in came.tool.steps
    ]
    assert came.minutes_more == 0


def test_the_same_wish_is_the_same_vessel():
    """Faults, set-up, call, and what is seen; another seed is another vessel."""
    one, same = (drawn(book(), Wanted(7, level="hard")) for _ in range(2))
    assert (one.faults, one.ready.name, one.complaint) == (same.faults, same.ready.name, same.complaint)
    looks = ["output_gauge", "supply_gauge", "lever_by_hand"]
    units = [unit_for(book(), found) for found in (one, same)]
    assert [units[0].shows(name, 0) for name in looks] == [units[1].shows(name, 0) for name in looks]
    others = {(v.faults, v.ready.name) for v in (drawn(book(), Wanted(seed)) for seed in range(3))}
    assert len(others) > 1


@pytest.mark.parametrize("seed", range(2))
def test_what_is_drawn_gives_ground_for_its_call_and_can_be_cured(seed):
    """Without its faults nothing is complained of."""
    found = drawn(book(), Wanted(seed, level="hard"))
    assert complaints(found.case)[0] == found.complaint
    unit = unit_for(book(), found)
    for fault in found.faults:
        unit.mend(fault)
    assert unit.complains(found.complaint, 0) == ""


def test_an_easy_drill_offers_six_open_checks_and_a_hard_one_none():
    """The offers are in the order of the signal, and can be taken by their number."""
    game = drill(level="easy")
    offers = [found.id for found in game.page().offers]
    assert len(set(offers)) == OFFERED
    assert set(offers) <= set(desk().open_questions(game.state))
    assert drill().page().offers == ()
    game.answer("2")
    assert game.page().step.id == offers[1]


def test_what_cannot_be_done_is_refused_and_changes_nothing():
    """A look made already, a fault that is not there, an answer that is not."""
    game = drill()
    game.look("supply_gauge")
    to_the_end(game)
    before = game.state, game.bill.minutes
    for act in (
        lambda: game.look("supply_gauge"),
        lambda: game.look("no_such_check"),
        lambda: game.name("no_such_fault"),
        lambda: game.answer("5"),
    ):
        with pytest.raises(Refused):
            act()
    assert (game.state, game.bill.minutes) == before


def test_giving_up_ends_it_and_costs_nothing():
    """It is not cured, and no minutes are compared."""
    game = drill()
    game.give_up()
    assert (game.state.ended, game.bill.minutes) == ("help", 0)
    assert own_side(game).ended == "help"
    assert outcome(game).minutes_more is None
    with pytest.raises(Refused):
        game.give_up()


def test_everything_that_is_found_can_be_taken():
    """By words and by section alike; each open question stands in the list once."""
    game = drill()
    listed = [found.id for _, some in game.by_section() for found in some]
    assert sorted(listed) == sorted(desk().open_questions(game.state))
    for found in game.find_check("supply gauge"):
        game.look(found.id)
        press(game, BACK)
    assert "supply_shut" in [found.id for found in game.find_fault("supply shut")]
    assert game.find_fault("zzz") == () == game.find_check("zz")


@given(st.text("abc ", max_size=9), st.lists(st.text("abc ", min_size=1, max_size=9), max_size=12))
def test_a_search_finds_what_has_a_word_for_each_word_typed(typed, labels):
    """And nothing else, while fewer than ten do."""
    entries = [Entry(str(number), label) for number, label in enumerate(labels)]
    words = [word for word in typed.split() if len(word) >= 3]
    fitting = {
        entry.id
        for entry in entries
        if words and all(any(own.startswith(word) for own in entry.label.split()) for word in words)
    }
    found = {item.id for item in search(entries, typed)}
    assert found <= fitting
    assert len(found) == min(9, len(fitting))


@pytest.mark.parametrize(
    ("wanted", "told"),
    [
        (Wanted(1, "vent_bloked"), "Did you mean vent_blocked?"),
        (Wanted(1, severity=0.0), "--severity"),
        (Wanted(1, set_up="snap_dirct_water"), "Did you mean snap_direct_water?"),
        (Wanted(1, "line_hammers", set_up=SET_UP), "gives no ground for a complaint"),
    ],
)
def test_a_wish_that_cannot_be_met_is_told(wanted, told):
    """With what mends it."""
    with pytest.raises(InputProblems) as caught:
        drawn(book(), wanted)
    assert told in str(caught.value)
