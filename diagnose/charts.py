"""A chart as plain values: what the text plots and the pictures draw."""

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]


@dataclass(frozen=True)
class Axis:
    """What is counted along one side."""

    title: str
    unit: str = ""
    """Empty for a bare number."""

    @property
    def label(self) -> str:
        """The title with its unit.

        >>> Axis("level", "in").label
        'level, in'
        """
        return f"{self.title}, {self.unit}" if self.unit else self.title


@dataclass(frozen=True)
class Series:
    """One line through points, in the units of the axes."""

    name: str
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Mark:
    """A value worth a straight line across the chart."""

    on: Literal["x", "y"]
    value: float
    label: str


@dataclass(frozen=True)
class Chart:
    """Lines on two axes, with the values that matter marked."""

    name: str
    title: str
    x: Axis
    y: Axis
    series: tuple[Series, ...]
    marks: tuple[Mark, ...] = ()
    notes: tuple[str, ...] = ()
    least: float | None = None
    """A value that the y axis reaches down to at least."""

    @property
    def reach(self) -> tuple[Point, Point]:
        """((least x, most x), (least y, most y)) of all that is drawn."""
        xs = [x for line in self.series for x, _ in line.points]
        ys = [y for line in self.series for _, y in line.points]
        xs += [mark.value for mark in self.marks if mark.on == "x"]
        ys += [mark.value for mark in self.marks if mark.on == "y"]
        ys += [] if self.least is None else [self.least]
        return (min(xs), max(xs)), (min(ys), max(ys))
