"""What a fluid does to a cylinder that hangs in it, upright or flat."""

import math
from dataclasses import dataclass
from typing import Final

GRAVITY: Final = 9.80665
"""m/s2, the standard value."""
ARCHIMEDES: Final = "Archimedes' principle (OpenStax, College Physics, ch. 11.7)"


def cylinder_volume(diameter: float, length: float) -> float:
    """Volume of a cylinder, m3; ``diameter`` and ``length`` in m. Holds for any. Source: geometry.

    >>> round(cylinder_volume(0.1, 0.3), 6)
    0.002356
    """
    return math.pi / 4 * diameter**2 * length


def buoyant_force(volume: float, density: float) -> float:
    """Force with which a fluid lifts what lies wholly in it, N. Holds for any. Source: OpenStax ch. 11.7.

    ``volume``: m3; ``density`` of the fluid: kg/m3.

    >>> round(buoyant_force(0.002, 850.0), 2)
    16.67
    """
    return density * GRAVITY * volume


def covered_share(height: float, diameter: float, length: float, hung: str) -> float:
    """Share of a displacer's volume that is under a level so far above its bottom, 0 to 1.

    ``height``, ``diameter``, ``length``: m; ``hung``: upright or flat. Any height: bare below, covered
    above. Source: geometry; flat, it is a segment of a circle.

    >>> covered_share(0.1, 0.1, 0.4, "upright"), round(covered_share(0.05, 0.1, 0.4, "flat"), 9)
    (0.25, 0.5)
    """
    if hung == "upright":
        return min(max(height / length, 0.0), 1.0)
    part = min(max(height / diameter, 0.0), 1.0)
    half_angle = 2 * math.asin(math.sqrt(part))  # exact for a thin segment too, which acos is not
    return (half_angle - math.sin(half_angle) * math.cos(half_angle)) / math.pi


def covered_height(share: float, diameter: float, length: float, hung: str) -> float:
    """Height of the level above the displacer's bottom that covers such a share of its volume, m.

    ``share``: 0 to 1; ``diameter``, ``length``: m; ``hung``: upright or flat. Source: `covered_share`, the
    other way round.

    >>> round(covered_height(0.25, 0.1, 0.4, "upright"), 6), round(covered_height(0.5, 0.1, 0.4, "flat"), 6)
    (0.1, 0.05)
    """
    if hung == "upright":
        return share * length
    low, high = 0.0, diameter
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if covered_share(middle, diameter, length, hung) < share else (low, middle)
    return (low + high) / 2


@dataclass(frozen=True)
class Hanging:
    """A displacer in its two fluids: lengths in m, densities in kg/m3, mass in kg."""

    diameter: float
    length: float
    hung: str
    """upright or flat"""
    lower: float
    """density of the liquid that covers it"""
    upper: float
    """density of the liquid above that; 0 for gas"""
    mass: float | None
    """None when it is not known"""

    @property
    def volume(self) -> float:
        """Its volume, m3."""
        return cylinder_volume(self.diameter, self.length)

    @property
    def height(self) -> float:
        """How high it is as it hangs, m."""
        return self.length if self.hung == "upright" else self.diameter

    @property
    def lift(self) -> float:
        """Change of force from the level below it to the level above it, N."""
        return buoyant_force(self.volume, self.lower - self.upper)

    @property
    def floats(self) -> bool:
        """Whether it weighs nothing, or less, when it is covered; False also when the weight is unknown."""
        return self.mass is not None and self.mass * GRAVITY <= buoyant_force(self.volume, self.lower)

    def share_at(self, height: float) -> float:
        """`covered_share` of this one."""
        return covered_share(height, self.diameter, self.length, self.hung)

    def height_at(self, share: float) -> float:
        """`covered_height` of this one."""
        return covered_height(share, self.diameter, self.length, self.hung)
