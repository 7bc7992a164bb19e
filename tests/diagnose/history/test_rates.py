"""A unit's rates: the book's where nothing was seen, the unit's own habit where much was."""

from datetime import timedelta

import numpy as np
import pytest
from scipy import stats

from diagnose.evidence import Evidence
from diagnose.history.closed import MadeCheck, TriedRepair
from diagnose.history.everywhere import everywhere_of, from_text, kept_text
from diagnose.history.expected import Expected
from diagnose.history.rates import learned_of, unit_rates
from diagnose.history.tally import HALF_LIFE, counted, tally, weight_at
from diagnose.history.work import MINUTES_TRUST, TAKES_TRUST, TIMES_SHAPE, minutes_of, takes_of
from diagnose.learned import Learned, learned_book
from diagnose.reasoner import Reasoner
from knowledge.book import load_book
from knowledge.words import UNLISTED, strength
from tests.diagnose.history.made import NOW, made
from tests.helpers import tiny_book

BOOK = tiny_book({})
EXPECTED = Expected(BOOK)
COLD = {"season": "cold", "fails": "closed"}
WARM = {"season": "warm", "fails": "closed"}


class Found:
    """The rates of every unit of some callouts."""

    def __init__(self, callouts):
        self.tally = tally(EXPECTED, *counted(callouts, NOW))
        self.everywhere = everywhere_of(self.tally)

    def unit(self, site, unit, facts):
        return unit_rates(EXPECTED, self.everywhere, self.tally, (site, unit), facts)


def of(found, cause):
    return next(rate for rate in found.rates if rate.cause == cause)


def test_without_history_the_rates_are_the_books():
    """Nothing was seen: every rate is the book's, says so, and teaches a callout nothing."""
    found = Found([]).unit("North", "V-1", WARM)
    assert [rate.rate for rate in found.rates] == pytest.approx([rate.book for rate in found.rates])
    assert sum(rate.book for rate in found.rates) == pytest.approx(1000)
    assert {found.rests_on(rate) for rate in found.rates} == {"book only"}
    assert learned_of(found, (), ()) == Learned()


def test_a_habit_raises_its_cause_and_says_what_it_rests_on():
    """A cause that came far more than expected leads; the others fall; the counts are told."""
    here = [made(30 * k, "trim_worn") for k in range(9)]
    there = [made(20 * k, "supply_lost", unit="V-2") for k in range(12)]
    found = Found([*here, *there]).unit("North", "V-1", WARM)
    worn, lost = of(found, "trim_worn"), of(found, "supply_lost")
    assert worn.rate > 2 * worn.book
    assert worn.low < worn.rate < worn.high
    assert lost.rate < lost.book
    assert (found.rests_on(worn), found.rests_on(lost)) == ("9 here, 9 in all", "0 here, 12 in all")
    assert found.rests_on(of(found, "stem_stuck")) == "none in 21 callouts"
    assert (found.callouts, found.callouts_at_site, found.callouts_everywhere) == (9, 21, 21)
    assert 0 < worn.borrowed < 1


def test_shares_count_as_parts_of_callouts():
    """Two halves are one."""
    halves = [made(10 * k, {"trim_worn": 0.5, "stem_stuck": 0.5}) for k in range(4)]
    found = Found(halves).unit("North", "V-1", WARM)
    assert (of(found, "trim_worn").here, of(found, "stem_stuck").here) == (2, 2)


def test_a_units_habit_is_learned_as_one():
    """Seven of a unit's 17 callouts come near their own share; all rates together are 1000."""
    others = [name for name in EXPECTED.causes if name != "trim_worn"]
    usual = [made(30 * k, others[k % len(others)], unit=f"V-{k % 6}") for k in range(60)]
    here = [made(40 * k, "trim_worn") for k in range(7)]
    found = Found([*usual, *here]).unit("North", "V-1", WARM)
    worn = of(found, "trim_worn")
    assert worn.rate == pytest.approx(1000 * 7 / 17, rel=0.3)
    assert worn.borrowed < 0.5
    assert sum(rate.rate for rate in found.rates) == pytest.approx(1000)


def test_season_stays_the_books():
    """A cause that came just as often as the book says of the cold is not learned to be frequent."""
    cold = EXPECTED.shares([COLD])[0]
    shares = dict(zip(EXPECTED.causes, cold.tolist(), strict=True))
    found = Found([made(k, shares, facts=COLD) for k in range(60)])
    for facts in (COLD, WARM):
        rates = found.unit("North", "V-1", facts)
        assert [rate.times for rate in rates.rates] == pytest.approx(np.ones(len(cold)), abs=0.03)
    frozen = [of(found.unit("North", "V-1", facts), "supply_frozen").rate for facts in (COLD, WARM)]
    assert frozen[0] > 5 * frozen[1]


def test_older_callouts_count_for_less():
    """One that is a half-life old counts for half, and a habit of long ago fades."""
    assert weight_at(NOW - timedelta(days=365.25 * HALF_LIFE), NOW) == pytest.approx(0.5)
    assert weight_at(NOW + timedelta(days=1), NOW) == 1
    new, old = (
        of(Found([made(age + k, "trim_worn") for k in range(9)]).unit("North", "V-1", WARM), "trim_worn")
        for age in (0, 3650)
    )
    assert new.rate > old.rate > old.book
    assert new.here == old.here == 9


def test_a_cause_that_seldom_brings_a_complaint_is_expected_less():
    """What is expected is the base rate times how surely somebody complains, over all causes."""
    told = dict(zip(EXPECTED.causes, EXPECTED.complained_of, strict=True))
    assert told["supply_lost"] > told["supply_frozen"] > 0
    assert told[f"{UNLISTED}wont_open"] > 0.7
    shares = dict(zip(EXPECTED.causes, EXPECTED.shares([WARM])[0], strict=True))
    base = {name: BOOK.causes[name].base for name in ("supply_lost", "stem_stuck")}
    by_hand = base["supply_lost"] * told["supply_lost"] / (base["stem_stuck"] * told["stem_stuck"])
    assert shares["supply_lost"] / shares["stem_stuck"] == pytest.approx(by_hand)


def test_minutes_are_the_gamma_posterior():
    """A check that takes twice the book's minutes; scipy.stats.invgamma is the reference."""
    usual = BOOK.checks["drop_seen"].minutes
    timed = [made(0, "trim_worn", checks=(MadeCheck("drop_seen", "no", 2 * usual),)) for _ in range(20)]
    (found,) = minutes_of(BOOK, timed, NOW)
    theirs = stats.invgamma(TIMES_SHAPE * (MINUTES_TRUST + 20) + 1, scale=TIMES_SHAPE * (MINUTES_TRUST + 40))
    assert (found.step, found.times) == ("drop_seen", 20)
    assert found.minutes == pytest.approx(usual * theirs.mean())
    assert (found.low, found.high) == pytest.approx((usual * theirs.ppf(0.05), usual * theirs.ppf(0.95)))
    assert usual < found.low < found.minutes < found.high


def test_minutes_that_nobody_knows_are_not_counted():
    """A check whose time says nothing, and a repair that the book gives no minutes."""
    assert minutes_of(BOOK, [made(0, "trim_worn", checks=(MadeCheck("drop_seen", "no", None),))], NOW) == ()


def test_the_odds_that_a_repair_holds_are_the_beta_posterior():
    """Three held and two did not, on top of the book's word; scipy.stats.beta is the reference."""
    tried = tuple(TriedRepair("trim_worn", 90, held) for held in (True, False, True, None, False, True))
    (found,) = takes_of(BOOK, [made(0, "trim_worn", repairs=tried)], NOW)
    book = strength(BOOK.causes["trim_worn"].repair.takes)
    theirs = stats.beta(TAKES_TRUST * book + 3, TAKES_TRUST * (1 - book) + 2)
    assert (found.held, found.failed) == (3, 2)
    assert found.takes == pytest.approx(theirs.mean())
    assert (found.low, found.high) == pytest.approx((theirs.ppf(0.05), theirs.ppf(0.95)))


def test_what_was_learned_goes_into_the_book():
    """Rates, minutes and odds stand in a new book; the old one, and the digest of its files, stay."""
    learned = Learned(
        times={"supply_frozen": 2.0, "trim_worn": 0.5, f"{UNLISTED}wont_open": 3.0},
        minutes={"drop_seen": 4.0, "trim_worn": 70.0},
        takes={"trim_worn": 0.6},
    )
    book = learned_book(BOOK, learned)
    assert book.digest == BOOK.digest
    assert book.causes["supply_frozen"].base == 2 * BOOK.causes["supply_frozen"].base
    assert book.causes["supply_frozen"].more_likely[0].base == 2 * 60
    assert book.causes["trim_worn"].repair.minutes == 70
    assert book.causes["trim_worn"].repair.takes == 0.6
    assert book.checks["drop_seen"].minutes == 4
    assert book.complaints["wont_open"].unlisted == 3 * BOOK.complaints["wont_open"].unlisted
    assert BOOK.causes["trim_worn"].repair.minutes == 90
    assert learned_book(BOOK, Learned()) is BOOK
    assert learned_book(BOOK, None) is BOOK


def test_a_factor_cannot_make_a_rate_impossible():
    """However much was learned, base rates stay below 1000 and chances below 1."""
    row = {"when": {"season": "cold"}, "chance": 0.4}
    book = tiny_book({"causes": {"trim_worn": {"more_likely": [row]}}})
    much = learned_book(book, Learned(times={"trim_worn": 500.0})).causes["trim_worn"]
    assert much.base < 1000
    assert much.more_likely[0].chance == pytest.approx(500 * 0.4 / (0.6 + 500 * 0.4))


def test_what_all_sites_say_can_be_kept_as_text():
    """To six digits: the rates from it are the same."""
    callouts = [made(9 * k, "trim_worn", unit=f"V-{k % 3}", site=f"S{k % 2}") for k in range(30)]
    found = Found(callouts)
    before = found.unit("S0", "V-0", WARM)
    found.everywhere = from_text(kept_text(found.everywhere))
    after = found.unit("S0", "V-0", WARM)
    assert [rate.rate for rate in after.rates] == pytest.approx(
        [rate.rate for rate in before.rates], rel=1e-4
    )
    assert (after.callouts, after.callouts_at_site, after.spreads) == (5, 15, before.spreads)


def test_a_callout_keeps_what_differs_from_the_book():
    """Three digits, nothing that is as the book says, and never a certain repair."""
    minutes = minutes_of(BOOK, [made(0, "trim_worn", repairs=(TriedRepair("trim_worn", 130, True),))], NOW)
    takes = takes_of(BOOK, [made(0, "trim_worn", repairs=(TriedRepair("trim_worn", 90, True),) * 9999)], NOW)
    found = Found([made(k, "trim_worn") for k in range(30)]).unit("North", "V-1", WARM)
    learned = learned_of(found, minutes, takes)
    assert learned.times["trim_worn"] > 2
    assert learned.counts == {"trim_worn": (30, 30)}
    assert learned.callouts == (30, 30)
    assert learned.takes["trim_worn"] < 1
    assert learned.minutes == {"trim_worn": pytest.approx(minutes[0].minutes, rel=0.005)}
    assert learned.rests_on("trim_worn") == "30 here, 30 in all"


def test_facts_that_hang_on_each_other_are_averaged_together():
    """Exactly what the network says of a cause before anything is known or seen; also of the shipped book."""
    for book, facts in (
        (BOOK, {"fails": "open"}),
        (load_book(), {}),
        (load_book(), {"acting": "indirect", "supply_medium": "air"}),
    ):
        exact = Reasoner(book, facts).beliefs(Evidence()).causes
        weights = Expected(book)
        ours = weights.shares([facts])[0] / weights.complained_of
        theirs = np.array([exact[name] for name in weights.causes])
        assert ours / ours.sum() == pytest.approx(theirs / theirs.sum(), rel=1e-6)
