"""How much liquid a headed vessel holds at a level, and the level at which it holds so much.

Heights are from the vessel's lowest point inside. Both heads are the same: `ellipsoidal` (a quarter of the
diameter deep unless a depth is given), `hemispherical`, `dished` (part of a sphere, of a given depth), or
`flat`. Nothing inside the vessel is taken off.
"""

import math
from typing import Final, NamedTuple

import numpy as np

from diagnose.calculators.base import CannotWork

JONES: Final = "D. Jones, Calculating Tank Volume; geometry"
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(32)
"""Gauss-Legendre points and weights: enough for twelve digits of a dished head on its side."""


class Shape(NamedTuple):
    """A vessel from inside, in m."""

    orientation: str
    """horizontal or vertical."""
    diameter: float
    length: float
    """Between the seams of its heads."""
    heads: str
    """ellipsoidal, dished or flat; a hemisphere is an ellipsoid as deep as the radius."""
    depth: float
    """Of one head."""


def shape_of(
    orientation: str, diameter: float, length: float, heads: str, depth: float | None = None
) -> Shape:
    """The vessel with its heads' depth filled in, all in m; `CannotWork` when depth and heads do not fit.

    >>> shape_of("horizontal", 2.0, 5.0, "ellipsoidal").depth
    0.5
    >>> shape_of("horizontal", 2.0, 5.0, "hemispherical")[3:]
    ('ellipsoidal', 1.0)
    """
    if heads == "dished":
        if depth is None:
            raise CannotWork("dished heads need their depth: add head_depth")
        if depth > diameter / 2:
            raise CannotWork("dished heads are no deeper than half the diameter: mend head_depth or diameter")
        return Shape(orientation, diameter, length, heads, depth)
    if heads == "ellipsoidal":
        return Shape(orientation, diameter, length, heads, diameter / 4 if depth is None else depth)
    if depth is not None:
        raise CannotWork(
            f"the depth of {heads} heads is known: leave head_depth out, or say heads=ellipsoidal"
        )
    if heads == "hemispherical":
        return Shape(orientation, diameter, length, "ellipsoidal", diameter / 2)
    return Shape(orientation, diameter, length, "flat", 0.0)


def top_of(shape: Shape) -> float:
    """Height of the highest point inside, m.

    >>> top_of(shape_of("vertical", 2.0, 5.0, "ellipsoidal"))
    6.0
    """
    return shape.diameter if shape.orientation == "horizontal" else shape.length + 2 * shape.depth


def full_volume(shape: Shape) -> float:
    """Volume of the whole vessel, m3. Source: closed forms of cylinder, ellipsoid and part of a sphere.

    >>> round(full_volume(shape_of("vertical", 2.0, 3.0, "hemispherical")) / math.pi, 6)
    4.333333
    """
    radius, depth = shape.diameter / 2, shape.depth
    sphere_part = math.pi * depth * (3 * radius**2 + depth**2) / 6
    head = sphere_part if shape.heads == "dished" else 2 / 3 * math.pi * radius**2 * depth
    return math.pi * radius**2 * shape.length + 2 * head


def volume_at(shape: Shape, level: float) -> float:
    """Liquid in the vessel at a level, m3.

    ``level``: m from the bottom; below it counts as empty, above the top as full. Source: `JONES`.

    >>> round(volume_at(shape_of("horizontal", 48.0, 120.0, "ellipsoidal"), 12.0) / 231, 3)
    203.361
    """
    top = top_of(shape)
    if level <= 0:
        return 0.0
    if level >= top:
        return full_volume(shape)
    if shape.orientation == "horizontal":
        return _cylinder_lying(shape, level) + _heads_lying(shape, level)
    if level > top / 2:  # the upper half of a vessel is its lower half upside down
        return full_volume(shape) - volume_at(shape, top - level)
    return _head_standing(shape, min(level, shape.depth)) + math.pi / 4 * shape.diameter**2 * max(
        level - shape.depth, 0.0
    )


def level_at(shape: Shape, volume: float) -> float:
    """Level at which the vessel holds a volume (m3), m: `volume_at` the other way round.

    Nothing or less gives the bottom, the whole or more the top.

    >>> shape = shape_of("horizontal", 2.0, 5.0, "flat")
    >>> round(level_at(shape, full_volume(shape) / 2), 9)
    1.0
    """
    low, high = 0.0, top_of(shape)
    if volume <= 0:
        return low
    if volume >= full_volume(shape):
        return high
    for _ in range(60):  # halves it to the last digit
        middle = (low + high) / 2
        low, high = (middle, high) if volume_at(shape, middle) < volume else (low, middle)
    return (low + high) / 2


def _cylinder_lying(shape: Shape, level: float) -> float:
    radius = shape.diameter / 2
    return shape.length * _segment(radius, level)


def _segment(radius: float, level: float) -> float:
    """Area of a circle below a level, m2."""
    above = radius - level
    chord = math.sqrt(level * (2 * radius - level))
    return radius**2 * math.acos(above / radius) - above * chord


def _heads_lying(shape: Shape, level: float) -> float:
    """Liquid in both heads of a vessel on its side."""
    radius = shape.diameter / 2
    if shape.heads != "dished":
        return math.pi * shape.depth * level**2 * (1 - level / (3 * radius))
    if shape.depth == 0:
        return 0.0
    # A level cut through the head is a circle's segment: half chord s = R sin(t) where the height is
    # R (1 - cos t), and its circle's centre lies c behind the seam.
    behind = (radius**2 - shape.depth**2) / (2 * shape.depth)
    last = math.acos((radius - level) / radius)
    half_chord = radius * np.sin((_POINTS + 1) * last / 2)
    cut = (behind**2 + half_chord**2) * np.arctan2(half_chord, behind) - behind * half_chord
    return float(2 * np.sum(_WEIGHTS * cut * half_chord) * last / 2)


def _head_standing(shape: Shape, level: float) -> float:
    """Liquid in the bottom head of a standing vessel, up to its seam."""
    if shape.depth == 0:
        return 0.0
    radius, depth = shape.diameter / 2, shape.depth
    if shape.heads == "dished":
        sphere = (radius**2 + depth**2) / (2 * depth)
        return math.pi * level**2 * (sphere - level / 3)
    return math.pi * (radius / depth * level) ** 2 * (depth - level / 3)
