"""A tank as a vessel: depth and volume of the bath among pots of clay, the lines, the weight."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.shape import Vessel

__all__ = [
    "Lines", "Vessel", "Weight", "bath_depth", "bath_volume", "clay_volume", "free_area", "lines",
    "tank_weight",
]  # fmt: skip

Floats = npt.NDArray[np.float64]

_MM3_L = 1e-6
_SLACK = 1e-9
_GLASS_KG_L = 2.5
_GLASS_MM = 6.0  # a usual pane for a low tank
_SOAKED = 1.15  # clay takes up about 15 % of its dry mass
_HOME_FLOOR_KG_M2 = 150.0  # about 1.5 kN/m2, a usual design load of floors in homes


@dataclass(frozen=True, slots=True)
class Lines:
    """The heights a bath is held against, above the floor."""

    clay_line_mm: float
    limit_line_mm: float
    low_line_mm: float


@dataclass(frozen=True, slots=True)
class Weight:
    """What a filled tank weighs and how it loads the floor it stands on."""

    bath_kg: float
    clay_kg: float
    glass_kg: float
    total_kg: float
    load_kg_m2: float
    caution: str


def bath_volume(vessel: Vessel, depth_mm: npt.ArrayLike) -> Floats:
    """Volume of the bath under a depth.

    Solution stands around the pots and in the voids of the clay inside them.
    Above the clay the pots displace nothing: their walls are thin.

    Parameters
    ----------
    vessel : Vessel
        The tank.
    depth_mm : array_like
        Depth of the bath above the floor, by ruler. [mm] Valid 0..height.

    Returns
    -------
    numpy.ndarray
        Shape of `depth_mm`. [L]

    Raises
    ------
    RefusedInput
        If a depth is nan, negative, or above the rim.

    Notes
    -----
    V(h) = A h - n pi (1 - phi) (rb2 h + rb k h2 + k2 h3/3), with k = (rt - rb)/H,
    up to the clay line; above it each mm adds the whole floor. V(0) = 0.

    Source: fao-56, chapter 1

    Examples
    --------
    >>> float(bath_volume(Vessel(1000.0, 1000.0, 300.0, 0, 0.0, 0.0, 0.0, 0.0, 0.0), 1.0))
    1.0
    """
    depth = _in_range("depth", depth_mm, vessel.height_mm, "mm")
    return np.asarray(_volume_mm3(vessel, depth) * _MM3_L)


def bath_depth(vessel: Vessel, volume_l: npt.ArrayLike) -> Floats:
    """Depth of the bath that a volume makes, the inverse of `bath_volume`.

    Parameters
    ----------
    vessel : Vessel
        The tank.
    volume_l : array_like
        Solution standing in the tank. [L] Valid 0..volume at the rim.

    Returns
    -------
    numpy.ndarray
        Shape of `volume_l`. [mm]

    Raises
    ------
    RefusedInput
        If a volume is nan, negative, or more than the tank holds.

    Notes
    -----
    With u the pot's radius at the waterline and s2 = A / (n pi (1 - phi)), the cubic
    is u3 - 3 s2 u + q = 0, whose root between -s and s is u = 2 s sin(asin(q / 2 s3) / 3).
    Two Newton steps take off what rounding adds for nearly straight pots.

    Source: own definition

    Examples
    --------
    >>> tank = Vessel(914.4, 457.2, 300.0, 119, 50.8, 50.8, 50.0, 0.625, 0.44)
    >>> round(float(bath_depth(tank, bath_volume(tank, 21.0))), 9)
    21.0
    """
    rim_mm3 = float(_volume_mm3(vessel, np.asarray(vessel.height_mm)))
    volume = _in_range("volume", volume_l, rim_mm3 * _MM3_L, "L") / _MM3_L
    clay_mm3 = float(_volume_mm3(vessel, np.asarray(vessel.clay_mm)))
    above = vessel.clay_mm + (volume - clay_mm3) / vessel.floor_mm2
    within = _depth_in_clay(vessel, np.minimum(volume, clay_mm3))
    return np.asarray(np.minimum(np.where(volume > clay_mm3, above, within), vessel.height_mm))


def free_area(vessel: Vessel, depth_mm: npt.ArrayLike) -> Floats:
    """Area that the next drop spreads over: litres for each millimetre of rise.

    Parameters
    ----------
    vessel : Vessel
        The tank.
    depth_mm : array_like
        Depth of the bath above the floor. [mm] Valid 0..height.

    Returns
    -------
    numpy.ndarray
        Shape of `depth_mm`. [m2]

    Raises
    ------
    RefusedInput
        If a depth is nan, negative, or above the rim.

    Notes
    -----
    dV/dh = A - n pi (1 - phi) r(h)2 below the clay line, A from it upward.

    Source: fao-56, chapter 1

    Examples
    --------
    >>> pots = Vessel(600.0, 300.0, 300.0, 10, 50.0, 50.0, 50.0, 1.0, 0.0)
    >>> round(float(free_area(pots, 20.0)), 6)
    0.160365
    """
    depth = _in_range("depth", depth_mm, vessel.height_mm, "mm")
    return np.asarray(np.where(depth < vessel.clay_mm, _area_mm2(vessel, depth), vessel.floor_mm2) * 1e-6)


def lines(vessel: Vessel, margin_mm: float, low_line_mm: float | None) -> Lines:
    """Lines of a tank: top of the clay, the most the bath may reach, where a siphon leaves it.

    Parameters
    ----------
    vessel : Vessel
        The tank.
    margin_mm : float
        How far under the clay the bath must stay. [mm] Valid 0..clay line.
    low_line_mm : float or None
        Where a siphon leaves the bath; None for a third of the pot. [mm] Valid 0..limit line.

    Returns
    -------
    Lines
        clay_line_mm, limit_line_mm and low_line_mm. [mm]

    Raises
    ------
    RefusedInput
        If the tank has no pots, a value is nan or negative, or the lines do
        not stand low line under limit line.

    Notes
    -----
    Clay line = clay fill x pot height; limit line = clay line - margin.

    Source: own definition

    Examples
    --------
    >>> lines(Vessel(900.0, 450.0, 300.0, 100, 50.0, 38.0, 48.0, 0.625, 0.44), 6.0, None)
    Lines(clay_line_mm=30.0, limit_line_mm=24.0, low_line_mm=16.0)
    """
    if not vessel.pots:
        raise RefusedInput("pots", 0, "at least one pot, since the lines are measured on the pots")
    clay = vessel.clay_mm
    if not 0.0 <= margin_mm < clay:
        raise RefusedInput("margin", margin_mm, f"from 0 to less than the clay line, {clay:.4g} mm")
    limit = clay - margin_mm
    low = vessel.pot_height_mm * starting.LOW_LINE_POT_FRAC if low_line_mm is None else low_line_mm
    if not 0.0 <= low < limit:
        name = "low line" if low_line_mm is not None else "low line (a third of the pot)"
        raise RefusedInput(name, round(low, 1), f"from 0 to less than the limit line, {limit:.4g} mm")
    return Lines(clay, limit, low)


def clay_volume(vessel: Vessel) -> float:
    """Volume of all clay in the pots, as poured, its voids in it.

    Parameters
    ----------
    vessel : Vessel
        The tank.

    Returns
    -------
    float
        Volume. [L]

    Notes
    -----
    Frustums from the foot of the pots to the clay line. No pots: 0.

    Source: own definition

    Examples
    --------
    >>> round(clay_volume(Vessel(600.0, 300.0, 300.0, 10, 50.0, 50.0, 50.0, 0.5, 0.44)), 4)
    0.4909
    """
    return _clay_mm3(vessel) * _MM3_L


def tank_weight(
    vessel: Vessel, depth_mm: float, glass_kg: float | None = None, clay_kg_l: float | None = None
) -> Weight:
    """Weight of a filled tank, and its load on what it stands on.

    Bath, soaked clay and glass; plants, pots, lid and stand come on top.

    Parameters
    ----------
    vessel : Vessel
        The tank.
    depth_mm : float
        Depth of the bath. [mm] Valid 0..height.
    glass_kg : float or None
        Weight of the empty tank; None reckons 6 mm glass from its sides. [kg] Valid 0 upward.
    clay_kg_l : float or None
        Dry bulk density of the clay; None for the starting value. [kg/L] Valid above 0..2.

    Returns
    -------
    Weight
        bath_kg, clay_kg, glass_kg, total_kg [kg], load_kg_m2 [kg/m2] and a caution in words.

    Raises
    ------
    RefusedInput
        If the depth, the glass or the density is nan, negative or out of range.

    Notes
    -----
    Solution weighs 1 kg/L; clay takes up 15 % of its dry mass. The load is the
    total over the floor of the tank, not over the room.

    Source: priors, Clay and lines

    Examples
    --------
    >>> tank_weight(Vessel(1000.0, 500.0, 300.0, 0, 0.0, 0.0, 0.0, 0.0, 0.0), 20.0, 15.0).total_kg
    25.0
    """
    density = starting.CLAY_BULK_DENSITY_KG_L if clay_kg_l is None else clay_kg_l
    if not 0.0 < density <= 2.0:
        raise RefusedInput("clay density", density, "a bulk density above 0 and up to 2 kg/L")
    glass = _glass(vessel) if glass_kg is None else glass_kg
    if not (math.isfinite(glass) and glass >= 0.0):
        raise RefusedInput("glass", glass, "a weight of 0 kg or more")
    bath = float(bath_volume(vessel, depth_mm))
    clay = _clay_mm3(vessel) * _MM3_L * density * _SOAKED
    total = bath + clay + glass
    load = total / (vessel.floor_mm2 * 1e-6)
    return Weight(bath, clay, glass, total, load, _caution(load))


def _volume_mm3(vessel: Vessel, depth: Floats) -> Floats:
    foot, slope = vessel.foot_and_slope
    deep = np.minimum(depth, vessel.clay_mm)
    squared = deep * (foot**2 + deep * (foot * slope + deep * slope**2 / 3.0))
    return np.asarray(vessel.floor_mm2 * depth - vessel.solid * squared)


def _area_mm2(vessel: Vessel, depth: Floats) -> Floats:
    foot, slope = vessel.foot_and_slope
    return np.asarray(vessel.floor_mm2 - vessel.solid * (foot + slope * depth) ** 2)


def _depth_in_clay(vessel: Vessel, volume: Floats) -> Floats:
    """Depth below the clay line, by the root of the cubic and two Newton steps."""
    foot, slope = vessel.foot_and_slope
    solid = vessel.solid
    if solid == 0.0:
        return np.asarray(volume / vessel.floor_mm2)
    if abs(slope) < 1e-9:
        depth = volume / (vessel.floor_mm2 - solid * foot**2)
    else:
        reach = math.sqrt(vessel.floor_mm2 / solid)
        q = 3.0 * (vessel.floor_mm2 * foot + slope * volume) / solid - foot**3
        radius = 2.0 * reach * np.sin(np.arcsin(np.clip(q / (2.0 * reach**3), -1.0, 1.0)) / 3.0)
        depth = (radius - foot) / slope
    for _ in range(2):
        depth = np.clip(depth, 0.0, vessel.clay_mm)
        depth = depth - (_volume_mm3(vessel, depth) - volume) / _area_mm2(vessel, depth)
    return np.asarray(np.clip(depth, 0.0, vessel.clay_mm))


def _in_range(name: str, values: npt.ArrayLike, highest: float, unit: str) -> Floats:
    try:
        array = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise RefusedInput(name, str(values), f"a number from 0 to {highest:.4g} {unit}") from None
    bad = ~((array >= 0.0) & (array <= highest * (1.0 + _SLACK)))
    if bad.any():
        accepted = f"from 0 to {highest:.4g} {unit}, the rim of the tank"
        raise RefusedInput(name, f"{float(array[bad].flat[0]):.6g} {unit}", accepted)
    return np.asarray(np.minimum(array, highest))


def _clay_mm3(vessel: Vessel) -> float:
    foot, slope = vessel.foot_and_slope
    top = vessel.clay_mm
    return vessel.pots * math.pi * top * (foot**2 + top * (foot * slope + top * slope**2 / 3.0))


def _glass(vessel: Vessel) -> float:
    walls = 2.0 * (vessel.length_mm + vessel.width_mm) * vessel.height_mm
    return (vessel.floor_mm2 + walls) * _GLASS_MM * _MM3_L * _GLASS_KG_L


def _caution(load: float) -> str:
    if load >= _HOME_FLOOR_KG_M2:
        return (
            f"{load:.0f} kg on each square metre under the tank reaches what floors in homes are often "
            "designed for: ask an engineer before setting up more."
        )
    return (
        "Light for one tank; where several stand close together or stacked, ask an engineer about the floor."
    )
