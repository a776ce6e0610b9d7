"""How much bath stands under a depth, by adding up thin slices of the floor."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.plain.tank import TankFacts

SLICE_MM = 0.25

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Curve:
    """Depth and volume of one tank's bath side by side, and its three lines."""

    depth_mm: Floats
    volume_l: Floats
    clay_line_mm: float
    limit_line_mm: float
    low_line_mm: float

    def depth_of(self, volume_l: float | Floats) -> Floats:
        """Depth under a volume. [mm]"""
        return np.asarray(np.interp(volume_l, self.volume_l, self.depth_mm))

    def volume_of(self, depth_mm: float | Floats) -> Floats:
        """Volume under a depth. [L]"""
        return np.asarray(np.interp(depth_mm, self.depth_mm, self.volume_l))


def bath_curve(tank: TankFacts, porosity_frac: float | None = None) -> Curve:
    """The bath of a tank, slice by slice; `porosity_frac` is the clay's true one if it differs.

    Deliberately not the closed form of the science: the slices are summed.
    """
    height = tank.pot.height_mm if tank.pot else 0.0
    clay_line = height * tank.clay_fill_frac if tank.pot else 60.0
    top = max(clay_line * 2, 120.0)
    edges = np.arange(0.0, top + SLICE_MM, SLICE_MM)
    middle = (edges[:-1] + edges[1:]) / 2
    open_mm2 = np.full(middle.size, tank.length_mm * tank.width_mm)
    if tank.pot:
        foot, rim = tank.pot.base_mm / 2, tank.pot.top_mm / 2
        radius = foot + (rim - foot) * middle / height
        solid = 1.0 - (tank.clay_porosity_frac if porosity_frac is None else porosity_frac)
        open_mm2 = open_mm2 - np.where(middle < clay_line, tank.pots * np.pi * radius**2 * solid, 0.0)
    volume = np.concatenate([[0.0], np.cumsum(open_mm2) * SLICE_MM / 1e6])
    low = tank.low_line_mm if tank.low_line_mm is not None else (height / 3 if tank.pot else 20.0)
    return Curve(edges, volume, clay_line, clay_line - tank.margin_mm, low)
