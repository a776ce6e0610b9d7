"""Moist air under the lid and in the room, through PsychroLib, and the water a lid lets out."""

from collections.abc import Callable
from typing import Any

import numpy as np
import psychrolib
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science.limits import Limits, Numbers

psychrolib.SetUnitSystem(psychrolib.SI)  # the library keeps its units in a global; nothing else here sets it

STANDARD_PRESSURE_PA = 101_325.0
VAPOUR_GAS_CONSTANT = 461.523  # J/(kg K): 8314.46 / 18.0153
ZERO_C_K = 273.15
_AS_FRACTION = "as a fraction (95 % is 0.95)"
_TEMPERATURE = Limits("temperature", -20, 60, "C")
_THAWED = Limits("temperature", 0, 60, "C")
_HUMIDITY = Limits("relative humidity", 0, 1, _AS_FRACTION)
_SOME_HUMIDITY = Limits("relative humidity", 0.01, 1, _AS_FRACTION)
_PRESSURE = Limits("air pressure", 60_000, 110_000, "Pa")
_AIR_VOLUME = Limits("air under the lid", 0, 5000, "L")
_AIR_CHANGES = Limits("air changes", 0, 100, "an hour")


def saturation_vapour_pressure(temp_c: Any) -> Numbers:
    """Saturation vapour pressure.

    The pressure of vapour over water (over ice below 0.01 C) when the air holds all it can. ASHRAE's
    equations are taken; the shorter forms of FAO-56 and WMO differ by up to 0.4 % at 30 C.

    Parameters
    ----------
    temp_c : array_like
        Air temperature. [C] Valid -20..60.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Shape of `temp_c`. [Pa]

    Raises
    ------
    RefusedInput
        If a value is nan or outside the valid range.

    Notes
    -----
    Equations 5 (over ice) and 6 (over water) of the handbook; 611.2 Pa at 0 C.

    Source: ashrae-2017, chapter 1, equations 5 and 6

    Examples
    --------
    >>> round(float(saturation_vapour_pressure(20)))
    2339
    """
    return _each(psychrolib.GetSatVapPres, _TEMPERATURE.many(temp_c))


def saturation_vapour_pressure_fao56(temp_c: Any) -> Numbers:
    """Saturation vapour pressure by the short form of FAO-56.

    A rival to `saturation_vapour_pressure`, kept for published examples worked with it.

    Parameters
    ----------
    temp_c : array_like
        Air temperature. [C] Valid 0..60.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Shape of `temp_c`. [Pa]

    Raises
    ------
    RefusedInput
        If a value is nan or outside the valid range.

    Notes
    -----
    e = 610.8 exp(17.27 T / (T + 237.3)); within 0.1 % of the ASHRAE equation from 0 to 35 C.

    Source: fao-56, chapter 3, equation 11

    Examples
    --------
    >>> round(float(saturation_vapour_pressure_fao56(24.5)))
    3075
    """
    temp = _THAWED.many(temp_c)
    return np.float64(610.8) * np.exp(17.27 * temp / (temp + 237.3))


def mean_saturation_vapour_pressure(temp_max_c: Any, temp_min_c: Any) -> Numbers:
    """Mean saturation vapour pressure of a day, from its highest and lowest temperature.

    The mean of the two pressures: the pressure at the mean temperature would be too low, because
    the curve bends upward.

    Parameters
    ----------
    temp_max_c : array_like
        Highest temperature of the day. [C] Valid 0..60.
    temp_min_c : array_like
        Lowest temperature of the day; broadcasts. [C] Valid 0..60, not above `temp_max_c`.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of both. [Pa]

    Raises
    ------
    RefusedInput
        If a value is nan or outside the valid range, or a lowest temperature above the highest.

    Notes
    -----
    e_s = (e(T_max) + e(T_min)) / 2, with the short form the source works with.

    Source: fao-56, chapter 3, equation 12

    Examples
    --------
    >>> round(float(mean_saturation_vapour_pressure(24.5, 15)))
    2390
    """
    highest = saturation_vapour_pressure_fao56(temp_max_c)
    lowest = saturation_vapour_pressure_fao56(temp_min_c)
    if np.any(lowest > highest):
        raise RefusedInput("lowest temperature", temp_min_c, "one not above the day's highest")
    return (highest + lowest) / 2


def absolute_humidity(temp_c: Any, rh_frac: Any) -> Numbers:
    """Vapour in a cubic metre of air.

    What a lid holds back and a room carries off.

    Parameters
    ----------
    temp_c : array_like
        Air temperature. [C] Valid -20..60.
    rh_frac : array_like
        Relative humidity; broadcasts. [1] Valid 0..1.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of both. [g/m3]

    Raises
    ------
    RefusedInput
        If a value is nan or outside the valid range.

    Notes
    -----
    rho = 1000 RH e_s / (R_v T), vapour as an ideal gas: 0.1 to 0.3 % below tables of saturated
    vapour density from 10 to 30 C. 0 humidity gives 0.

    Source: ashrae-2017, chapter 1; weast-astle-1981 (tables it is held against)

    Examples
    --------
    >>> round(float(absolute_humidity(24, 0.95)), 2)
    20.68
    """
    temp, humidity = _TEMPERATURE.many(temp_c), _HUMIDITY.many(rh_frac)
    pressure = _each(psychrolib.GetVapPresFromRelHum, temp, humidity)
    return np.float64(1000) * pressure / (VAPOUR_GAS_CONSTANT * (temp + ZERO_C_K))


def humidity_ratio(temp_c: Any, rh_frac: Any, pressure_pa: Any = STANDARD_PRESSURE_PA) -> Numbers:
    """Mass of vapour for each mass of dry air.

    The measure of moisture that does not change as the air warms or expands.

    Parameters
    ----------
    temp_c : array_like
        Air temperature. [C] Valid -20..60.
    rh_frac : array_like
        Relative humidity; broadcasts. [1] Valid 0.01..1.
    pressure_pa : array_like
        Air pressure. [Pa] Valid 60000..110000.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of all. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or outside the valid range.

    Notes
    -----
    W = 0.621945 e / (p - e).

    Source: ashrae-2017, chapter 1, equation 20

    Examples
    --------
    >>> round(float(humidity_ratio(24, 0.95)), 5)
    0.01791
    """
    pressure = _PRESSURE.many(pressure_pa)
    humidity = _SOME_HUMIDITY.many(rh_frac)
    return _each(psychrolib.GetHumRatioFromRelHum, _TEMPERATURE.many(temp_c), humidity, pressure)


def dew_point(temp_c: Any, rh_frac: Any) -> Numbers:
    """Dew point.

    The temperature at which the air's own vapour begins to settle: a lid colder than this drips.

    Parameters
    ----------
    temp_c : array_like
        Air temperature. [C] Valid -20..60.
    rh_frac : array_like
        Relative humidity; broadcasts. [1] Valid 0.01..1.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of both. [C]

    Raises
    ------
    RefusedInput
        If a value is nan or outside the valid range.

    Notes
    -----
    Solves e_s(T_dew) = RH e_s(T). At humidity 1 it is the air temperature; below 0.01 C it is a
    frost point.

    Source: ashrae-2017, chapter 1, equations 5, 6 and 37

    Examples
    --------
    >>> round(float(dew_point(25, 0.8)), 2)
    21.31
    """
    humidity = _SOME_HUMIDITY.many(rh_frac)
    return _each(psychrolib.GetTDewPointFromRelHum, _TEMPERATURE.many(temp_c), humidity)


def vapour_pressure_deficit(temp_c: Any, rh_frac: Any) -> Numbers:
    """Vapour pressure deficit of the air.

    How much more vapour pressure the air could take at its own temperature: what dries a leaf.

    Parameters
    ----------
    temp_c : array_like
        Air temperature. [C] Valid -20..60.
    rh_frac : array_like
        Relative humidity; broadcasts. [1] Valid 0..1.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of both. [Pa]

    Raises
    ------
    RefusedInput
        If a value is nan or outside the valid range.

    Notes
    -----
    VPD = (1 - RH) e_s(T); 0 at humidity 1.

    Source: ashrae-2017, chapter 1, equation 6

    Examples
    --------
    >>> round(float(vapour_pressure_deficit(25, 0.8)), 1)
    633.8
    """
    return (np.float64(1) - _HUMIDITY.many(rh_frac)) * saturation_vapour_pressure(temp_c)


def vapour_loss(
    air_volume_l: Any,
    ach_per_h: Any,
    inside_temp_c: Any,
    inside_rh_frac: Any,
    room_temp_c: Any,
    room_rh_frac: Any,
) -> Numbers:
    """Water a lid lets out as vapour in a day.

    The starting value for a tank's loss, before its own readings have been heard.

    Parameters
    ----------
    air_volume_l : array_like
        Air under the lid. [L] Valid 0..5000.
    ach_per_h : array_like
        Air changes an hour through the lid; broadcasts, as all do. [1/h] Valid 0..100.
    inside_temp_c : array_like
        Air temperature under the lid. [C] Valid -20..60.
    inside_rh_frac : array_like
        Relative humidity under the lid. [1] Valid 0..1.
    room_temp_c : array_like
        Room temperature. [C] Valid -20..60.
    room_rh_frac : array_like
        Relative humidity of the room. [1] Valid 0..1.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of all; negative where the room is the moister and vapour comes in. [L/d]

    Raises
    ------
    RefusedInput
        If a value is nan or outside the valid range.

    Notes
    -----
    loss = 24 V ACH (AH_in - AH_room) / 1e6, with V in litres and AH in g/m3; a litre of water weighs
    1000 g. 0 air or 0 air changes give 0. Liquid that creeps or drips out is not in it.

    Source: priors, Air under the lid and in the room

    Examples
    --------
    >>> round(1000 * float(vapour_loss(150, 0.5, 26, 0.97, 22, 0.50)))
    25
    """
    volume = _AIR_VOLUME.many(air_volume_l)
    changes = _AIR_CHANGES.many(ach_per_h)
    gained = absolute_humidity(inside_temp_c, inside_rh_frac) - absolute_humidity(room_temp_c, room_rh_frac)
    return np.float64(24e-6) * volume * changes * gained


def _each(formula: Callable[..., float], *values: NDArray[np.float64]) -> Numbers:
    """A scalar formula of the library over every value; one number in gives one number out."""
    if any(value.size == 0 for value in values):
        return np.empty(np.broadcast_shapes(*(value.shape for value in values)))
    found: NDArray[np.float64] = np.vectorize(formula, otypes=[float])(*values)
    return np.float64(found) if found.ndim == 0 else found
