"""The walls of a box: what materials conduct, what layers hold back, how fast a thing follows its air."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science.limits import Limits

W_MK_A_K_FACTOR = 1055.05585262 * 0.0254 / (3600.0 * 0.3048**2 * (5.0 / 9.0))  # Btu.in/(h.ft2.F)
M2K_W_AN_R_VALUE = 3600.0 * 0.3048**2 * (5.0 / 9.0) / 1055.05585262  # h.ft2.F/Btu
STILL_AIR_M2K_W = 0.13  # ISO 6946, horizontal heat flow at a dull surface
_CONVECTION_W_M2K = 2.5  # ISO 6946, horizontal heat flow
_RADIATION_W_M2K = 5.13  # a black surface at 10 C, ISO 6946
_DULL = 0.9
_EDGE = 0.54  # conduction through an edge of two walls, for each length
_CORNER = 0.15  # through a corner of three, for each thickness
_SIDE = Limits("side of the box", 10.0, 3000.0, "mm inside")
_THICK = Limits("wall thickness", 0.01, 300.0, "mm")
_CONDUCTS = Limits("conductivity", 0.001, 500.0, "W/(m K)")
_AREA = Limits("area", 1e-9, 100.0, "m2")
_SPREAD = Limits("temperature difference", -100.0, 100.0, "K")


@dataclass(frozen=True, slots=True)
class Material:
    """What a wall or padding can be made of."""

    conductivity_w_mk: float
    density_kg_l: float
    heat_j_kgk: float
    bare_frac: float = _DULL  # emissivity: share of heat rays sent out, a black surface 1
    source: str = "priors, Boxes on their way"


# EPS: the k-factors of ASTM C578 types at a mean of 40 F, near what a parcel in the cold has.
MATERIALS: dict[str, Material] = {
    "cardboard": Material(0.065, 0.15, 1370.0),
    "EPS I": Material(0.24 * W_MK_A_K_FACTOR, 0.0144, 1450.0, source="astm-c578, typical properties"),
    "EPS VIII": Material(0.235 * W_MK_A_K_FACTOR, 0.0184, 1450.0, source="astm-c578, typical properties"),
    "EPS II": Material(0.22 * W_MK_A_K_FACTOR, 0.0216, 1450.0, source="astm-c578, typical properties"),
    "EPS IX": Material(0.21 * W_MK_A_K_FACTOR, 0.0288, 1450.0, source="astm-c578, typical properties"),
    "foil bubble": Material(0.040, 0.05, 1900.0, 0.3),
    "paper padding": Material(0.045, 0.05, 1370.0),
    "wool": Material(0.040, 0.025, 1700.0),
}


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a wall, ready to be reckoned with."""

    thickness_mm: float
    conductivity_w_mk: float
    bare_frac: float = _DULL


@dataclass(frozen=True, slots=True)
class BoxWalls:
    """How much heat the walls of a box let through for each degree, and what makes it up."""

    through_w_k: float
    inner_m2: float
    outer_m2: float
    resistances: tuple[float, ...]  # K/W: inside air, each layer, outside air


def conductivity_from_k_factor(k_factor: float) -> float:
    """Conductivity of a material from the k-factor printed on its sheet.

    Parameters
    ----------
    k_factor : float
        Btu inch an hour, square foot and degree Fahrenheit. [1] Valid above 0..4000.

    Returns
    -------
    float
        Conductivity. [W/(m.K)]

    Raises
    ------
    RefusedInput
        If it is nan or not above 0.

    Notes
    -----
    One is 0.144228 W/(m K), by the international Btu.

    Source: nist-sp811, appendix B

    Examples
    --------
    >>> round(conductivity_from_k_factor(0.26), 6)
    0.037499
    """
    return Limits("k-factor", 1e-6, 4000.0).one(k_factor) * W_MK_A_K_FACTOR


def resistance_from_r_value(r_value: float) -> float:
    """Resistance of a panel from the R-value printed on it.

    Parameters
    ----------
    r_value : float
        Hour, square foot and degree Fahrenheit a Btu. [1] Valid above 0..1000.

    Returns
    -------
    float
        Resistance of a square metre. [m2.K/W]

    Raises
    ------
    RefusedInput
        If it is nan or not above 0.

    Notes
    -----
    One is 0.176110 m2 K/W, by the international Btu.

    Source: nist-sp811, appendix B

    Examples
    --------
    >>> round(resistance_from_r_value(3.85), 5)
    0.67802
    """
    return Limits("R-value", 1e-6, 1000.0).one(r_value) * M2K_W_AN_R_VALUE


def heat_through_wall(
    area_m2: float, thickness_mm: float, conductivity_w_mk: float, difference_c: float
) -> float:
    """Heat that goes through a plane wall.

    Parameters
    ----------
    area_m2 : float
        Area of the wall. [m2] Valid above 0..100.
    thickness_mm : float
        Its thickness. [mm] Valid 0.01..300.
    conductivity_w_mk : float
        Of its material. [W/(m.K)] Valid 0.001..500.
    difference_c : float
        Warm face less cold face. [C] Valid -100..100.

    Returns
    -------
    float
        Power; negative when the difference is. [W]

    Raises
    ------
    RefusedInput
        If a value is nan or outside its range.

    Notes
    -----
    Q = k A dT / d. Edges and corners are left out; `box_walls` has them.

    Source: openstax-physics, example 14.5

    Examples
    --------
    >>> round(heat_through_wall(0.950, 25.0, 0.010, 35.0), 1)
    13.3
    """
    area, thick = _AREA.one(area_m2), _THICK.one(thickness_mm)
    return _CONDUCTS.one(conductivity_w_mk) * area * _SPREAD.one(difference_c) / (thick * 1e-3)


def box_walls(
    length_mm: float,
    width_mm: float,
    height_mm: float,
    layers: Sequence[Layer],
    outside_m2k_w: float = STILL_AIR_M2K_W,
) -> BoxWalls:
    """Heat that a closed box lets through for each degree between its air and the air around it.

    All six walls are alike. Edges and corners are counted, for a thick wall on a small box has
    nearly as much of them as of wall. Seams, wet cardboard and a stack around the box are not: they are
    in the spread that `transit` gives the result.

    Parameters
    ----------
    length_mm, width_mm, height_mm : float
        Inside of the box. [mm] Valid 10..3000.
    layers : sequence of Layer
        From the inside outward, at least one.
    outside_m2k_w : float
        Resistance of the air at the outside, 0.13 in still air, 0.04 in wind. [m2.K/W] Valid 0..1.

    Returns
    -------
    BoxWalls
        Heat through it [W/K], inner and outer area [m2], resistance of each part in K/W.

    Raises
    ------
    RefusedInput
        If a value is nan or outside its range, there is no layer, or a wall is thicker than five
        inside heights, where edges cannot be told from walls.

    Notes
    -----
    In series: inside air 1/(h A), each layer 1/(k S), outside air Rse/A. S = A/t + 0.54 x 4 (L + W + H) +
    0.15 x 8 t with the layer's inner sides. h = 2.5 + 5.13 e, with e the emissivity of the inner face: 0.13
    m2 K/W at a dull face as in the standard, more at bright foil.

    Source: incropera-dewitt, table 4.1, cases 8 and 9; iso-6946, surface resistances

    Examples
    --------
    >>> walls = box_walls(300.0, 300.0, 300.0, [Layer(25.0, 0.035)])
    >>> round(walls.through_w_k, 2)
    0.61
    """
    sides = np.array([_SIDE.one(side) for side in (length_mm, width_mm, height_mm)]) * 1e-3
    outside = Limits("outside resistance", 0.0, 1.0, "m2 K/W").one(outside_m2k_w)
    if not layers:
        raise RefusedInput("layers", "none", "at least one layer of wall")
    inner_m2 = _surface(sides)
    bare = Limits("emissivity", 0.0, 1.0).one(layers[0].bare_frac)
    parts = [1.0 / ((_CONVECTION_W_M2K + _RADIATION_W_M2K * bare) * inner_m2)]
    for layer in layers:
        thick = _THICK.one(layer.thickness_mm) * 1e-3
        if thick > 5.0 * sides.min():
            raise RefusedInput("wall thickness", layer.thickness_mm, "at most five times the shortest side")
        shape = _surface(sides) / thick + _EDGE * 4.0 * float(sides.sum()) + _CORNER * 8.0 * thick
        parts.append(1.0 / (_CONDUCTS.one(layer.conductivity_w_mk) * shape))
        sides = sides + 2.0 * thick
    outer_m2 = _surface(sides)
    parts.append(outside / outer_m2)
    return BoxWalls(1.0 / sum(parts), inner_m2, outer_m2, tuple(parts))


def time_constant(heat_j_k: float, through_w_k: float) -> float:
    """Time in which a thing of one temperature comes 63 % of the way to that of its air.

    Parameters
    ----------
    heat_j_k : float
        Heat that warms it by one degree. [J/K] Valid above 0.
    through_w_k : float
        Heat that passes for each degree of difference. [W/K] Valid above 0.

    Returns
    -------
    float
        Time constant. [h]

    Raises
    ------
    RefusedInput
        If a value is nan or not above 0.

    Notes
    -----
    C / G. It is one temperature only where the Biot number is below about 0.1 (`biot_number`).

    Source: incropera-dewitt, chapter 5

    Examples
    --------
    >>> time_constant(7200.0, 1.0)
    2.0
    """
    return _above_0("heat capacity", heat_j_k) / _above_0("conductance", through_w_k) / 3600.0


def time_to_reach(gone_frac: float, constant_h: float) -> float:
    """Time in which a thing has gone a share of the way to the temperature of its air.

    Parameters
    ----------
    gone_frac : float
        Share of the way. [1] Valid 0 to below 1.
    constant_h : float
        Its time constant. [h] Valid above 0.

    Returns
    -------
    float
        Time; 0 for no way at all. [h]

    Raises
    ------
    RefusedInput
        If a value is nan or outside its range.

    Notes
    -----
    -tau ln(1 - share): it never arrives.

    Source: incropera-dewitt, chapter 5

    Examples
    --------
    >>> round(time_to_reach(0.5, 1.0), 4)
    0.6931
    """
    if not 0.0 <= gone_frac < 1.0:
        raise RefusedInput("gone_frac", gone_frac, "a share from 0 to below 1")
    return -_above_0("time constant", constant_h) * math.log1p(-gone_frac)


def biot_number(film_w_m2k: float, depth_mm: float, conductivity_w_mk: float) -> float:
    """Biot number: how far a thing is from having one temperature all through.

    Parameters
    ----------
    film_w_m2k : float
        Heat passed at its surface. [W/(m2.K)] Valid above 0.
    depth_mm : float
        Its volume over its surface: a third of a ball's radius. [mm] Valid above 0.
    conductivity_w_mk : float
        Inside it. [W/(m.K)] Valid 0.001..500.

    Returns
    -------
    float
        Below 0.1 one temperature is a good picture of it; above, its rim runs ahead of its core. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or outside its range.

    Notes
    -----
    h L / k.

    Source: incropera-dewitt, chapter 5; cengel-heat, example 4-1

    Examples
    --------
    >>> round(biot_number(210.0, 1.0 / 6.0, 35.0), 4)
    0.001
    """
    film, depth = _above_0("film", film_w_m2k), _above_0("depth", depth_mm)
    return film * depth * 1e-3 / _CONDUCTS.one(conductivity_w_mk)


def _surface(sides: NDArray[np.float64]) -> float:
    a, b, c = (float(side) for side in sides)
    return 2.0 * (a * b + b * c + c * a)


def _above_0(name: str, value: float) -> float:
    if not (isinstance(value, int | float) and 0.0 < value < math.inf):
        raise RefusedInput(name, value, "a number above 0")
    return float(value)
