"""The floor as the centres of pots see it: where a centre may lie, how far apart two must be."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from halfwater.errors import RefusedInput
from halfwater.science.bound import SLACK, check_floor

Points = npt.NDArray[np.float64]
Rectangle = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Room:
    """A floor, the pots' diameter, the gap between pots, and where no pot may stand."""

    length_mm: float
    width_mm: float
    pot_mm: float
    gap_mm: float
    keep_outs: tuple[Rectangle, ...] = ()

    @property
    def apart_mm(self) -> float:
        """Least distance between two centres. [mm]"""
        return self.pot_mm + self.gap_mm

    @property
    def inner(self) -> tuple[float, float]:
        """Sides of the rectangle the centres lie in. [mm]"""
        return self.length_mm - self.pot_mm, self.width_mm - self.pot_mm

    def turned(self) -> "Room":
        """The same floor with length and width changed over."""
        outs = tuple((y, x, width, length) for x, y, length, width in self.keep_outs)
        return Room(self.width_mm, self.length_mm, self.pot_mm, self.gap_mm, outs)

    def clear(self, points: Points) -> npt.NDArray[np.bool_]:
        """Which centres are inside the floor and clear of every keep-out."""
        radius, edge = self.pot_mm / 2.0, self.apart_mm * SLACK * 10.0
        x, y = points[:, 0], points[:, 1]
        free = (x >= radius - edge) & (x <= self.length_mm - radius + edge)
        free &= (y >= radius - edge) & (y <= self.width_mm - radius + edge)
        for left, front, length, width in self.keep_outs:
            across = np.maximum(np.maximum(left - x, x - left - length), 0.0)
            along = np.maximum(np.maximum(front - y, y - front - width), 0.0)
            free &= np.hypot(across, along) >= radius - edge
        return np.asarray(free)

    def stretches(self, y: float) -> list[tuple[float, float]]:
        """The pieces of a row, from and to, on which a centre may lie."""
        radius = self.pot_mm / 2.0
        taken = []
        for left, front, length, width in self.keep_outs:
            off = max(front - y, y - front - width, 0.0)
            if off < radius * (1.0 - SLACK):
                reach = math.sqrt(radius**2 - off**2)
                taken.append((left - reach, left + length + reach))
        free, start, end = [], radius, self.length_mm - radius
        for first, last in sorted(taken):
            if first >= start - SLACK:
                free.append((start, min(first, end)))
            start = max(start, last)
        free.append((start, end))
        return [(first, last) for first, last in free if last - first >= -self.apart_mm * SLACK]

    def is_sound(self, points: Points) -> bool:
        """Whether every pot stands inside, clear of keep-outs and clear of every other."""
        if not len(points):
            return True
        least = self.apart_mm * (1.0 - 10.0 * SLACK)
        by_height = points[np.argsort(points[:, 1])]
        for further in range(1, len(points)):
            between = by_height[further:] - by_height[:-further]
            if between[:, 1].min() >= least:
                break
            if np.hypot(*between.T).min() < least:
                return False
        return bool(self.clear(points).all())


def room_of(
    length_mm: float, width_mm: float, pot_mm: float, gap_mm: float, keep_outs: Sequence[Rectangle]
) -> Room:
    """Room that was checked: sides, gap and keep-outs as a floor can have them.

    Parameters
    ----------
    length_mm : float
        Inside length of the floor. [mm] Valid above 0.
    width_mm : float
        Inside width of the floor. [mm] Valid above 0.
    pot_mm : float
        Widest outside diameter of a pot. [mm] Valid above 0, up to the shorter side.
    gap_mm : float
        Least clear distance between two pots. [mm] Valid 0 upward.
    keep_outs : sequence of tuple
        Rectangles (x, y, length, width) from the front left corner, in mm.

    Returns
    -------
    Room
        The floor as the centres see it.

    Raises
    ------
    RefusedInput
        If a pot is larger than the floor, a size is no size, or a keep-out
        does not lie on the floor.

    Notes
    -----
    A keep-out that touches the wall from inside is on the floor; one without
    length or width keeps pots off a line or a point.

    Source: own definition
    """
    check_floor(length_mm, width_mm, pot_mm, gap_mm)
    outs = []
    for sides in keep_outs:
        x, y, length, width = (float(side) for side in sides)
        on_floor = min(x, y, length, width) >= 0 and max(x + length - length_mm, y + width - width_mm) <= 1e-6
        if not on_floor:
            floor = f"{length_mm:.4g} x {width_mm:.4g} mm"
            raise RefusedInput("keep-out", repr(tuple(sides)), f"x, y, length and width in mm within {floor}")
        outs.append((x, y, length, width))
    return Room(length_mm, width_mm, pot_mm, gap_mm, tuple(outs))
