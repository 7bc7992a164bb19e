"""A unit played healthy and faulted, side by side."""

import pytest

from diagnose.rig.seeing import CURVES, POINTS, fault_table, played
from knowledge.problems import InputProblems
from tests.diagnose.rig.plants import sheet


def test_both_plants_are_shown_and_only_the_faulted_one_floods():
    """A shut supply on a valve that fails closed: the healthy unit dumps, the other does not."""
    seen = played(sheet(), ["supply_shut"], minutes=20)
    assert [curve.name for curve in seen.curves] == list(CURVES)
    assert seen.dumps[0] >= 1
    assert seen.dumps[1] == 0
    level = seen.curves[0]
    assert max(level.faulted) > max(level.healthy)
    assert {len(curve.healthy) for curve in seen.curves} == {POINTS}


def test_without_a_fault_only_the_healthy_plant_is_shown():
    """One count of dumps, and no second curve."""
    seen = played(sheet(), minutes=5)
    assert len(seen.dumps) == 1
    assert {curve.faulted for curve in seen.curves} == {()}


def test_the_same_seed_shows_the_same():
    """And another seed another inflow."""
    one, same, other = (played(sheet(), ["foam"], minutes=5, seed=seed) for seed in (3, 3, 4))
    assert one == same
    assert one.curves != other.curves


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            {"faults": ["vent_bloked"]},
            r"--fault: the rig has no fault 'vent_bloked'\. Did you mean vent_blocked\?",
        ),
        ({"faults": ["foam"], "severity": 0.0}, "--severity: 0 is not above 0"),
        ({"minutes": 1000.0}, "--minutes: 1000 is not from 1 to 600"),
    ],
)
def test_what_cannot_be_played_is_said(given, said):
    """With the place and the mend."""
    with pytest.raises(InputProblems, match=said):
        played(sheet(), **given)


def test_every_fault_says_what_it_does():
    """For a reader of the table."""
    table = fault_table()
    assert len(table) >= 80
    assert all(table.values())
