"""The level at which a vessel stands, looked up quickly."""

from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np

from diagnose.calculators.vessel_volume import Shape, full_volume, top_of, volume_at

POINTS: Final = 2000


class LevelTable(NamedTuple):
    """Levels (m) at even steps of volume from empty to full."""

    levels: list[float]
    per_volume: float
    """Steps for each m3."""


@lru_cache(maxsize=32)
def level_table(shape: Shape) -> LevelTable:
    """The table of a vessel; within a thousandth of its height of `level_at` but at the very bottom and top.

    >>> from diagnose.calculators.vessel_volume import shape_of
    >>> drum = shape_of("vertical", 2.0, 5.0, "flat")
    >>> round(level_in(level_table(drum), full_volume(drum) / 2), 6)
    2.5
    """
    heights = np.linspace(0.0, top_of(shape), POINTS)
    volumes = np.array([volume_at(shape, float(height)) for height in heights])
    full = full_volume(shape)
    levels = np.interp(np.linspace(0.0, full, POINTS + 1), volumes, heights)
    return LevelTable([float(each) for each in levels], POINTS / full)


def level_in(table: LevelTable, volume: float) -> float:
    """The level at a volume (m3), m; nothing or less gives the bottom, the whole or more the top."""
    place = volume * table.per_volume
    if place <= 0:
        return 0.0
    index = int(place)
    if index >= POINTS:
        return table.levels[POINTS]
    low = table.levels[index]
    return low + (place - index) * (table.levels[index + 1] - low)
