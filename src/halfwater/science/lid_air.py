"""What a lid does: the humidity under it, the carbon dioxide it lets in, and dew."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfwater.science import starting
from halfwater.science.air import STANDARD_PRESSURE_PA, ZERO_C_K, absolute_humidity, dew_point
from halfwater.science.limits import Limits, Numbers

_AIR_VOLUME = Limits("air under the lid", 1, 5000, "L")
_AIR_CHANGES = Limits("air changes", 0, 100, "an hour")
_LIT_HOURS = Limits("hours of light", 0, 24, "hours a day")
_WET = Limits("wet surface", 0, 100, "m2")
_WANTED = Limits("dry mass the plants would make", 0, 100_000, "g in 30 days")
_CO2 = Limits("carbon dioxide of the room", 200, 5000, "umol/mol (ppm)")
_GAS = 8.314462618  # J/(mol K)
_CARBON_G_MOL = 12.011
_DAYS = 30.0
_HALVINGS = 60
# Growth against carbon dioxide, 1 at 420 ppm: nothing at the compensation point, half at 200.
_CO2_STEPS = np.array([starting.CO2_NONE_PPM, 200.0, 420.0, 1000.0])
_CO2_GROWTH = np.array([0.0, 0.5, 1.0, 1.6])


@dataclass(frozen=True, slots=True)
class LidCarbon:
    """What a lid's air changes allow in growth."""

    co2_umol_mol: Numbers  # under the lid by day, in balance
    growth_frac: Numbers  # of what the plants would make in the room's air
    dry_g_30d: Numbers  # dry mass the tank then makes
    most_dry_g_30d: Numbers  # that the lid could feed with the air under it drawn down


def carbon_supply(
    air_volume_l: Any, ach_per_h: Any, lit_h: Any, temp_c: Any = 25.0, room_co2_umol_mol: Any = 420.0
) -> Numbers:
    """The most dry mass that carbon dioxide through the lid can make in 30 days.

    Parameters
    ----------
    air_volume_l : array_like
        Air under the lid. [L] Valid 1..5000.
    ach_per_h : array_like
        Air changes an hour through the lid. [1/h] Valid 0..100.
    lit_h : array_like
        Hours of light a day. [h] Valid 0..24.
    temp_c : array_like
        Temperature under the lid. [C] Valid -20..60.
    room_co2_umol_mol : array_like
        Carbon dioxide of the room. [umol/mol] Valid 200..5000.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of all. [g/30d]

    Raises
    ------
    RefusedInput
        If a value is nan or out of range.

    Notes
    -----
    30 h ACH V/V_mol (c_room - c_low) 12.011 / 0.45, with V_mol = RT/p, c_low = 80 ppm that leaves still draw
    down to, and 45 % carbon in dry mass. Nothing at 0 air changes or 0 hours. What roots, clay and
    microbes breathe out under the lid is left out: it is a careful bound.

    Source: priors, Carbon dioxide and vapour under a lid

    Examples
    --------
    >>> round(float(carbon_supply(150, 1.0, 10)))
    17
    """
    draw = np.maximum(_CO2.many(room_co2_umol_mol) - starting.CO2_DRAWN_PPM, 0.0)
    moles = _moles_of_air(air_volume_l, temp_c) * draw * 1e-6
    exchanged = _AIR_CHANGES.many(ach_per_h) * _LIT_HOURS.many(lit_h)
    return np.float64(_DAYS) * exchanged * moles * _CARBON_G_MOL / starting.DRY_MASS_CARBON_FRAC


def lid_carbon(
    air_volume_l: Any,
    ach_per_h: Any,
    lit_h: Any,
    wanted_g_30d: Any,
    temp_c: Any = 25.0,
    room_co2_umol_mol: Any = 420.0,
) -> LidCarbon:
    """Carbon dioxide under the lid by day, and what it makes of the plants' growth.

    Parameters
    ----------
    air_volume_l : array_like
        Air under the lid. [L] Valid 1..5000.
    ach_per_h : array_like
        Air changes an hour. [1/h] Valid 0..100.
    lit_h : array_like
        Hours of light a day. [h] Valid 0..24.
    wanted_g_30d : array_like
        Dry mass the tank's plants would make in 30 days in the open air of the room. [g/30d] Valid 0..100000.
    temp_c : array_like
        Temperature under the lid. [C] Valid -20..60.
    room_co2_umol_mol : array_like
        Carbon dioxide of the room. [umol/mol] Valid 200..5000.

    Returns
    -------
    LidCarbon
        Broadcast shape of all in each of its four figures.

    Raises
    ------
    RefusedInput
        If a value is nan or out of range.

    Notes
    -----
    In balance what comes through the lid is what the plants take, in moles of carbon: h ACH n (c_room - c) =
    wanted g(c)/g(c_room); g is straight between 0 at 75, 0.5 at 200, 1 at 420 and 1.6 at 1000 ppm, flat
    above. The left side falls and the right side rises with c: one root, found by halving. No air changes
    leave the air at 75 ppm and no growth; no plants leave it as the room's.

    Source: priors, Carbon dioxide and vapour under a lid; teixeira-da-silva-2006; own definition (balance)

    Examples
    --------
    >>> tight, loose = lid_carbon(150, [0.05, 1.0], 10, 20).growth_frac
    >>> bool(tight < 0.1 < 0.5 < loose)
    True
    """
    room = _CO2.many(room_co2_umol_mol)
    wanted = _WANTED.many(wanted_g_30d) * starting.DRY_MASS_CARBON_FRAC / _CARBON_G_MOL / _DAYS
    carbon_factor = (
        _AIR_CHANGES.many(ach_per_h) * _LIT_HOURS.many(lit_h) * _moles_of_air(air_volume_l, temp_c) * 1e-6
    )
    room, wanted, carbon_factor = np.broadcast_arrays(room, wanted, carbon_factor)
    full = np.interp(room, _CO2_STEPS, _CO2_GROWTH)
    low, high = np.minimum(np.full(room.shape, starting.CO2_NONE_PPM), room), room.astype(float)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        comes = carbon_factor * (room - middle)
        takes = wanted * np.interp(middle, _CO2_STEPS, _CO2_GROWTH) / full
        is_below = comes > takes
        low, high = np.where(is_below, middle, low), np.where(is_below, high, middle)
    inside = np.where(wanted == 0, room, (low + high) / 2)
    growth = np.interp(inside, _CO2_STEPS, _CO2_GROWTH) / full
    made = growth * np.asarray(wanted_g_30d, dtype=float)
    most = carbon_supply(air_volume_l, ach_per_h, lit_h, temp_c, room_co2_umol_mol)
    return LidCarbon(_plain(inside), _plain(growth), _plain(made), most)


def lid_humidity(
    air_volume_l: Any,
    ach_per_h: Any,
    wet_m2: Any,
    inside_temp_c: Any,
    room_temp_c: Any,
    room_rh_frac: Any,
) -> Numbers:
    """Relative humidity under a lid, where no reading was noted.

    Parameters
    ----------
    air_volume_l : array_like
        Air under the lid. [L] Valid 1..5000.
    ach_per_h : array_like
        Air changes an hour. [1/h] Valid 0..100.
    wet_m2 : array_like
        Wet surface under it: bath, damp clay, film on leaves. [m2] Valid 0..100.
    inside_temp_c : array_like
        Temperature under the lid. [C] Valid -20..60.
    room_temp_c : array_like
        Room temperature. [C] Valid -20..60.
    room_rh_frac : array_like
        Relative humidity of the room. [1] Valid 0..1.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of all; 1 at most, for what is over it condenses. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or out of range.

    Notes
    -----
    In balance g A (AH_sat - AH_in) = V ACH (AH_in - AH_room), with g = 5 m/h from wet surfaces to still air:
    AH_in = (g A AH_sat + V ACH AH_room) / (g A + V ACH). A sealed lid gives 1 where anything is wet, the
    room's vapour where nothing is.

    Source: own definition (balance); priors, Carbon dioxide and vapour under a lid

    Examples
    --------
    >>> round(float(lid_humidity(150, 0.5, 0.5, 26, 22, 0.5)), 3)
    0.982
    """
    volume_m3 = _AIR_VOLUME.many(air_volume_l) / 1000.0
    leak = np.maximum(volume_m3 * _AIR_CHANGES.many(ach_per_h), 1e-12)
    wet = starting.WET_SURFACE_M_PER_H * _WET.many(wet_m2)
    full = absolute_humidity(inside_temp_c, 1.0)
    inside = (wet * full + leak * absolute_humidity(room_temp_c, room_rh_frac)) / (wet + leak)
    return np.float64(1.0) * np.minimum(inside / full, 1.0)


def dew_margin(inside_temp_c: Any, inside_rh_frac: Any, surface_temp_c: Any) -> Numbers:
    """How far a leaf or the lid is above the dew point; below 0 it gets wet by itself.

    Parameters
    ----------
    inside_temp_c : array_like
        Air temperature under the lid. [C] Valid -20..60.
    inside_rh_frac : array_like
        Relative humidity under the lid. [1] Valid 0.01..1.
    surface_temp_c : array_like
        Temperature of the leaf or of the lid. [C] Valid -20..60.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of all. [C]

    Raises
    ------
    RefusedInput
        If a value is nan or out of range.

    Notes
    -----
    T_surface - T_dew(T, RH). At 97 % a surface half a degree cooler than the air is at the dew point: under a
    lid dew is the rule each time the lamp goes off.

    Source: ashrae-2017, chapter 1, equations 5, 6 and 37

    Examples
    --------
    >>> round(float(dew_margin(25, 0.80, 22)), 2)
    0.69
    """
    surface = Limits("temperature of the surface", -20, 60, "C").many(surface_temp_c)
    return np.float64(1.0) * surface - dew_point(inside_temp_c, inside_rh_frac)


def _moles_of_air(air_volume_l: Any, temp_c: Any) -> NDArray[np.float64]:
    kelvin = Limits("temperature", -20, 60, "C").many(temp_c) + ZERO_C_K
    return np.asarray(STANDARD_PRESSURE_PA * _AIR_VOLUME.many(air_volume_l) / 1000.0 / (_GAS * kelvin))


def _plain(values: NDArray[np.float64]) -> Numbers:
    return np.float64(values) if values.ndim == 0 else values
