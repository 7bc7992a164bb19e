"""Volume by level in headed vessels, against other sources."""

import numpy as np
import pytest
from fluids.geometry import TANK
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.calculators.vessel_volume import Shape, full_volume, level_at, shape_of, top_of, volume_at

QUICK = settings(derandomize=True, max_examples=60, deadline=None)
JONES = "D. Jones, Calculating Tank Volume (as fluids gives it)"
GALLON = 231.0
"""in3"""

ELLIPSOIDAL = shape_of("horizontal", 108.0, 156.0, "ellipsoidal", 42.0)
SPHERICAL = shape_of("horizontal", 108.0, 156.0, "dished", 42.0)
STANDING = shape_of("vertical", 132.0, 200.0, "ellipsoidal")
SMALL = shape_of("horizontal", 48.0, 120.0, "ellipsoidal")


def gallons(shape: Shape, level: float) -> float:
    """Liquid in a vessel given in inches."""
    return volume_at(shape, level) / GALLON


def tank(shape: Shape) -> TANK:
    """The same vessel in the library."""
    heads = None if shape.depth == 0 else {"dished": "spherical"}.get(shape.heads, shape.heads)
    ends = {"sideA": heads, "sideB": heads, "sideA_a": shape.depth, "sideB_a": shape.depth} if heads else {}
    return TANK(D=shape.diameter, L=shape.length, horizontal=shape.orientation == "horizontal", **ends)


OUTSIDE = [
    *(
        (f"horizontal, ellipsoidal 42 in, at {level} in, gal", gallons(ELLIPSOIDAL, level), gal, JONES, 2e-6)
        for level, gal in ((36, 2380.96), (84, 7103.45), (54, 4203.70), (108, 8407.39))
    ),
    *(
        (f"horizontal, spherical 42 in, at {level} in, gal", gallons(SPHERICAL, level), gal, JONES, 2e-6)
        for level, gal in ((36, 2303.96), (84, 6935.16))
    ),
    ("vertical, 2:1 bottom, at 24 in, gal", gallons(STANDING, 24), 783.358, JONES, 1e-6),
    *(
        (f"horizontal 48 in x 120 in, at {level} in, gal", gallons(SMALL, level), gal, "fluids.TANK", 1e-6)
        for level, gal in ((12, 203.361), (24, 532.684), (36, 862.006), (48, 1065.367))
    ),
    ("the same at 12 in, bbl", gallons(SMALL, 12) / 42, 4.84192, "fluids.TANK", 1e-6),
]


@pytest.mark.parametrize(("case", "ours", "theirs", "source", "tolerance"), OUTSIDE)
def test_agrees_with_the_outside_source(case, ours, theirs, source, tolerance):
    """Each value agrees with the source named beside it."""
    assert ours == pytest.approx(theirs, rel=tolerance), f"{case}: {source}"


SHAPES = [
    shape_of(orientation, 1.2, length, heads, depth)
    for orientation in ("horizontal", "vertical")
    for length in (0.4, 3.0)
    for heads, depth in (
        ("ellipsoidal", None),
        ("ellipsoidal", 0.05),
        ("ellipsoidal", 0.9),
        ("hemispherical", None),
        ("dished", 0.02),
        ("dished", 0.2),
        ("dished", 0.5999),
        ("dished", 0.6),
        ("flat", None),
    )
]


@pytest.mark.parametrize("shape", SHAPES, ids=str)
def test_volume_agrees_with_the_library_over_all_levels(shape):
    """Twenty-one levels of each shape with `fluids.TANK`."""
    theirs = tank(shape)
    for level in np.linspace(0, top_of(shape), 21):
        expected = float(theirs.V_from_h(float(level)))
        assert volume_at(shape, float(level)) == pytest.approx(expected, rel=1e-6, abs=1e-9)


sizes = st.floats(0.1, 5.0)
shares = st.floats(0.0, 1.0)
shapes = st.builds(
    lambda orientation, diameter, length, heads, share: shape_of(
        orientation,
        diameter,
        length,
        heads,
        max(share, 0.01) * diameter / 2 if heads in ("dished", "ellipsoidal") else None,
    ),
    st.sampled_from(["horizontal", "vertical"]),
    sizes,
    sizes,
    st.sampled_from(["ellipsoidal", "hemispherical", "dished", "flat"]),
    shares,
)


@QUICK
@given(shapes, shares, shares)
def test_volume_rises_with_level(shape, one, other):
    """Never less liquid at a higher level, and more when it is clearly higher."""
    low, high = sorted((one, other))
    below, above = volume_at(shape, low * top_of(shape)), volume_at(shape, high * top_of(shape))
    assert below <= above + 1e-12 * full_volume(shape)
    if high - low > 1e-3:
        assert below < above


@QUICK
@given(shapes)
def test_full_is_the_closed_form_and_half_is_half(shape):
    """Just below the top the slices add up to the closed form; the middle holds half."""
    whole = full_volume(shape)
    assert volume_at(shape, top_of(shape) * (1 - 1e-12)) == pytest.approx(whole, rel=1e-8)
    assert volume_at(shape, top_of(shape) / 2) == pytest.approx(whole / 2, rel=1e-8)
    assert volume_at(shape, 2 * top_of(shape)) == whole
    assert volume_at(shape, -1.0) == 0.0


@QUICK
@given(shapes, shares)
def test_what_is_below_and_what_is_above_make_the_whole(shape, share):
    """A vessel with equal heads is the same upside down."""
    level = share * top_of(shape)
    both = volume_at(shape, level) + volume_at(shape, top_of(shape) - level)
    assert both == pytest.approx(full_volume(shape), rel=1e-8)


@QUICK
@given(shapes, st.floats(0.001, 0.999))
def test_level_of_a_volume_goes_there_and_back(shape, share):
    """Volume to level to volume."""
    wanted = share * full_volume(shape)
    assert volume_at(shape, level_at(shape, wanted)) == pytest.approx(wanted, rel=1e-9)
    level = share * top_of(shape)
    assert level_at(shape, volume_at(shape, level)) == pytest.approx(level, rel=1e-6)


def test_level_of_nothing_and_of_too_much():
    """The bottom and the top."""
    assert (level_at(SMALL, -1.0), level_at(SMALL, 1e9)) == (0.0, 48.0)
