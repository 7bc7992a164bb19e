"""The actuator against a force balance written anew and solved with scipy, and the laws of its pressures."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from diagnose.calculators.actuator import ACTUATOR, Stroke
from diagnose.calculators.base import Calculation, CannotWork, Value
from diagnose.calculators.run import work

STEADY = settings(max_examples=120, deadline=None, derandomize=True)
SOURCE = "force balance solved with scipy.optimize.brentq"
MARKS = Stroke._fields

COMMON: dict[str, Value] = {
    "fails": "closed",
    "area": 0.025,
    "bench_low": 40e3,
    "bench_high": 100e3,
    "seat": 0.03,
    "flow": "over",
    "drop": 500e3,
    "supply": 140e3,
    "friction": 130.0,
}


@st.composite
def valves(draw) -> dict[str, Value]:
    """Any actuator on any valve, however foolish."""
    low = draw(st.floats(10e3, 100e3))
    return {
        "fails": draw(st.sampled_from(("closed", "open"))),
        "flow": draw(st.sampled_from(("under", "over"))),
        "area": draw(st.floats(0.005, 0.1)),
        "bench_low": low,
        "bench_high": low + draw(st.floats(10e3, 150e3)),
        "seat": draw(st.floats(0.005, 0.06)),
        "drop": draw(st.floats(0.0, 5e6)),
        "supply": draw(st.floats(0.0, 300e3)),
        "friction": draw(st.floats(0.0, 500.0)),
    }


def run(**more: Value) -> Calculation:
    """A valve that fails closed with flow over the plug, with ``more`` said of it."""
    return work(ACTUATOR, {**COMMON, **more})


def upward_force(valve: dict[str, Value], pressure: float, opened: float, moving: int) -> float:
    """Net force on the stem, N, upward, with the plug above its seat: up is open.

    Written apart from the calculator, with a real spring: its rate and its preload come from the bench test,
    in which the diaphragm alone holds it. Air under the diaphragm lifts a valve that fails closed, whose
    spring lies above; air over it presses down one that fails open, whose spring lies below. ``moving`` is
    +1 on its way up, -1 on its way down.
    """
    area, low, high = valve["area"], valve["bench_low"], valve["bench_high"]
    travel = 0.02
    rate = (high - low) * area / travel
    if valve["fails"] == "closed":
        diaphragm, spring = pressure * area, -(low * area + rate * opened * travel)
    else:
        diaphragm, spring = -pressure * area, low * area + rate * (1 - opened) * travel
    port = math.pi * (valve["seat"] / 2) ** 2
    upstream_below = valve["flow"] == "under"
    liquid = valve["drop"] * port if upstream_below else -valve["drop"] * port
    return diaphragm + spring + liquid - moving * valve["friction"]


def balanced(valve: dict[str, Value], opened: float, moving: int) -> float:
    """Diaphragm pressure at which the stem just goes on moving there, Pa."""
    return float(brentq(lambda p: upward_force(valve, p, opened, moving), -1e9, 1e9, xtol=1e-6))


def marks_by_balance(valve: dict[str, Value]) -> dict[str, float]:
    """The four pressures of the stroke, by solving for each."""
    return {
        "starts_to_open": balanced(valve, 0.0, +1),
        "fully_open": balanced(valve, 1.0, +1),
        "starts_to_close": balanced(valve, 1.0, -1),
        "fully_shut": balanced(valve, 0.0, -1),
    }


def _outside() -> list[tuple[str, float, float, str, float]]:
    rows = []
    for fails in ("closed", "open"):
        for flow in ("under", "over"):
            valve = {**COMMON, "fails": fails, "flow": flow}
            found, theirs = run(fails=fails, flow=flow), marks_by_balance(valve)
            rows += [
                (f"fails {fails}, flow {flow}: {name}, Pa", found[name], theirs[name], SOURCE, 1e-9)
                for name in MARKS
            ]
    return rows


OUTSIDE: list[tuple[str, float, float, str, float]] = _outside()


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "tolerance"), OUTSIDE)
def test_agrees_with_outside_values(case, ours, theirs, source, tolerance):
    """For each fail position and flow direction the four pressures are those of the solved balance."""
    assert ours == pytest.approx(theirs, rel=tolerance), f"{case}: {source}"


@STEADY
@given(valves())
def test_pressures_are_those_of_the_solved_balance(valve):
    """For any valve the four pressures, the seat load and the word agree with the balance."""
    found, theirs = run(**valve), marks_by_balance(valve)
    for name in MARKS:
        assert found[name] == pytest.approx(theirs[name], rel=1e-7, abs=1e-2), name
    shut_pressure = 0.0 if valve["fails"] == "closed" else valve["supply"]
    assert found["seat_load"] == pytest.approx(
        -upward_force(valve, shut_pressure, 0.0, -1), rel=1e-9, abs=1e-6
    )


@STEADY
@given(valves())
def test_the_word_is_what_the_net_force_does(valve):
    """It opens if the best the controller can do lifts the plug, and shuts if the best it can do seats it."""
    best_open = valve["supply"] if valve["fails"] == "closed" else 0.0
    best_shut = 0.0 if valve["fails"] == "closed" else valve["supply"]
    lifts = upward_force(valve, best_open, 0.0, +1) >= 0
    seats = upward_force(valve, best_shut, 0.0, -1) <= 0
    word = "cannot_open" if not lifts else "opens" if seats else "cannot_shut"
    assert run(**valve)["can"] == word


@STEADY
@given(valves())
def test_opens_as_far_as_the_forces_balance(valve):
    """Part of the way open, the stem stands where the solved balance has it stand."""
    pressure = valve["supply"] if valve["fails"] == "closed" else 0.0

    def net(opened: float) -> float:
        return upward_force(valve, pressure, opened, +1)

    theirs = 0.0 if net(0.0) <= 0 else 1.0 if net(1.0) >= 0 else brentq(net, 0.0, 1.0)
    assert run(**valve)["opens_to"] == pytest.approx(theirs, abs=1e-9)


@STEADY
@given(valves(), st.floats(0.0, 100e3))
def test_more_supply_never_hurts(valve, more):
    """More supply only ever widens the margin, opens it further, seats it harder, bears a larger drop."""
    less, plenty = run(**valve), run(**{**valve, "supply": valve["supply"] + more})
    names = {answer.name for answer in less.answers}
    for name in ("margin", "opens_to", "seat_load", "largest_drop_open", "largest_drop_shut"):
        if name in names:
            assert plenty[name] >= less[name] - 1e-9, name
    worse = {"cannot_open", "cannot_shut"}
    assert less["can"] in worse or plenty["can"] not in worse


@STEADY
@given(valves(), st.floats(1e3, 1e6))
def test_drop_shifts_all_four_pressures_alike(valve, more):
    """More drop moves each pressure the same way and as far: toward easy opening with flow under."""
    less, greater = run(**valve), run(**{**valve, "drop": valve["drop"] + more})
    shift = more * math.pi * (valve["seat"] / 2) ** 2 / valve["area"]
    lowers = (valve["fails"] == "closed") == (valve["flow"] == "under")
    for name in MARKS:
        moved = greater[name] - less[name]
        assert moved == pytest.approx(-shift if lowers else shift, rel=1e-6, abs=1e-4), name
    harder = greater["opens_to"] - less["opens_to"]
    assert harder <= 1e-12 if valve["flow"] == "over" else harder >= -1e-12


@STEADY
@given(valves())
def test_friction_parts_opening_from_shutting(valve):
    """At either end of the stroke the two ways lie twice the friction apart."""
    found = run(**valve)
    apart = 2 * valve["friction"] / valve["area"]
    sign = 1 if valve["fails"] == "closed" else -1
    assert sign * (found["starts_to_open"] - found["fully_shut"]) == pytest.approx(apart, abs=1e-4)
    assert sign * (found["fully_open"] - found["starts_to_close"]) == pytest.approx(apart, abs=1e-4)


@STEADY
@given(valves())
def test_largest_drop_is_the_edge(valve):
    """With a little less than the largest drop it still can; with a little more it cannot."""
    found = run(**valve)
    name, word = ("open", "cannot_open") if valve["flow"] == "over" else ("shut", "cannot_shut")
    most = found[f"largest_drop_{name}"]
    assert run(**{**valve, "drop": most * 1.001 + 1.0})["can"] != "opens"
    if most > 0:
        assert run(**{**valve, "drop": most * 0.999})["can"] != word


def test_no_largest_drop_is_named_where_the_drop_helps():
    """Flow under the plug helps it open, flow over helps it shut: neither then has a limit."""
    with pytest.raises(KeyError):
        run(flow="under")["largest_drop_open"]
    with pytest.raises(KeyError):
        run(flow="over")["largest_drop_shut"]


@pytest.mark.parametrize(
    ("said", "can", "words"),
    [
        ({}, "opens", "somebody watches the glass"),
        ({"supply": 40e3}, "cannot_open", "the supply is too weak"),
        ({"supply": 80e3}, "opens", "part of the way"),
        ({"flow": "under", "drop": 3e6}, "cannot_shut", "the spring is too weak"),
        ({"fails": "open"}, "opens", "It may slam"),
        ({"fails": "open", "drop": 6e6}, "cannot_open", "the spring is too weak"),
        ({"fails": "open", "flow": "under", "supply": 90e3}, "cannot_shut", "the supply is too weak"),
        ({"flow": "under"}, "opens", "psi more"),
    ],
)
def test_says_in_a_word_and_a_sentence_whether_it_can(said, can, words):
    """Each outcome has its word, and a note that says what is too weak and that site procedure is first."""
    found = run(**said)
    assert found["can"] == can
    told = " ".join(found.notes).lower()
    assert words.lower() in told
    assert "site procedure" in told


def test_margin_is_over_the_end_that_the_supply_drives_to():
    """Fails closed: over fully open. Fails open: over fully shut."""
    closed, opened = run(), run(fails="open")
    assert closed["margin"] == pytest.approx(140e3 - closed["fully_open"])
    assert opened["margin"] == pytest.approx(140e3 - opened["fully_shut"])


def test_port_larger_than_the_diaphragm_is_out_of_range():
    """The sum is for an unbalanced plug; a port that large is flagged and not refused."""
    found = run(seat=0.3, drop=0.0)
    assert not found.in_range
    assert any("balanced" in note for note in found.notes)
    assert run().in_range


def test_bench_set_the_wrong_way_round_is_refused():
    """The message names the two and the edit."""
    with pytest.raises(CannotWork, match="bench_high must be more than bench_low"):
        ACTUATOR.work({**COMMON, "bench_low": 100e3, "bench_high": 40e3})
