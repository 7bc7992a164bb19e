"""The curves of the calculators agree with their answers."""

from itertools import pairwise

import pytest

from diagnose.calculators.curves import DRAWN, charts_of
from diagnose.calculators.run import calculate
from diagnose.derived import derived
from diagnose.sheet import read_sheet
from diagnose.units import from_si
from tests.tui.driver import ROOT

VALUES = derived(read_sheet(ROOT / "knowledge/examples/willow-flat-v210.yaml")[0].values())


def crossing(points, level):
    """Where a line of points crosses a height."""
    for (x1, y1), (x2, y2) in pairwise(points):
        if min(y1, y2) <= level <= max(y1, y2) and y1 != y2:
            return x1 + (level - y1) / (y2 - y1) * (x2 - x1)
    raise AssertionError("it does not cross")


def marks(chart):
    return {mark.label: mark.value for mark in chart.marks}


@pytest.mark.parametrize("fails", ["closed", "open"])
@pytest.mark.parametrize("flow", ["under", "over"])
def test_the_force_crosses_the_friction_where_the_stem_starts_to_move(fails, flow):
    """At its seat up past the friction it starts to open, wide open down past it it starts to close."""
    result = calculate("actuator", [f"fails={fails}", f"flow={flow}", "drop=20 psi"], VALUES)
    (chart,) = charts_of(result)
    seat, wide = (series.points for series in chart.series)
    friction = from_si(float(result.inputs["friction"]), "lbf")
    for points, height, name in (
        (seat, friction, "starts_to_open"),
        (wide, friction, "fully_open"),
        (wide, -friction, "starts_to_close"),
        (seat, -friction, "fully_shut"),
    ):
        expected = from_si(result[name], "psi")
        if expected >= 0:
            assert crossing(points, height) == pytest.approx(expected)
            assert marks(chart)[name.replace("_", " ")] == pytest.approx(expected)


def test_the_level_is_at_the_trip_when_the_minutes_are_over():
    """The drawn level meets the mark at the time of the answer."""
    result = calculate("vessel", [], VALUES)
    (chart,) = charts_of(result)
    trip = from_si(float(result.inputs["high_trip"]), "in")
    assert crossing(chart.series[0].points, trip) == pytest.approx(result["to_high_trip"] / 60, rel=2e-3)
    assert chart.series[0].points[0] == (0.0, pytest.approx(from_si(float(result.inputs["level"]), "in")))


@pytest.mark.parametrize("hung", ["upright", "flat"])
def test_a_throttling_output_is_full_at_the_span_and_goes_there_without_a_step_back(hung):
    """Full output where the answer says, and never falling on the way."""
    result = calculate("displacer", [f"hung={hung}"], VALUES)
    (chart,) = charts_of(result, {"controller.action": "throttle"})
    points = chart.series[0].points
    assert [y for _, y in points] == sorted(y for _, y in points)
    span = from_si(result["span"], "in")
    assert [round(y) for x, y in points if x >= span] == [100] * sum(x >= span for x, _ in points)
    assert all(y < 100 for x, y in points if x < span * 0.99)


def test_a_snap_output_has_a_dead_band_as_wide_as_the_span():
    """It goes up at the top of the span and comes down at its bottom."""
    result = calculate("displacer", [], VALUES)
    (chart,) = charts_of(result, {"controller.action": "snap"})
    up, down = (series.points for series in chart.series)
    assert up[1][0] - down[1][0] == pytest.approx(from_si(result["span"], "in"))


def test_indirect_acting_turns_the_output_round():
    """Full when the displacer is bare."""
    result = calculate("displacer", [], VALUES)
    (chart,) = charts_of(result, {"controller.action": "snap", "controller.acting": "indirect"})
    assert chart.series[0].points[0] == (0.0, 100.0)


def test_an_unknown_action_is_drawn_both_ways():
    """Two charts, each with its name."""
    charts = charts_of(calculate("displacer", [], VALUES))
    assert [chart.title.rpartition(" ")[2] for chart in charts] == ["snap", "throttle"]


def test_a_displacer_that_is_too_weak_never_gets_there():
    """The output ends short of full, and a note says so."""
    result = calculate("displacer", ["needed_force=9 lbf"], VALUES)
    (chart,) = charts_of(result, {"controller.action": "throttle"})
    assert chart.series[0].points[-1][1] < 100
    assert "too weak" in chart.notes[0]
    (snap,) = charts_of(result, {"controller.action": "snap"})
    assert {y for _, y in snap.series[0].points} == {0.0}


def test_no_curve_without_what_it_needs():
    """No flow, no time; and a calculator without a curve has none."""
    values = {name: value for name, value in VALUES.items() if name != "vessel.inflow"}
    assert charts_of(calculate("vessel", [], values)) == ()
    assert charts_of(calculate("gauge", ["reading=10 psi", "range=60 psi", "grade=B"])) == ()
    assert set(DRAWN) == {"displacer", "actuator", "vessel"}
