"""Plants from sheets: what is built, and what is refused and why."""

import pytest

from diagnose.calculators.displacer import DISPLACER
from diagnose.calculators.run import work
from diagnose.rig.displacing import pull
from diagnose.rig.plant import CannotBuild, plant_of
from diagnose.sheet import read_sheet
from diagnose.units import to_si
from knowledge.book import EXAMPLES
from tests.diagnose.rig.plants import INTERFACE, PAIRINGS, sheet

REFUSED = {
    "long-draw-v7": "floats",
    "quail-run-v5": "too low to lift",
    "stone-gap-v31": "ports are piped for throttle",
}
"""The examples that cannot work as they are, and a word of the reason."""


@pytest.mark.parametrize("name", sorted(path.stem for path in EXAMPLES.glob("*.yaml")))
def test_examples_are_built_or_refused_with_their_reason(name):
    """The three examples with a fault in the sheet itself are refused for it, all others are built."""
    values = read_sheet(name)[0].values()
    if name not in REFUSED:
        assert plant_of(values).vessel.level > 0
        return
    with pytest.raises(CannotBuild, match=REFUSED[name]):
        plant_of(values)


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"valve__fails": "open"}, "wrong way round"),
        (
            {"controller__lever_side": "left", "controller__displacer_side": "left"},
            "lever is on the wrong",
        ),
        ({"controller__spring_side": "left", "controller__displacer_side": "right"}, "cannot balance"),
        ({"displacer__needed_force": to_si(9, "lbf")}, "too weak"),
        ({"vessel__inflow": to_si(9000, "bbl/d")}, "come in"),
        ({"valve__bench_high": to_si(1, "psi")}, "ends below"),
        ({"valve__bench_low": to_si(0.1, "psi")}, "cannot shut the valve: its spring"),
        ({"valve__bench_low": to_si(21, "psi"), "valve__bench_high": to_si(30, "psi")}, "its supply is weak"),
        ({"supply__upstream": to_si(10, "psi")}, "before the regulator"),
        ({"vessel__level": to_si(40, "in")}, "above the vessel's top"),
        ({"vessel__high_trip": to_si(15, "in"), "vessel__low_trip": to_si(13, "in")}, "wider than"),
        ({"vessel__level": to_si(2, "in")}, "does not fit"),
    ],
)
def test_what_cannot_work_is_refused_with_its_reason(more, why):
    """One wrong number of a good sheet, and the message names what is wrong."""
    with pytest.raises(CannotBuild, match=why):
        plant_of(sheet(**more))


def test_two_liquids_that_weigh_the_same_are_refused():
    """A displacer cannot feel where one ends."""
    with pytest.raises(CannotBuild, match="no lighter"):
        plant_of({**INTERFACE, "service.density": 900.0, "service.upper_density": 900.0})


@pytest.mark.parametrize("pairing", PAIRINGS)
@pytest.mark.parametrize("more", [{}, INTERFACE])
def test_pull_agrees_with_the_displacer_calculator(pairing, more):
    """Bare and covered, in gas or in the lighter liquid, the arm feels what the calculator says."""
    plant = plant_of({**sheet(pairing), **more})
    own, liquids = plant.displacer, plant.liquids
    given = {"diameter": own.diameter, "length": own.length, "hung": own.hung, "weight": own.mass}
    told = work(DISPLACER, {**given, "density": liquids.lower, "upper_density": liquids.upper})
    top = 10.0 if liquids.upper else 0.0
    assert pull(own, liquids, 0.0, top) == pytest.approx(told["pull_bare"])
    assert pull(own, liquids, 10.0, 10.0) == pytest.approx(told["pull_covered"])
