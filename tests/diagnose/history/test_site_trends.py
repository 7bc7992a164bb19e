"""A site over time: who gets worse, what comes back, when in the year, at what cost, what to hold."""

from datetime import timedelta

import numpy as np
import pytest
from scipy import stats

from diagnose.history.everywhere import everywhere_of
from diagnose.history.expected import Expected
from diagnose.history.site_trends import rayleigh, site_trends
from diagnose.history.stock import ENOUGH, Demand, stock_of
from diagnose.history.tally import counted, tally
from tests.diagnose.history.made import NOW, made
from tests.helpers import tiny_book

PARTS = {"causes": {"trim_worn": {"repair": {"parts": ["trim"]}}}}
BOOK = tiny_book(PARTS)
EXPECTED = Expected(BOOK)


def at_random(seed, unit, many, power=1.0, cause="trim_worn", **more):
    """Callouts of a unit over a thousand days; a power below 1 crowds them at the end."""
    draw = np.random.default_rng(seed)
    return [made(1000 * (1 - part**power), cause, unit=unit, **more) for part in draw.uniform(0, 1, many)]


def test_the_unit_that_gets_worse_is_listed_and_no_other():
    """One of forty crowds at the end; the list takes it and says how sure it is."""
    steady = [closed for k in range(39) for closed in at_random(k, f"V-{k}", 15)]
    found = site_trends([*steady, *at_random(99, "V-bad", 40, 0.4)], NOW)
    assert found.units[0].unit == "V-bad"
    assert found.units[0].sure > 0.95
    assert sum(unit.worse for unit in found.units) <= 2
    assert len(found.units) == 40


def test_steady_sites_seldom_raise_an_alarm():
    """Of sites of forty steady units hardly more than one in ten lists any: the many looks are counted."""
    alarms = 0
    for seed in range(15):
        callouts = [c for k in range(40) for c in at_random(1000 * seed + k, f"V-{k}", 8)]
        alarms += any(unit.worse for unit in site_trends(callouts, NOW).units)
    assert alarms <= 5


def test_causes_have_trends_of_their_own():
    """A unit is steady as a whole while one of its faults takes over."""
    worn, lost = at_random(1, "V-1", 30, 0.4), at_random(2, "V-1", 30, 2.5, "supply_lost")
    by_cause = {unit.cause: unit for unit in site_trends([*worn, *lost], NOW).by_cause}
    assert by_cause["trim_worn"].worse
    assert not by_cause["supply_lost"].worse


def test_of_a_few_callouts_no_trend_is_told():
    """They are counted, with nothing said of them."""
    (unit,) = site_trends([made(9, "trim_worn"), made(3, "trim_worn")], NOW).units
    assert (unit.callouts, unit.trend, unit.sure) == (2, None, 0.0)
    assert site_trends([], NOW).units == ()


def test_what_is_back_within_thirty_days_is_counted():
    """Same unit and cause, soon after a cure; a cure of last week is not judged unless it is back."""
    callouts = [made(days, "trim_worn") for days in (300, 290, 200, 10)]
    callouts += [made(295, "supply_lost"), made(199, "trim_worn", unit="V-2")]
    worn = next(cost for cost in site_trends(callouts, NOW).costs if cost.cause == "trim_worn")
    assert (worn.back_soon, worn.cured) == (1, 4)
    theirs = stats.beta(1.5, 3.5)
    assert worn.share_back.value == pytest.approx(theirs.mean())
    assert (worn.share_back.low, worn.share_back.high) == pytest.approx((theirs.ppf(0.05), theirs.ppf(0.95)))


def test_minutes_go_to_the_causes_by_their_shares():
    """Nothing is lost on the way; production that nobody spoke of counts as none."""
    callouts = [
        made(9, {"trim_worn": 0.75, "supply_lost": 0.25}, minutes=100, lost=400),
        made(8, "supply_lost", minutes=20),
    ]
    costs = {cost.cause: cost for cost in site_trends(callouts, NOW).costs}
    assert (costs["trim_worn"].minutes, costs["trim_worn"].lost_minutes) == (75, 300)
    assert (costs["supply_lost"].minutes, costs["supply_lost"].lost_minutes) == (45, 100)
    assert sum(cost.callouts for cost in costs.values()) == pytest.approx(2)


def test_a_fault_of_the_cold_has_its_season():
    """Always in January and February; one that comes all year has none."""
    cold = [made(365.25 * year - 15 - 7 * k, "supply_frozen") for year in (1, 2, 3) for k in range(6)]
    callouts = [*cold, *(made(37 * k, "trim_worn") for k in range(1, 30))]
    seasons = {season.cause: season for season in site_trends(callouts, NOW).seasons}
    assert seasons["supply_frozen"].chance < 1e-4
    assert seasons["supply_frozen"].peak in (1, 2)
    assert seasons["supply_frozen"].months[6] == 0
    assert seasons["trim_worn"].chance > 0.05


def test_chances_of_seasons_are_those_of_random_directions():
    """Rayleigh's test against a hundred thousand random walks of ten steps."""
    angles = np.random.default_rng(1).uniform(0, 2 * np.pi, (100_000, 10))
    lengths = np.abs(np.exp(1j * angles).sum(axis=1))
    for length in (3.0, 5.0, 6.5):
        assert rayleigh(10, length) == pytest.approx(np.mean(lengths >= length), rel=0.15, abs=5e-4)


@pytest.mark.parametrize(("mean", "variance"), [(0.3, 0.4), (2.0, 2.0), (2.0, 7.0), (40.0, 90.0)])
def test_what_is_held_lasts_as_often_as_it_should(mean, variance):
    """The least number that does; scipy.stats.nbinom and poisson are the reference."""
    number, runs_out = Demand(mean, variance).hold(ENOUGH)
    shape = mean**2 / (variance - mean) if variance > mean else None
    theirs = stats.nbinom(shape, shape / (shape + mean)) if shape else stats.poisson(mean)
    assert number == theirs.ppf(ENOUGH)
    assert runs_out == pytest.approx(theirs.sf(number), abs=1e-8)


def everywhere(callouts):
    return everywhere_of(tally(EXPECTED, *counted(callouts, NOW)))


def test_a_part_is_held_for_what_the_last_years_used():
    """Forty in a thousand days: some four in a quarter, and enough of them."""
    callouts = [made(25 * k + 1, "trim_worn", unit=f"V-{k % 5}") for k in range(40)]
    (part,) = stock_of(BOOK, everywhere(callouts), "North", callouts, NOW)
    assert (part.part, part.causes) == ("trim", ("trim_worn",))
    assert part.expected == pytest.approx(3.65, rel=0.2)
    assert part.hold >= 7
    assert part.runs_out <= 0.05
    assert stock_of(BOOK, everywhere(callouts), "South", [], NOW) == ()


def test_in_its_season_more_is_held():
    """A winter's fault: for a quarter that begins in January more than for one that begins in May."""
    book = tiny_book({"causes": {"supply_frozen": {"repair": {"parts": ["heat trace"]}}}})
    cold = [made(365.25 * year - 15 - 5 * k, "supply_frozen") for year in (1, 2, 3) for k in range(9)]
    holds = []
    for now in (NOW, NOW + timedelta(days=120)):
        (part,) = stock_of(book, everywhere(cold), "North", cold, now)
        holds.append(part.hold)
    assert holds[0] > 2 * holds[1]
