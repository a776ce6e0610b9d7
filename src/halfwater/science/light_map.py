"""A map of the light on a floor, from a few readings: Gaussian process regression on the log of the light.

A lamp's light is written as L(x) = exp(b0 + b1 q(x) + f(x)): b0 the level, q the squared distance from the
middle of the floor (1 in the corners), so that b1 is how much a corner falls short, and f a smooth rest.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import linalg, special

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.limits import Limits

_FLOOR = Limits("side of the floor", 50, 10_000, "mm")
_PPFD = Limits("PPFD", 0, 3000, "umol/m2/s")
_SOME_PPFD = Limits("lamp's light at a reading", 0.05, 3000, "umol/m2/s, the stray light taken off")
_DIMMER = Limits("dimmer", 0.02, 1, "(1 is full power)")
_PLACE = Limits("place on the floor", -50, 10_050, "mm")
_LEVEL_SD = 3.0  # of b0 about the readings' own mean: the level is as good as unknown
_REACH_FRACS = (0.2, 0.35, 0.6, 1.0)  # of the floor's sides: how far alike light reaches
_REST_SDS = (0.05, 0.12, 0.25)  # of f, on the log scale
_Z80 = float(special.ndtri(0.9))
_ODD_Z = 3.5
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LightReading:
    """One reading of a light meter at pot height."""

    x_mm: float  # from the left
    y_mm: float  # from the front
    ppfd_umol_m2_s: float
    dimmer_frac: float = 1.0
    stray_ppfd_umol_m2_s: float = 0.0  # what the meter shows there with the lamp off


@dataclass(frozen=True)
class LightMap:
    """The lamp's light at full power over places of a floor, as a mixture of normals on the log scale."""

    places_mm: Array  # (k, 2)
    weights: Array  # (h,) of the shapes tried
    means_log: Array  # (h, k)
    sds_log: Array  # (h, k)
    shape_log: Array  # (k, k) covariance under the likeliest shape
    readings: int
    odd: tuple[int, ...]  # readings far from what the others say

    @cached_property
    def mean_log(self) -> Array:
        """Mean of log light at each place. (k,)"""
        return np.asarray(self.weights @ self.means_log)

    @cached_property
    def sd_log(self) -> Array:
        """Spread of log light at each place. (k,)"""
        second = self.weights @ (self.sds_log**2 + self.means_log**2)
        return np.sqrt(np.maximum(second - self.mean_log**2, 0.0))

    @property
    def ppfd_umol_m2_s(self) -> Array:
        """Median at full power at each place. (k,)"""
        return np.exp(self.mean_log)

    @property
    def low_umol_m2_s(self) -> Array:
        """Low end of the 80 % range at each place. (k,)"""
        return np.exp(self.mean_log - _Z80 * self.sd_log)

    @property
    def high_umol_m2_s(self) -> Array:
        """High end of the 80 % range at each place. (k,)"""
        return np.exp(self.mean_log + _Z80 * self.sd_log)

    @property
    def read_next(self) -> int:
        """The place whose light is known least: where the next reading tells most."""
        return int(np.argmax(self.sd_log))


@dataclass(frozen=True, slots=True)
class Evenness:
    """How even the light is, as median and 80 % range."""

    least_over_mean_frac: float
    low_frac: float
    high_frac: float


def map_light(
    readings: Sequence[LightReading], floor_length_mm: float, floor_width_mm: float, places_mm: Any
) -> LightMap:
    """The lamp's light at full power at every place of a floor, from a few readings.

    One reading gives the level and a wide guess at the edges; five (the middle and near the corners) give
    the map; more narrow it where they stand.

    Parameters
    ----------
    readings : Sequence of LightReading
        At least one, with the lamp on. Each with its place, dimmer and the stray light there.
    floor_length_mm : float
        Length of the floor, along x. [mm] Valid 50..10000.
    floor_width_mm : float
        Width of the floor, along y. [mm] Valid 50..10000.
    places_mm : array_like
        Shape (k, 2): the places asked about, such as the middles of spots. [mm] Valid -50..10050.

    Returns
    -------
    LightMap
        Median and 80 % range at each place, full power, without stray light.

    Raises
    ------
    RefusedInput
        If there is no reading, a value is nan or out of range, or a reading is not above its stray light.

    Notes
    -----
    log y_i = b0 + b1 q(x_i) + f(x_i) + e_i, with y the reading less stray light, over the dimmer; b0 wide,
    b1 ~ N(log 0.65, 0.25^2) (edges get half to four fifths of the middle), f a Gaussian process with a
    squared exponential kernel whose reach (4 shares of the sides) and spread (3) are averaged over by
    their exact marginal likelihood, e ~ N(0, sd^2) of a meter held by hand. Two readings at one place
    count as two. A reading more than 3.5 spreads from what the others say is named in `odd`, and kept in.

    Source: rasmussen-williams-2006, equations 2.23-2.24, 2.30 and 5.8; own definition (mean and averaging)

    Examples
    --------
    >>> one = map_light([LightReading(300, 150, 100)], 600, 300, [[300, 150], [0, 0]])
    >>> [round(float(value)) for value in one.ppfd_umol_m2_s]
    [100, 65]
    """
    length, width = _FLOOR.one(floor_length_mm), _FLOOR.one(floor_width_mm)
    if not readings:
        raise RefusedInput("readings", "", "at least one reading of the lamp's light at pot height")
    places = _places(places_mm)
    sides = np.array([length, width])
    at = _places([[one.x_mm, one.y_mm] for one in readings])
    seen = np.log(_lamp_light(readings))
    level = float(seen.mean())
    shapes = [_shape(at, seen - level, places, sides, *pair) for pair in product(_REACH_FRACS, _REST_SDS)]
    logs = np.array([shape.log_likelihood for shape in shapes])
    weights = np.exp(logs - special.logsumexp(logs))
    best = shapes[int(np.argmax(weights))]
    odd = np.flatnonzero(np.abs(best.left_out_z) > _ODD_Z)
    return LightMap(
        places,
        weights,
        np.array([shape.mean for shape in shapes]) + level,
        np.sqrt(np.array([shape.variance for shape in shapes])),
        _kernel(places, places, sides, best.reach_factor, best.spread) - best.known.T @ best.known,
        len(readings),
        tuple(int(i) for i in odd),
    )


def evenness(light: LightMap, rng: np.random.Generator, draws: int = 400) -> Evenness:
    """How even the lamp's light is over the places of a map: the least place over the mean of all.

    Parameters
    ----------
    light : LightMap
        The map, of two places or more.
    rng : numpy.random.Generator
        Draws whole maps: neighbours are bright or dim together.
    draws : int
        How many. [1] Valid 50..100000.

    Returns
    -------
    Evenness
        Median and 80 % range of least over mean. [1]

    Raises
    ------
    RefusedInput
        If the map has one place, or `draws` is out of range.

    Notes
    -----
    U = min(L) / mean(L), as lighting practice tells uniformity; 1 is even. Drawn with the covariance of the
    likeliest shape about the averaged mean.

    Source: own definition (draws)

    Examples
    --------
    >>> spots = [[100, 150], [300, 150], [500, 150]]
    >>> even = evenness(map_light([LightReading(x, 150, 80) for x in (100, 300, 500)], 600, 300, spots),
    ...                 np.random.default_rng(1))
    >>> 0.85 < even.least_over_mean_frac <= 1
    True
    """
    Limits("draws", 50, 100_000).one(draws)
    spots = len(light.places_mm)
    if spots < 2:
        raise RefusedInput("places", spots, "two places or more")
    nudge = 1e-9 * np.trace(light.shape_log) / spots  # neighbours are alike to the last digit
    root = linalg.cholesky(light.shape_log + nudge * np.eye(spots), lower=True, check_finite=False)
    maps = np.exp(light.mean_log + rng.standard_normal((draws, spots)) @ root.T)
    low, middle, high = np.quantile(maps.min(axis=1) / maps.mean(axis=1), (0.1, 0.5, 0.9))
    return Evenness(float(middle), float(low), float(high))


def spot_daily_light(
    light: LightMap, dimmer_frac: float, lamp_h: float, stray_mol_m2_d: float = 0.0
) -> tuple[Array, Array, Array]:
    """Daily light at each place of a map: low end, median and high end of the 80 % range.

    Parameters
    ----------
    light : LightMap
        The lamp at full power.
    dimmer_frac : float
        Dimmer setting. [1] Valid 0..1.
    lamp_h : float
        Hours a day. [h] Valid 0..24.
    stray_mol_m2_d : float
        Daily light from elsewhere. [mol/m2/d] Valid 0..260.

    Returns
    -------
    tuple of three numpy.ndarray
        Shape (k,) each. [mol/m2/d]

    Raises
    ------
    RefusedInput
        If a value is nan or out of range.

    Notes
    -----
    DLI = 0.0036 dimmer h L + stray. With the lamp off it is the stray light alone.

    Source: purdue-ho-238

    Examples
    --------
    >>> one = map_light([LightReading(300, 150, 100)], 600, 300, [[300, 150]])
    >>> round(float(spot_daily_light(one, 0.5, 12)[1][0]), 2)
    2.16
    """
    dimmer = Limits("dimmer", 0, 1, "(1 is full power)").one(dimmer_frac)
    hours = Limits("hours of light", 0, 24, "hours a day").one(lamp_h)
    stray = Limits("stray daily light", 0, 260, "mol/m2/d").one(stray_mol_m2_d)
    factor = 0.0036 * dimmer * hours
    ends = (light.low_umol_m2_s, light.ppfd_umol_m2_s, light.high_umol_m2_s)
    low, middle, high = (factor * end + stray for end in ends)
    return low, middle, high


@dataclass(frozen=True, slots=True)
class _Shape:
    """What one reach and one spread say."""

    reach_factor: float
    spread: float
    mean: Array  # (k,)
    variance: Array  # (k,)
    known: Array  # (n, k): its square is what the readings take from the covariance
    log_likelihood: float
    left_out_z: Array  # (n,) each reading against the others


def _shape(at: Array, seen: Array, places: Array, sides: Array, reach: float, spread: float) -> _Shape:
    cov_seen = _kernel(at, at, sides, reach, spread) + starting.LIGHT_READING_SD_LOG**2 * np.eye(len(at))
    lower = linalg.cholesky(cov_seen, lower=True, check_finite=False)
    inverse = linalg.cho_solve((lower, True), np.eye(len(at)), check_finite=False)
    rest = seen - starting.CORNER_LIGHT_LOG * _corner(at, sides)
    weights = inverse @ rest
    across = _kernel(at, places, sides, reach, spread)
    known = linalg.solve_triangular(lower, across, lower=True, check_finite=False)
    corners = _corner(places, sides)
    alone = _LEVEL_SD**2 + starting.CORNER_LIGHT_SD_LOG**2 * corners**2 + spread**2
    log_det = 2.0 * float(np.log(np.diag(lower)).sum())
    return _Shape(
        reach,
        spread,
        starting.CORNER_LIGHT_LOG * corners + weights @ across,
        np.maximum(alone - (known**2).sum(axis=0), 0.0),
        known,
        -0.5 * (float(rest @ weights) + log_det + len(at) * np.log(2 * np.pi)),
        weights / np.sqrt(np.diag(inverse)),
    )


def _kernel(first: Array, second: Array, sides: Array, reach: float, spread: float) -> Array:
    """Covariance of log light: level, fall to the corners, smooth rest."""
    apart = ((first[:, None, :] - second[None, :, :]) / (reach * sides)) ** 2
    fall = np.outer(_corner(first, sides), _corner(second, sides))
    rest = spread**2 * np.exp(-0.5 * apart.sum(axis=2))
    return np.asarray(_LEVEL_SD**2 + starting.CORNER_LIGHT_SD_LOG**2 * fall + rest)


def _corner(at: Array, sides: Array) -> Array:
    """Squared distance from the middle: 0 there, 1 in the corners."""
    return np.asarray((((2 * at - sides) / sides) ** 2).sum(axis=1) / 2.0)


def _places(places_mm: Any) -> Array:
    places = _PLACE.many(places_mm)
    if places.ndim != 2 or places.shape[1] != 2 or not len(places):
        raise RefusedInput("places", np.shape(places), "a row of x and y for each place, one place at least")
    return places


def _lamp_light(readings: Sequence[LightReading]) -> Array:
    """The lamp alone, at full power."""
    seen = _PPFD.many([one.ppfd_umol_m2_s for one in readings])
    stray = _PPFD.many([one.stray_ppfd_umol_m2_s for one in readings])
    dimmer = _DIMMER.many([one.dimmer_frac for one in readings])
    return _SOME_PPFD.many(np.where(seen > stray, (seen - stray) / dimmer, 0.0))
