"""A sweep is the same for the same seed, whatever the number of processes, and goes on where it stopped."""

from dataclasses import replace

import pytest

from diagnose.rig.faults import FAULTS
from diagnose.trial.policies import BEST, HALFSPLIT, TABLE
from diagnose.trial.set_ups import SHEETS
from diagnose.trial.sweep import COMPARED, Kept, Result, Trial, looked_for, read_result, sweep, trials
from diagnose.trial.sweep_report import minutes_by_complaint, report
from diagnose.trial.working import Bill
from knowledge.book import load_book

SOLVED = Trial("snap_direct_water", (("supply_shut", 1.0),), 0)


def bill(minutes, ended="cured", **more):
    """A bill of so many minutes."""
    return Bill(minutes=minutes, ended=ended, **more)


def result(fault, minutes, **more):
    """A result with the same bill for each policy but for halfsplit's."""
    bills = {name: bill(100.0) for name in COMPARED} | {HALFSPLIT: bill(minutes, **more)}
    return Result(Trial("snap_direct_water", ((fault, 1.0),), 0), "wont_open", bills)


@pytest.fixture(scope="module")
def book():
    """The shipped book."""
    return load_book()


def test_every_fault_stands_alone_at_two_severities_in_every_set_up_and_there_are_300_pairs(book):
    every = trials(book, 0)
    singles = [trial for trial in every if len(trial.faults) == 1]
    assert {trial.set_up for trial in singles} == set(SHEETS)
    assert {trial.faults[0][0] for trial in singles} == set(FAULTS) & set(book.causes)
    assert len({trial.key for trial in every}) == len(every)
    assert 296 <= len(every) - len(singles) <= 304


def test_a_sample_is_part_of_the_whole_and_the_same_for_the_same_seed(book):
    part = trials(book, 5, 0.1)
    assert part == trials(book, 5, 0.1)
    assert set(part) < set(trials(book, 5))
    assert 0.07 < len(part) / len(trials(book, 5)) < 0.13
    assert {trial.faults for trial in part} != {trial.faults for trial in trials(book, 6, 0.1)}


@pytest.fixture(scope="module")
def solved():
    """One trial, worked here."""
    return looked_for(SOLVED)


def test_a_shut_supply_is_found_by_looking_and_costs_less_than_the_table(solved):
    own = solved.bills[HALFSPLIT]
    assert solved.complaint == "wont_open"
    assert solved.found
    assert own.checks > 0
    assert solved.bills[BEST].minutes <= own.minutes
    assert set(solved.bills) == set(COMPARED)


def test_a_result_read_back_is_the_same(solved):
    assert read_result(solved.line()) == solved


def test_other_processes_come_to_the_same(solved):
    (again,) = sweep([SOLVED], 1)
    assert again == solved


def test_what_was_kept_is_not_worked_again_and_a_line_cut_short_is_left_out(tmp_path, solved):
    kept = Kept(tmp_path / "deep" / "sweep.jsonl", 0, "digest")
    kept.begin()
    marked = replace(solved, complaint="marked")
    kept.add(marked)
    kept.add(result("vent_blocked", 5.0))
    path = tmp_path / "deep" / "sweep.jsonl"
    path.write_text(path.read_text()[:-20])
    assert kept.read() == [marked]
    assert list(sweep([SOLVED], 1, kept.read())) == [marked]
    kept.begin()
    assert kept.read() == [marked]


@pytest.mark.parametrize(("seed", "digest"), [(1, "digest"), (0, "another")])
def test_results_of_another_seed_or_book_are_not_taken(tmp_path, solved, seed, digest):
    path = tmp_path / "sweep.jsonl"
    Kept(path, 0, "digest").begin()
    Kept(path, 0, "digest").add(solved)
    assert Kept(path, seed, digest).read() == []


def test_found_is_cured_without_opening_the_vessel_for_nothing():
    said = report(
        [
            result("a", 50.0, first_guess="a"),
            result("b", 70.0, wrong=1, wrong_open=1, first_guess="x"),
            result("c", 90.0, ended="help"),
            Result(Trial("snap_direct_water", (("d", 1.0),), 0), "", {}),
        ]
    )
    (kind,) = said.kinds
    own = next(row for row in kind.rows if row.policy == HALFSPLIT)
    assert (kind.cases, kind.silent) == (3, 1)
    assert (own.cured, own.found, own.guessed) == pytest.approx((2 / 3, 1 / 3, 1 / 3))
    assert own.minutes == pytest.approx(70.0)
    found, table, best = said.bars
    assert (found.reached, found.met) == (pytest.approx(1 / 3), False)
    assert (table.reached, table.met) == (pytest.approx(0.7), False)
    assert (best.reached, best.met) == (pytest.approx(0.7), True)
    assert said.missed == (("b", 1, 1), ("c", 1, 1))
    assert [r.trial.faults[0][0] for r in said.worst] == ["c", "b", "a"]
    assert minutes_by_complaint(said.worst) == {"wont_open": pytest.approx(70.0)}


def test_the_order_of_the_results_does_not_matter():
    some = [result("a", 50.0), result("b", 70.0), result("c", 60.0)]
    assert report(some) == report(reversed(some))


def test_a_sweep_in_which_nothing_shows_has_no_report():
    silent = Result(Trial("snap_direct_water", (("d", 1.0),), 0), "", {})
    with pytest.raises(ValueError, match="no case"):
        report([silent])


def test_the_table_and_the_clairvoyant_are_among_those_compared():
    assert {TABLE, BEST} < set(COMPARED)
