"""The steps for set point and span, against what the trade says that the output does (no source)."""

import re
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.loop import LEGEND
from diagnose.procedures import CAUTIONS, CLOCKWISE, COUNTER_CLOCKWISE, set_point, span
from diagnose.units import Gauge, to_si

ACTIONS = ("snap", "throttle")
FAILS = ("closed", "open")


def turns(action, fails, psi=30.0):
    """(usual turn, where the output ends) for each step that turns the knob."""
    (variant,) = set_point(action, fails, Gauge(to_si(psi, "psi"))).variants
    found = []
    for step in variant.steps:
        for name, phrase in (("counter-clockwise", COUNTER_CLOCKWISE), ("clockwise", CLOCKWISE)):
            if phrase in step:
                ends = [word for word in ("zero", "full", "10 psi") if word in step.replace(phrase, "")]
                found.append((name, *ends))
    return found


@pytest.mark.parametrize(
    ("action", "fails", "expected"),
    [
        ("throttle", "closed", [("counter-clockwise", "10 psi"), ("clockwise", "zero")]),
        ("throttle", "open", [("clockwise", "full")]),
        ("snap", "closed", [("counter-clockwise", "full"), ("clockwise", "zero")]),
        ("snap", "open", [("counter-clockwise", "zero"), ("clockwise", "full")]),
    ],
)
def test_the_output_ends_where_the_trade_says_in_each_pairing(action, fails, expected):
    """Each turn with what the output does then (common practice, no source)."""
    assert turns(action, fails) == expected


@pytest.mark.parametrize(("action", "fails"), list(product(ACTIONS, FAILS)))
def test_the_last_turn_leaves_the_valve_shut_with_the_displacer_dry(action, fails):
    """No liquid on the displacer: zero output for a valve that fails closed, full for one that fails open."""
    assert turns(action, fails)[-1][1] == ("zero" if fails == "closed" else "full")


@pytest.mark.parametrize(
    ("action", "fails", "start"),
    [
        ("throttle", "closed", "Start from zero output."),
        ("throttle", "open", "Start from zero output."),
        ("snap", "open", "Start from full output, about 30 psi."),
    ],
)
def test_the_start_is_named_where_it_matters(action, fails, start):
    """The step stands before the first turn."""
    (variant,) = set_point(action, fails, Gauge(to_si(30.0, "psi"))).variants
    first = next(number for number, step in enumerate(variant.steps) if "makers differ: watch" in step)
    assert variant.steps[first - 1] == start


def every_procedure():
    """With each fact known and unknown."""
    pairs = product((*ACTIONS, None), (*FAILS, None), (None, Gauge(137895.0)))
    return [set_point(*known) for known in pairs] + [span(action) for action in (*ACTIONS, None)]


@pytest.mark.parametrize("number", range(len(every_procedure())))
def test_the_cautions_stand_before_every_procedure(number):
    """Glass watched, hands off, zero before opening, wrench on the mount, site procedure and trips."""
    procedure = every_procedure()[number]
    lines = procedure.sentences()
    assert lines[1 : 1 + len(CAUTIONS)] == CAUTIONS
    before = " ".join(CAUTIONS)
    for words in (
        "level glass",
        "Hands off",
        "at zero",
        "never on the enclosure",
        "Site procedure",
        "Never defeat",
    ):
        assert words in before
    for variant in procedure.variants:
        assert variant.steps[-1] == LEGEND


@pytest.mark.parametrize("number", range(len(every_procedure())))
def test_steps_are_numbered_sentences_and_no_turn_stands_without_the_output(number):
    """A turn is never named by itself: its step says to watch the output, and what it must do."""
    for variant in every_procedure()[number].variants:
        for step in variant.steps:
            assert step.endswith("."), step
            if "clockwise" in step:
                assert "makers differ: watch the output" in step, step
                assert re.search(r"until the output|when the output", step), step
    numbers = [line.split(".")[0] for line in every_procedure()[number].sentences() if line[0].isdigit()]
    wanted = [str(i) for v in every_procedure()[number].variants for i in range(1, len(v.steps) + 1)]
    assert numbers == wanted


@pytest.mark.parametrize(
    ("action", "fails", "whens"),
    [
        ("snap", "open", [""]),
        ("throttle", None, ["If the valve fails closed", "If the valve fails open"]),
        (None, "closed", ["If it snaps", "If it throttles"]),
        (
            None,
            None,
            [
                "If it snaps and the valve fails closed",
                "If it snaps and the valve fails open",
                "If it throttles and the valve fails closed",
                "If it throttles and the valve fails open",
            ],
        ),
    ],
)
def test_what_is_unknown_gives_every_variant_with_an_if(action, fails, whens):
    """And each variant is the one that the known set-up gives."""
    procedure = set_point(action, fails)
    assert [variant.when for variant in procedure.variants] == whens
    known = [
        set_point(a, f).variants[0].steps
        for a in ((action,) if action else ACTIONS)
        for f in ((fails,) if fails else FAILS)
    ]
    assert [variant.steps for variant in procedure.variants] == known


@pytest.mark.parametrize(("action", "fails"), list(product(ACTIONS, FAILS)))
def test_nobody_opens_the_valve_on_gas(action, fails):
    """Before any turn the vessel is at zero or the dump line blocked in; it is opened after the last."""
    (variant,) = set_point(action, fails).variants
    turned = [number for number, step in enumerate(variant.steps) if "makers differ: watch" in step]
    assert "blocked in by site procedure" in variant.steps[0]
    assert variant.steps[turned[-1] + 1].startswith("Open the dump line again")


def test_span_starts_inside_for_snap_and_in_the_middle_for_throttle():
    """Snap moves out from the smallest band; throttle a little either way (common practice, no source)."""
    snap, throttle = (span(action).variants[0].steps for action in ACTIONS)
    assert "innermost" in snap[0]
    assert any("move the fulcrum out" in step for step in snap)
    assert not any("move the fulcrum in" in step for step in snap)
    assert "middle" in throttle[0]
    assert any("fulcrum out a little" in step for step in throttle)
    assert any("fulcrum in a little" in step for step in throttle)
    assert [variant.steps for variant in span(None).variants] == [snap, throttle]
    assert [variant.when for variant in span(None).variants] == ["If it snaps", "If it throttles"]


@given(st.floats(3.0, 150.0), st.sampled_from(ACTIONS), st.sampled_from(FAILS))
@settings(max_examples=100, deadline=None, derandomize=True)
def test_the_supply_that_is_known_is_in_the_steps(psi, action, fails):
    """Its gauge is read before the first turn, and no output is asked for above it."""
    (variant,) = set_point(action, fails, Gauge(to_si(psi, "psi"))).variants
    assert f"reads {psi:.3g} psi" in " ".join(variant.steps[:3])
    asked = [float(number) for number in re.findall(r"([\d.]+) psi", " ".join(variant.steps))]
    assert max(asked) <= float(f"{psi:.3g}") + 1e-9
