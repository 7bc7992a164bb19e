"""Minutes: moving between holds, looking, repairing and proving."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.costs import Costs
from knowledge.words import HOLDS, hold_rank
from tests.helpers import changed, holds, tiny_book

STEADY = settings(max_examples=60, deadline=None, derandomize=True)
hold = st.sampled_from(HOLDS)


@pytest.fixture(scope="module")
def costs():
    """Every way between two holds has its own minutes, so that no two can be mistaken."""
    steps = holds()
    ways = {
        name: {**steps[name], "minutes": 2.0**k, "back_minutes": 2.0 ** (k + 8)}
        for k, name in enumerate(HOLDS[1:])
    }
    return Costs(tiny_book({"holds": ways}))


def test_staying_costs_nothing(costs):
    """From a hold to itself: 0 minutes."""
    assert [costs.move(name, name) for name in HOLDS] == [0] * len(HOLDS)


@given(hold, hold, hold)
@STEADY
def test_moving_is_additive(costs, a, b, c):
    """A way through a hold that lies between costs the sum of its two parts, up as well as down."""
    low, middle, high = sorted((a, b, c), key=hold_rank)
    assert costs.move(low, high) == costs.move(low, middle) + costs.move(middle, high)
    assert costs.move(high, low) == costs.move(high, middle) + costs.move(middle, low)


def test_moving_costs_the_way_in_going_up_and_the_way_back_going_down(costs):
    """From on bypass to isolated: the ways into supply off and isolated; back: their ways back."""
    assert costs.move("on bypass", "isolated") == 2 + 4
    assert costs.move("isolated", "on bypass") == 2**9 + 2**10


def test_a_check_is_made_in_the_nearest_hold_that_allows_it(costs):
    """`output_moves` runs from running up to on bypass: no further down or up than needed."""
    places = [costs.place_for("output_moves", name) for name in HOLDS]
    assert places == ["running", "on bypass", *["on bypass"] * 4]
    assert costs.place_for("trim_seen", "running") == "open"


@given(st.sampled_from(list(tiny_book().checks)), hold)
@STEADY
def test_a_check_costs_its_own_minutes_and_the_way_there(costs, name, start):
    """Asked where it can be made, it costs only itself."""
    place, minutes = costs.place_for(name, start), costs.book.checks[name].minutes
    assert costs.question(name, start) == costs.move(start, place) + minutes
    assert costs.question(name, place) == minutes


def test_a_fact_costs_its_minutes(costs):
    """A fact of the unit is looked up while it runs."""
    assert costs.question("fails", "running") == costs.book.facts["fails"].minutes == 2


def test_a_repair_costs_the_way_there_the_work_the_way_back_and_the_proof(costs):
    """A stuck stem, 40 minutes at depressured, from running; proof 20."""
    way = 1 + 2 + 4 + 8
    assert costs.repair("stem_stuck", "running") == way + 40 + way * 2**8 + 20
    assert costs.repair("stem_stuck", "depressured") == 40 + way * 2**8 + 20


def test_a_repair_from_further_down_is_made_where_the_unit_stands(costs):
    """A lost supply can be put right with the vessel open too; all the way back is paid."""
    assert costs.place_for_repair("supply_lost", "open") == "open"
    assert costs.repair("supply_lost", "open") == 5 + (1 + 2 + 4 + 8 + 16) * 2**8 + 20


def test_what_is_not_in_the_book_costs_a_call_for_help(costs):
    """From any hold."""
    causes = [f"unlisted_{name}" for name in costs.book.complaints]
    assert {costs.repair(c, h) for c, h in product(causes, HOLDS)} == {costs.book.prices.help}


def test_changed_leaves_the_original_alone():
    """The helper that makes variants of the tiny book copies."""
    data = {"a": {"b": [1]}}
    changed(data, {"a": {"c": 2}})["a"]["b"].append(2)
    assert data == {"a": {"b": [1]}}
