"""Rates of units with a known truth: better than raw counts and than the book, and as sure as they say."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy import stats

from diagnose.history.belief import Belief
from diagnose.history.pooling import USUAL, Counts, Pool, no_counts, pooled

CAUSES, SITES, UNITS = 30, 5, 6
SPREADS = [(2, 3, 6), (4, 12, 24)]
HABITS = [0.0, 0.5]
"""Habits that a unit has on average."""


@cache
def simulated(seed, spreads, habits=0.0, callouts=60):
    """Units whose causes' true shares of callouts spread so: counts, each one's site, truths, the book's."""
    book, sites, units = spreads
    draw = np.random.default_rng(seed)
    share = draw.gamma(1, 1, CAUSES)
    share /= share.sum()
    of_site = draw.gamma(book, 1 / book, CAUSES) * draw.gamma(sites, 1 / sites, (SITES, CAUSES))
    true = np.repeat(of_site, UNITS, 0) * draw.gamma(units, 1 / units, (SITES * UNITS, CAUSES)) * share
    true /= true.sum(axis=1, keepdims=True)
    habit = np.zeros(true.shape, bool)
    for unit, number in enumerate(draw.poisson(habits, len(true))):
        for cause in draw.choice(CAUSES, number, p=share):
            part = draw.uniform(0.1, 0.7)
            true[unit] *= 1 - part
            true[unit, cause] += part
            habit[unit, cause] = True
    many = 1.0 + draw.poisson(callouts, len(true))
    hits = np.array([draw.multinomial(int(n), p) for n, p in zip(many, true, strict=True)], float)
    counts = Counts(hits, many[:, np.newaxis] * share, many, many**2)
    return counts, np.repeat(np.arange(SITES), UNITS), true, share, habit


@cache
def learned(seed, spreads, habits):
    """What is learned of those units."""
    counts, where, _, share, _ = simulated(seed, spreads, habits)
    return pooled(counts, where, SITES).unit(where, counts, share).belief


@pytest.mark.parametrize("spreads", SPREADS)
@pytest.mark.parametrize("habits", HABITS)
def test_pooled_rates_are_nearer_the_truth_than_counts_and_than_the_book(spreads, habits):
    """Root mean square error of shares, for several spreads, on units with some 60 callouts each."""
    counts, _, true, share, _ = simulated(1, spreads, habits)
    rates = learned(1, spreads, habits).mean * share

    def error(shares):
        return np.sqrt(np.mean((shares - true) ** 2))

    assert error(rates) < (0.95 if habits else 0.8) * error(counts.hits / counts.callouts[:, np.newaxis])
    assert error(rates) < 0.8 * error(share)


@pytest.mark.parametrize("spreads", SPREADS)
@pytest.mark.parametrize("habits", HABITS)
def test_the_intervals_hold_as_many_truths_as_they_say(spreads, habits):
    """Of 90 % intervals 85 to 95 of a hundred hold the truth; 900 of them in each of three histories."""
    held = []
    for seed in (1, 2, 3):
        _, _, true, share, _ = simulated(seed, spreads, habits)
        low, high = learned(seed, spreads, habits).interval()
        held.append((low * share <= true) & (true <= high * share))
    assert 0.85 < np.mean(held) < 0.95


@pytest.mark.parametrize("spreads", SPREADS)
def test_a_habit_is_learned_and_the_other_causes_make_room_for_it(spreads):
    """Habits are believed most of what they are, their intervals hold them, and all shares sum to 1."""
    _, _, true, share, habit = simulated(1, spreads, 0.5)
    belief = learned(1, spreads, 0.5)
    low, high = belief.interval()
    assert (belief.mean * share)[habit].mean() > 0.75 * true[habit].mean()
    assert np.mean(((low * share <= true) & (true <= high * share))[habit]) > 0.75
    assert (belief.mean * share).sum(axis=1) == pytest.approx(np.ones(len(true)))


def test_a_chance_of_a_habit_leaves_the_mean():
    """Whatever was believed before."""
    belief = Belief.gamma(np.array([2.0, 0.5, 30.0]), np.array([2.0, 4.0, 3.0]))
    share = np.array([0.02, 0.3, 0.05])
    assert belief.or_habit(0.3, share).mean == pytest.approx(belief.mean)
    assert (belief.or_habit(0.3, share).doubt >= belief.doubt).all()


def test_the_parts_of_a_mixture_count_by_how_well_they_foretold():
    """scipy.stats.nbinom is the reference for weights, scipy.stats.gamma for the quantiles."""
    weight, shape, rate = np.array([[0.9], [0.1]]), np.array([[6.0], [1.0]]), np.array([[6.0], [0.1]])
    after = Belief(weight, shape, rate).seen(np.array([7.0]), np.array([0.5]))
    chance = stats.nbinom.pmf(7, shape, rate / (rate + 0.5))
    assert after.weight == pytest.approx(weight * chance / (weight * chance).sum())
    for p, at in zip((0.05, 0.95), after.interval(), strict=True):
        assert (after.weight * stats.gamma.cdf(at, after.shape, scale=1 / after.rate)).sum() == pytest.approx(
            p
        )


def test_without_callouts_the_book_stands():
    """Nobody has called: every factor is 1, on an old unit and on a new site."""
    pool = pooled(no_counts(5, 0), np.zeros(0, dtype=np.intp), 0)
    assert pool.spreads == USUAL
    assert pool.unit(None, no_counts(5), np.full(5, 0.2)).belief.mean == pytest.approx(np.ones(5))


def test_with_one_unit_alone_it_is_the_gamma_poisson_posterior():
    """One unit, no habits: its own counts come once, on top of the three spreads around the book."""
    own = Counts(np.array([7.0]), np.array([2.0]), np.array(20.0), np.array(400.0))
    pool = Pool(own.at(np.newaxis), replace(USUAL, habits=0.0))
    variance = (1 + 1 / USUAL.book) * (1 + 1 / USUAL.sites) * (1 + 1 / USUAL.units) - 1
    belief = pool.before(0, own, own.share).seen(own.hits, own.expected)
    assert belief.mean == pytest.approx((1 / variance + 7) / (1 / variance + 2))
    low, high = belief.interval()
    reference = stats.gamma(1 / variance + 7, scale=1 / (1 / variance + 2))
    assert (low[0], high[0]) == pytest.approx((reference.ppf(0.05), reference.ppf(0.95)), rel=1e-7)


def test_much_of_its_own_outweighs_all_others():
    """A unit with thousands of callouts has its own rates, whatever the others have."""
    share = np.array([0.1, 0.9])
    callouts = np.array([30_000.0, 1000.0])
    counts = Counts(
        np.array([[9000.0, 21_000.0], [10.0, 990.0]]), callouts[:, np.newaxis] * share, callouts, callouts**2
    )
    pool = Pool(counts.of_groups(np.array([0, 0]), 1))
    known = pool.unit(0, counts.at(0), share)
    assert known.belief.mean * share == pytest.approx([0.3, 0.7], rel=0.01)
    assert (known.borrowed < 0.05).all()


def test_a_new_unit_has_its_sites_habit_and_a_new_site_less_of_it():
    """A cause that one site has four times as often raises a new unit there more than one elsewhere."""
    share = np.array([0.2, 0.8])
    callouts = np.array([200.0, 200.0])
    hits = np.array([[160.0, 40.0], [40.0, 160.0]])
    pool = Pool(Counts(hits, callouts[:, np.newaxis] * share, callouts, callouts**2 / 5))
    at_site, elsewhere, new_site = (pool.unit(site, no_counts(2), share).belief.mean for site in (0, 1, None))
    assert at_site[0] > 2.0
    assert at_site[0] > new_site[0] > elsewhere[0] > 0
    assert elsewhere[1] > new_site[1] > at_site[1]


def test_a_unit_is_not_judged_beforehand_by_its_own_counts():
    """What is believed before is the same whatever the unit's own counts are."""
    counts, where, _, share, _ = simulated(3, SPREADS[0])
    more = Counts(counts.hits.copy(), counts.expected, counts.callouts, counts.squares)
    more.hits[0] *= 10

    def before(of):
        # One site alone, so that its message up, whose weight looks at all sites, plays no part.
        here = of.at(where == 0)
        return Pool(here.of_groups(np.zeros(UNITS, dtype=np.intp), 1)).before(0, here.at(0), share).mean

    assert before(more) == pytest.approx(before(counts), rel=1e-9)


def test_the_spreads_found_tell_wide_from_narrow():
    """Units that differ much get a wider spread than units that are alike; habits are told from none."""
    wide, narrow, habits = (
        pooled(*simulated(4, *given)[:2], SITES).spreads
        for given in (((2, 1, 1.5),), ((2, 24, 48),), ((2, 24, 48), 0.5))
    )
    assert wide.sites < narrow.sites
    assert wide.units < narrow.units
    assert narrow.habits < habits.habits


def test_what_is_foretold_is_the_negative_binomial():
    """Up to what no belief changes; scipy.stats.nbinom is the reference."""

    def theirs(shape, rate):
        return float(stats.nbinom(shape, rate / (rate + 1.5)).logpmf(3))

    ours = [
        Belief.gamma(np.array([a]), np.array([b])).foretells(np.array([3.0]), np.array([1.5]))[0]
        for a, b in ((2.0, 3.0), (5.0, 1.0))
    ]
    assert ours[0] - ours[1] == pytest.approx(theirs(2, 3) - theirs(5, 1))
