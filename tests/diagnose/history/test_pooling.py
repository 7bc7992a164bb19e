"""Rates of units with a known truth: better than raw counts and than the book, and as sure as they say."""

import numpy as np
import pytest
from scipy import stats

from diagnose.history.pooling import USUAL, Belief, Counts, Pool, foretold, no_counts, pooled

CAUSES, SITES, UNITS = 60, 8, 8


def simulated(seed, book, sites, units, callouts=60):
    """Units with factors that spread so: counts, each one's site, the factors, the book's shares."""
    draw = np.random.default_rng(seed)
    share = draw.gamma(1, 1, CAUSES)
    share /= share.sum()
    of_book = draw.gamma(book, 1 / book, CAUSES)
    of_site = of_book * draw.gamma(sites, 1 / sites, (SITES, CAUSES))
    true = np.repeat(of_site, UNITS, 0) * draw.gamma(units, 1 / units, (SITES * UNITS, CAUSES))
    many = draw.poisson(callouts, SITES * UNITS).astype(float)
    expected = many[:, np.newaxis] * share
    hits = draw.poisson(true * expected).astype(float)
    where = np.repeat(np.arange(SITES), UNITS)
    return Counts(hits, expected, many, many**2), where, true, share


SPREADS = [(2, 3, 6), (1, 1.5, 3), (4, 12, 24), (8, 3, 48)]


@pytest.mark.parametrize("spreads", SPREADS)
def test_pooled_rates_are_nearer_the_truth_than_counts_and_than_the_book(spreads):
    """Root mean square error of shares, for several spreads, on units with some 60 callouts each."""
    counts, where, true, share = simulated(1, *spreads)
    rates = pooled(counts, where, SITES).unit(where, counts).mean

    def error(factors):
        return np.sqrt(np.mean(((factors - true) * share) ** 2))

    raw = counts.hits / counts.expected
    assert error(rates) < 0.8 * error(raw)
    assert error(rates) < 0.8 * error(np.ones_like(true))


@pytest.mark.parametrize("spreads", SPREADS)
def test_the_intervals_hold_as_many_truths_as_they_say(spreads):
    """Of 90 % intervals 85 to 95 of a hundred hold the truth; 3840 of them in each of five histories."""
    held = []
    for seed in range(5):
        counts, where, true, _ = simulated(seed, *spreads)
        low, high = pooled(counts, where, SITES).unit(where, counts).interval()
        held.append(np.mean((low <= true) & (true <= high)))
    assert 0.85 < np.mean(held) < 0.95


def test_without_callouts_the_book_stands():
    """Nobody has called: every factor is 1, on an old unit and on a new site."""
    pool = pooled(no_counts(5, 0), np.zeros(0, dtype=np.intp), 0)
    assert pool.spreads == USUAL
    assert pool.unit(None, no_counts(5)).mean == pytest.approx(np.ones(5))


def test_with_one_unit_alone_it_is_the_gamma_poisson_posterior():
    """One unit, one site: its own counts come once, on top of the three spreads around the book."""
    own = Counts(np.array([7.0]), np.array([2.0]), np.array(20.0), np.array(400.0))
    pool = Pool(own.at(np.newaxis), USUAL)
    variance = (1 + 1 / USUAL.book) * (1 + 1 / USUAL.sites) * (1 + 1 / USUAL.units) - 1
    belief = pool.unit(0, own)
    assert belief.mean == pytest.approx((1 / variance + 7) / (1 / variance + 2))
    low, high = belief.interval()
    reference = stats.gamma(1 / variance + 7, scale=1 / (1 / variance + 2))
    assert (low[0], high[0]) == pytest.approx((reference.ppf(0.05), reference.ppf(0.95)), rel=1e-7)


def test_much_of_its_own_outweighs_all_others():
    """A unit with thousands of callouts has its own rate, whatever the others have."""
    hits, expected = np.array([[9000.0], [10.0]]), np.array([[3000.0], [100.0]])
    callouts = np.array([30_000.0, 1000.0])
    counts = Counts(hits, expected, callouts, callouts**2)
    pool = Pool(counts.of_groups(np.array([0, 0]), 1))
    assert pool.unit(0, counts.at(0)).mean == pytest.approx([3.0], rel=0.01)


def test_a_new_unit_has_its_sites_habit_and_a_new_site_less_of_it():
    """A cause that one site has four times as often raises a new unit there more than one elsewhere."""
    hits, expected = np.array([[40.0, 10.0], [10.0, 10.0]]), np.full((2, 2), 10.0)
    callouts = np.array([50.0, 50.0])
    pool = Pool(Counts(hits, expected, callouts, callouts**2 / 5))
    nothing = no_counts(2)
    at_site, elsewhere, new_site = (pool.unit(site, nothing).mean for site in (0, 1, None))
    assert at_site[0] > 2.5
    assert at_site[0] > new_site[0] > elsewhere[0] > 0
    assert at_site[1] == pytest.approx(1, abs=0.1)


def test_a_unit_is_not_judged_beforehand_by_its_own_counts():
    """What is believed before is the same whatever the unit's own counts are."""
    counts, where, _, _ = simulated(3, 2, 3, 6)
    more = Counts(counts.hits.copy(), counts.expected, counts.callouts, counts.squares)
    more.hits[0] *= 10

    def before(of):
        # One site alone, so that its message up, whose weight looks at all sites, plays no part.
        here = of.at(where == 0)
        return Pool(here.of_groups(np.zeros(UNITS, dtype=np.intp), 1)).before(0, here.at(0)).mean

    assert before(more) == pytest.approx(before(counts), rel=1e-9)


def test_the_spreads_found_tell_wide_from_narrow():
    """Units that differ much get a wider spread than units that are alike."""
    wide, narrow = (pooled(*simulated(4, 2, s, u)[:2], SITES).spreads for s, u in ((1, 1.5), (24, 48)))
    assert wide.sites < narrow.sites
    assert wide.units < narrow.units


def test_foretold_is_the_negative_binomial():
    """Up to what no spread changes; scipy.stats.nbinom is the reference."""
    own = Counts(np.array([3.0]), np.array([1.5]), np.array(5.0), np.array(25.0))

    def theirs(shape, rate):
        return float(stats.nbinom(shape, rate / (rate + 1.5)).logpmf(3))

    ours = [foretold(Belief(np.array([a]), np.array([b])), own) for a, b in ((2.0, 3.0), (5.0, 1.0))]
    assert ours[0] - ours[1] == pytest.approx(theirs(2, 3) - theirs(5, 1))
