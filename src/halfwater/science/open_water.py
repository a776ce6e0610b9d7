"""Vapour from water that no lid covers: through still air, along a duct, off an open pool."""

import math
from functools import lru_cache
from typing import Any

from halfwater.errors import RefusedInput
from halfwater.science.air import (
    STANDARD_PRESSURE_PA,
    ZERO_C_K,
    humidity_ratio,
    saturation_vapour_pressure,
)
from halfwater.science.ions import read_data
from halfwater.science.limits import Limits

_TEMPERATURE = Limits("temperature", 0, 60, "C")
_PRESSURE = Limits("air pressure", 60_000, 110_000, "Pa")
_HUMIDITY = Limits("relative humidity", 0, 1, "as a fraction (95 % is 0.95)")
_GAP = Limits("air between water and rim", 1, 5000, "mm")
_AREA = Limits("area", 0, 1e8, "mm2")
_BORE = Limits("bore of the duct", 1, 1000, "mm")
_SPEED = Limits("speed of the air", 0, 100, "m/s")
_GAS_J_MOLK = 8.314462618  # iupac-2021: molar gas constant
_WATER_KG_MOL = 0.0180153  # iupac-2021
_DRY_AIR_J_KGK = 287.042  # ashrae-2017, chapter 1


def vapour_diffusion(temp_c: float, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """How readily vapour spreads in air.

    Parameters
    ----------
    temp_c : float
        Of the air. [C] Valid 0..60.
    pressure_pa : float
        Of the air. [Pa] Valid 60000..110000.

    Returns
    -------
    float
        Diffusion coefficient. [m2/s]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    D = 1.87e-10 T^2.072 / P, T in kelvin, P in atmospheres.

    Source: cengel-mass, Examples 14-9 and 14-10

    Examples
    --------
    >>> f"{vapour_diffusion(26.85):.2e}"
    '2.54e-05'
    """
    law = _table()["vapour_in_air"]
    kelvin = _TEMPERATURE.one(temp_c) + ZERO_C_K
    return float(law["factor"] * kelvin ** law["power"] / (_PRESSURE.one(pressure_pa) / STANDARD_PRESSURE_PA))


def still_air_loss(
    gap_mm: float,
    area_mm2: float,
    temp_c: float,
    air_rh_frac: float = 0.0,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> float:
    """Water lost in a day up a tube of still air.

    Parameters
    ----------
    gap_mm : float
        From the water up to the rim. [mm] Valid 1..5000.
    area_mm2 : float
        Cross-section. [mm2] Valid 0..1e8.
    temp_c : float
        Of water and air. [C] Valid 0..60.
    air_rh_frac : float
        Relative humidity over the rim. [1] Valid 0..1.
    pressure_pa : float
        Of the air. [Pa] Valid 60000..110000.

    Returns
    -------
    float
        Water that leaves. [L/d]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    After Stefan: N = c D A / L ln((1 - y_rim) / (1 - y_water)), c = P / (R T), y = vapour pressure over P.
    Nothing leaves into saturated air. For still air only: a draught or a warm lamp does far more.

    Source: cengel-mass, Example 14-9
    """
    gap, area = _GAP.one(gap_mm) / 1000.0, _AREA.one(area_mm2) / 1e6
    humidity, pressure = _HUMIDITY.one(air_rh_frac), _PRESSURE.one(pressure_pa)
    share = float(saturation_vapour_pressure(_TEMPERATURE.one(temp_c))) / pressure
    moles_m3 = pressure / (_GAS_J_MOLK * (temp_c + ZERO_C_K))
    drive = math.log((1.0 - humidity * share) / (1.0 - share))
    moles_s = moles_m3 * vapour_diffusion(temp_c, pressure) * area / gap * drive
    return moles_s * _WATER_KG_MOL * 86_400.0


def duct_transfer(speed_m_s: float, bore_mm: float, temp_c: float) -> float:
    """How fast a round duct's wet wall gives off vapour to slow air in it.

    Parameters
    ----------
    speed_m_s : float
        Mean speed of the air. [m/s] Valid 0..100, the flow laminar.
    bore_mm : float
        Inside width. [mm] Valid 1..1000.
    temp_c : float
        Of the air. [C] Valid 0..60.

    Returns
    -------
    float
        Mass-transfer coefficient. [m/s]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range, or the Reynolds number is 2300 or more.

    Notes
    -----
    h = 3.66 D / d at standard pressure, fully developed laminar flow; Re = v d / nu, nu of air at 300 K.

    Source: cengel-mass, Example 14-10
    """
    speed, bore = _SPEED.one(speed_m_s), _BORE.one(bore_mm) / 1000.0
    duct = _table()["duct"]
    if duct_reynolds(speed, bore_mm) >= duct["laminar_below"]:
        slow = duct["laminar_below"] * duct["air_viscosity_m2_s"] / bore
        raise RefusedInput(_SPEED.field, speed_m_s, f"slow air: below {slow:.3g} m/s in so wide a duct")
    return float(duct["sherwood"] * vapour_diffusion(temp_c) / bore)


def duct_reynolds(speed_m_s: float, bore_mm: float) -> float:
    """Reynolds number of air in a round duct.

    Parameters
    ----------
    speed_m_s : float
        Mean speed of the air. [m/s] Valid 0..100.
    bore_mm : float
        Inside width. [mm] Valid 1..1000.

    Returns
    -------
    float
        Reynolds number; 0 for still air. [1]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    Re = v d / nu, nu = 1.58e-5 m2/s, of air at 300 K.

    Source: cengel-mass, Example 14-10
    """
    return float(_SPEED.one(speed_m_s) * _BORE.one(bore_mm) / 1000.0 / _table()["duct"]["air_viscosity_m2_s"])


def open_water_loss(water_temp_c: float, air_temp_c: float, air_rh_frac: float) -> float:
    """Water that an open surface gives off to a still room.

    Parameters
    ----------
    water_temp_c : float
        Of the surface. [C] Valid 0..60.
    air_temp_c : float
        Of the room. [C] Valid 0..60.
    air_rh_frac : float
        Relative humidity of the room. [1] Valid 0..1.

    Returns
    -------
    float
        Evaporation, to some 20 %; 0 where the room holds more vapour than the surface. [kg/(m2.h)]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    The larger of C rho_w (rho_r - rho_w)^(1/3) (W_w - W_r), C = 35 (40 up to 0.02 kg/m3 apart), and
    0.00005 (p_w - p_r): W vapour for each of dry air, rho dry air in a m3 of moist air. Fitted to pools of
    0.07 to 425 m2 in rooms of 28 to 95 %. A tank under a lid is outside it: there the lid's leaks decide
    (`halfwater.science.air.vapour_loss`).

    Source: shah-2002
    """
    law = _table()["open_water"]
    water_c, air_c = _TEMPERATURE.one(water_temp_c), _TEMPERATURE.one(air_temp_c)
    humidity = _HUMIDITY.one(air_rh_frac)
    over_pa = float(saturation_vapour_pressure(water_c))
    room_pa = humidity * float(saturation_vapour_pressure(air_c))
    over, room = _dry_air(water_c, over_pa), _dry_air(air_c, room_pa)
    vapour = float(humidity_ratio(water_c, 1.0)) - float(humidity_ratio(air_c, humidity))
    apart = room - over
    factor = law["dense"] if apart > law["apart_kg_m3"] else law["light"]
    rising = factor * over * max(apart, 0.0) ** (1.0 / 3.0) * vapour
    least_kg_m2_h = law["pressure_kg_m2_h_pa"] * (over_pa - room_pa)
    return float(max(rising, least_kg_m2_h, 0.0))


def _dry_air(temp_c: float, vapour_pa: float) -> float:
    """Dry air in a cubic metre of moist air, kg."""
    return (STANDARD_PRESSURE_PA - vapour_pa) / (_DRY_AIR_J_KGK * (temp_c + ZERO_C_K))


@lru_cache(maxsize=1)
def _table() -> dict[str, Any]:
    return read_data("flows.toml")
