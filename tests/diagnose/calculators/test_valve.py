"""Flow through the dump valve, its Cv, and the time of a dump, against other sources."""

import math

import fluids.control_valve as reference
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.calculators.base import Calculation, CannotWork, Value
from diagnose.calculators.valve import VALVE
from diagnose.calculators.valve_flow import (
    KV_OF_CV,
    WATER_CRITICAL,
    critical_ratio_factor,
    cv_for,
    cycle_time,
    dump_time,
    flow_state,
    flow_through,
    water_vapour_pressure,
)
from diagnose.units import Absolute, to_si

QUICK = settings(derandomize=True, max_examples=60, deadline=None)
ISA = "ISA-75.01.01-2007, example 1 (as fluids gives it)"
FLUIDS = "fluids.control_valve, a general library"


def isa_example(downstream: float = 220e3) -> tuple[Absolute, Absolute, Absolute, Absolute, float]:
    """Water of 965.4 kg/m3, as in the first worked example of the standard."""
    return Absolute(680e3), Absolute(downstream), Absolute(70.1e3), Absolute(22_120e3), 0.9


def edge_of_choking() -> float:
    """Downstream pressure at which the flow of fluids' own test chokes."""
    state = flow_state(Absolute(680e3), Absolute(0.0), Absolute(69_682.9), Absolute(22_048_320.0), 0.6)
    return 680e3 - state.choking_drop


def kv(flow: float, upstream: float, downstream: float, vapour: float, f_l: float) -> float:
    """Kv for water at that flow."""
    state = flow_state(Absolute(upstream), Absolute(downstream), Absolute(vapour), WATER_CRITICAL, f_l)
    return cv_for(flow, state.counted_drop, 965.4) * KV_OF_CV


def fluids_kv(flow: float, upstream: float, downstream: float, vapour: float, f_l: float) -> float:
    """The same by the library."""
    return float(
        reference.size_control_valve_l(
            rho=965.4, Psat=vapour, Pc=WATER_CRITICAL, mu=1e-3, P1=upstream, P2=downstream, Q=flow, FL=f_l
        )
    )


OUTSIDE = [
    ("F_F of water", critical_ratio_factor(Absolute(70.1e3), Absolute(22_120e3)), 0.944, ISA, 5e-4),
    ("choking drop, kPa", flow_state(*isa_example()).choking_drop / 1000, 497.2, ISA, 2e-4),
    (
        "Kv for 360 m3/h",
        cv_for(0.1, flow_state(*isa_example()).counted_drop, 965.4) * KV_OF_CV,
        165.0,
        ISA,
        3e-3,
    ),
    ("downstream where it chokes, Pa", edge_of_choking(), 458_887.5, "fluids tests", 1e-6),
    *(
        (
            f"Kv, {upstream / 1e5:g} to {downstream / 1e5:g} bar, F_L {f_l}",
            kv(0.01, upstream, downstream, vapour, f_l),
            fluids_kv(0.01, upstream, downstream, vapour, f_l),
            FLUIDS,
            1e-4,
        )
        for upstream, downstream, vapour, f_l in (
            (5e5, 4e5, 2e3, 0.9),
            (20e5, 1e5, 2e3, 0.9),
            (20e5, 1e5, 2e3, 0.6),
            (50e5, 10e5, 20e5, 0.85),
            (10e5, 1e5, 10e5, 0.9),
        )
    ),
    *(
        (
            f"vapour pressure of water at {celsius} degC, Pa",
            water_vapour_pressure(celsius + 273.15),
            float(PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")),
            "CoolProp, IAPWS-95",
            2e-4,
        )
        for celsius in (1, 20, 50, 100, 180)
    ),
]


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "tolerance"), OUTSIDE)
def test_agrees_with_the_outside_source(case, ours, theirs, source, tolerance):
    """Each value agrees with the source named beside it."""
    assert ours == pytest.approx(theirs, rel=tolerance), f"{case}: {source}"


def test_first_worked_example_is_neither_choked_nor_flashing():
    """ISA-75.01.01-2007, example 1: not choked."""
    state = flow_state(*isa_example())
    assert (state.choked, state.flashing) == (False, False)


def test_kv_agrees_with_the_library_over_the_range():
    """Four hundred drops, vapour pressures and valves, choked and not, with `fluids`."""
    worst = 0.0
    for upstream in np.geomspace(2e5, 1e7, 5):
        for share_down in np.linspace(0.02, 0.98, 8):
            for share_vapour in (0.001, 0.05, 0.5, 0.98, 1.0):
                for f_l in (0.5, 0.95):
                    case = (0.01, upstream, upstream * share_down, upstream * share_vapour, f_l)
                    worst = max(worst, abs(kv(*case) / fluids_kv(*case) - 1))
    assert worst < 1e-4


def test_vapour_pressure_of_water_agrees_with_coolprop_over_the_range():
    """From the triple point to the critical one."""
    for temperature in np.linspace(273.17, 647.0, 60):
        theirs = PropsSI("P", "T", float(temperature), "Q", 0, "Water")
        assert water_vapour_pressure(float(temperature)) == pytest.approx(theirs, rel=2e-4)


pressures = st.floats(1e5, 1e7)
shares = st.floats(0.0, 1.0)


@QUICK
@given(pressures, shares, shares, shares, st.floats(0.1, 1.0))
def test_more_drop_never_brings_less_flow(upstream, one, other, vapour, f_l):
    """The flow grows with the drop until it chokes, and then stays."""
    wet = Absolute(upstream * vapour)
    drops = [
        flow_state(Absolute(upstream), Absolute(upstream * share), wet, WATER_CRITICAL, f_l).counted_drop
        for share in sorted((one, other))
    ]
    flows = [flow_through(5.0, drop, 850.0) for drop in drops]
    assert flows[0] >= flows[1]


@QUICK
@given(st.floats(1e-6, 0.1), st.floats(1e3, 1e7), st.floats(300, 1300))
def test_cv_and_flow_are_each_other_the_other_way_round(flow, drop, density):
    """The Cv needed for a flow passes that flow."""
    assert flow_through(cv_for(flow, drop, density), drop, density) == pytest.approx(flow, rel=1e-12)


@QUICK
@given(st.floats(0.001, 10), st.floats(1e-4, 1e-2), st.floats(0.01, 0.99))
def test_what_comes_in_over_a_cycle_goes_out_in_its_dump(volume, outflow, share):
    """Conservation: inflow times the cycle is outflow times the dump."""
    inflow = share * outflow
    out = outflow * dump_time(volume, outflow, inflow)
    assert inflow * cycle_time(volume, outflow, inflow) == pytest.approx(out, rel=1e-9)


def test_dump_never_ends_when_as_much_comes_in():
    """Equal flows never empty it, and no inflow never fills it."""
    assert dump_time(1.0, 0.01, 0.01) == math.inf
    assert cycle_time(1.0, 0.01, 0.0) == math.inf


def run(**more: Value) -> Calculation:
    """A water valve, 100 psi to 20 psi, with other inputs in place of the usual ones."""
    usual = {entry.name: entry.usual for entry in VALVE.inputs if entry.usual is not None}
    first = {
        "upstream": to_si(100, "psi"),
        "downstream": to_si(20, "psi"),
        "density": 1000.0,
        "liquid": "water",
    }
    return VALVE.work({**usual, **first, **more})


def told(result: Calculation) -> str:
    """All its notes."""
    return " ".join(result.notes)


def test_plain_water_valve_by_hand():
    """Cv 5 at 80 psi: 5 times the root of 80 gallons a minute of water at 15 degC."""
    result = run(cv=5.0, density=999.10)
    assert result["flow"] == pytest.approx(to_si(5 * math.sqrt(80), "gpm"), rel=1e-4)
    assert (result["choked"], result["flashing"], result.in_range) == (False, False, True)
    assert "those of clean water" in told(result)


def test_oil_at_its_vessel_pressure_flashes_and_the_flow_lies_between_two():
    """Oil is ready to boil, so it chokes early; dead oil passes more."""
    result = run(cv=5.0, liquid="oil", density=850.0)
    assert result["choked"]
    assert result["flashing"]
    assert result["flow"] < result["flow_without_boiling"]
    dead = run(cv=5.0, liquid="oil", density=850.0, vapour_pressure=10e3)
    assert dead["flow"] == pytest.approx(result["flow_without_boiling"])
    assert not dead["flashing"]
    assert "It flashes" in told(result)
    assert "vapour pressure is taken as the vessel's own pressure" in told(result)


def test_capacity_that_hangs_on_the_boiling_says_so():
    """An inflow between the two flows is too much by the lower one, and the note tells of the higher."""
    both = run(cv=5.0, liquid="oil", density=850.0)
    between = (both["flow"] + both["flow_without_boiling"]) / 2
    result = run(cv=5.0, liquid="oil", density=850.0, inflow=between)
    assert result["capacity"] == "too_little"
    assert "by the higher one it would be enough" in told(result)
    assert "higher one" not in told(run(cv=5.0, liquid="oil", density=850.0, inflow=both["flow"] / 2))


def test_choked_but_not_flashing_is_named_cavitation():
    """Cold water from 500 psi down to the atmosphere through a valve with a low F_L."""
    result = run(cv=5.0, upstream=to_si(500, "psi"), downstream=0.0, f_l=0.6)
    assert (result["choked"], result["flashing"]) == (True, False)
    assert "It cavitates" in told(result)


def test_dump_answers_by_hand():
    """1 bbl a dump, 240 bbl/d in: 240 dumps a day, six minutes apart."""
    result = run(cv=5.0, inflow=to_si(240, "bbl/d"), dump_volume=to_si(1, "bbl"))
    outflow = result["flow"] - to_si(240, "bbl/d")
    assert result["dump_time"] == pytest.approx(to_si(1, "bbl") / outflow)
    filling = 360.0
    assert result["cycle_time"] == pytest.approx(filling + result["dump_time"])
    assert result["cycles_per_day"] == pytest.approx(86_400 / result["cycle_time"])
    assert (result["capacity"], result["short_cycle"]) == ("enough", False)


def test_short_cycle_is_told_with_its_limit():
    """A twentieth of a barrel every twenty seconds or so."""
    result = run(cv=5.0, inflow=to_si(240, "bbl/d"), dump_volume=to_si(0.05, "bbl"))
    assert result["short_cycle"]
    assert "more than once in 60 s" in told(result)
    assert "common practice, no source" in told(result)


def test_too_small_a_valve_is_told_with_the_cv_that_it_takes():
    """With the Cv that is needed in place of its own it just passes the inflow."""
    inflow = to_si(5000, "bbl/d")
    result = run(cv=1.0, inflow=inflow, dump_volume=0.1)
    assert result["capacity"] == "too_little"
    assert not {"dump_time", "cycle_time", "short_cycle"} & {answer.name for answer in result.answers}
    assert run(cv=result["cv_needed"])["flow"] == pytest.approx(inflow)
    assert run(cv=result["cv_needed"] * 1.001, inflow=inflow)["capacity"] == "enough"
    just = run(cv=5.0, inflow=run(cv=5.0)["flow"])
    assert just["capacity"] == "too_little", "what only keeps up never brings the level down"


def test_the_lower_liquid_of_an_interface_counts_as_water():
    """At an interface the water is dumped."""
    assert run(cv=5.0, liquid="interface").answers == run(cv=5.0, liquid="water").answers


def test_a_thinner_atmosphere_chokes_earlier():
    """Gauge pressures stay, the absolute ones fall with the site's height."""
    high = run(cv=5.0, liquid="oil", atmosphere=70e3)
    assert high["choking_drop"] < run(cv=5.0, liquid="oil")["choking_drop"]


def test_no_drop_gives_no_flow_and_says_so():
    """The pressure after the valve is as high as before it."""
    result = run(cv=5.0, downstream=to_si(120, "psi"), inflow=0.001)
    assert (result["flow"], result["capacity"]) == (0.0, "too_little")
    assert "No pressure is left" in told(result)
    with pytest.raises(KeyError, match="cv_needed"):
        result["cv_needed"]


def test_outside_the_range_it_says_so():
    """Oil above hexane's critical pressure; frozen water."""
    heavy = run(cv=5.0, liquid="oil", upstream=to_si(1000, "psi"))
    assert not heavy.in_range
    assert "above the critical pressure" in told(heavy)
    assert run(cv=5.0, liquid="oil", upstream=to_si(1000, "psi"), critical_pressure=1e7).in_range
    frozen = run(cv=5.0, temperature=260.0)
    assert not frozen.in_range
    assert "frozen" in told(frozen)


def test_inputs_that_make_no_sense_together_name_the_edit():
    """Nothing to work out; a liquid that boils in the vessel."""
    with pytest.raises(CannotWork, match=r"give cv to get the flow, or wanted \(or inflow\)"):
        run()
    with pytest.raises(CannotWork, match="boils in the vessel: read vapour_pressure"):
        run(cv=5.0, vapour_pressure=2e6)
