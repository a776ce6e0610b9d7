"""How fast a siphon runs: through a hose that holds nothing back, and through a real one."""

import math
from functools import lru_cache
from typing import Any

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.science.ions import read_data
from halfwater.science.limits import Limits

_HEAD = Limits("head of the siphon", 0, 5000, "mm")
_BORE = Limits("bore of the hose", 1, 100, "mm")
_HOSE = Limits("length of the hose", 0, 20_000, "mm")
_VOLUME = Limits("volume", 0, 10_000, "L")
_TEMPERATURE = Limits("temperature", 0, 40, "C")
_RISE = Limits("rise above the lower end", 0, 10_000, "mm")
_DENSITY = Limits("density", 0.5, 2, "kg/L")
_PRESSURE = Limits("air pressure", 60_000, 110_000, "Pa")
_REYNOLDS = Limits("Reynolds number", 1, 1e8)
_ROUGHNESS = Limits("roughness over bore", 0, 0.05)


def siphon_speed(head_mm: float) -> float:
    """Speed at the lower end of a siphon that holds nothing back.

    Parameters
    ----------
    head_mm : float
        Water's surface above the lower end. [mm] Valid 0..5000.

    Returns
    -------
    float
        Speed, the most there can be. [m/s]

    Raises
    ------
    RefusedInput
        If the head is nan or out of range.

    Notes
    -----
    v = sqrt(2 g h); 0 at no head. A real hose runs slower: `siphon_minutes`.

    Source: cengel-cimbala, Example 5-7

    Examples
    --------
    >>> round(siphon_speed(750.0), 2)
    3.84
    """
    return math.sqrt(2.0 * _gravity() * _HEAD.one(head_mm) / 1000.0)


def siphon_minutes(
    volume_l: float, head_mm: float, bore_mm: float, hose_mm: float | None = None, temp_c: float = 20.0
) -> float:
    """Minutes in which a siphon takes so many litres.

    Parameters
    ----------
    volume_l : float
        Litres to take. [L] Valid 0..10000.
    head_mm : float
        Water's surface above the lower end, taken as it stays. [mm] Valid above 0..5000.
    bore_mm : float
        Inside width of the hose. [mm] Valid 1..100.
    hose_mm : float or None
        Length of a smooth hose; None for one that holds nothing back. [mm] Valid 0..20000.
    temp_c : float
        Of the water. [C] Valid 0..40.

    Returns
    -------
    float
        Minutes. [min]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range, or the head is 0: nothing runs.

    Notes
    -----
    h = (1 + 0.5 + f L / d) v^2 / (2 g): speed at the end, the cut end under water, the wall, f as in
    `friction_factor`, solved by turns. The head is taken as steady: as the bath sinks it takes longer.

    Source: cengel-cimbala, chapter 8 and Example 5-7
    """
    volume, head, bore = _VOLUME.one(volume_l), _HEAD.one(head_mm), _BORE.one(bore_mm) / 1000.0
    kept_mm, degrees = (None if hose_mm is None else _HOSE.one(hose_mm)), _TEMPERATURE.one(temp_c)
    if head == 0.0:
        raise RefusedInput(_HEAD.field, head_mm, "a lower end that hangs below the water, such as 500 mm")
    ideal = siphon_speed(head)
    speed = ideal if kept_mm is None else _held_back(ideal, bore, kept_mm / 1000.0, degrees)
    litres_per_minute = 60_000.0 * speed * math.pi * bore**2 / 4.0
    return volume / litres_per_minute


def friction_factor(reynolds: float, roughness_factor: float = 0.0) -> float:
    """Friction factor of a full round pipe, after Darcy.

    Parameters
    ----------
    reynolds : float
        Reynolds number. [1] Valid 1..1e8.
    roughness_factor : float
        Height of the wall's grains over the bore; 0 is smooth. [1] Valid 0..0.05.

    Returns
    -------
    float
        Friction factor. [1]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    64 / Re below 2300; above, Colebrook's 1 / sqrt(f) = -2 log10(e / 3.7 + 2.51 / (Re sqrt(f))), by turns
    to the last digit. Between 2300 and 4000 a pipe does now one, now the other.

    Source: cengel-cimbala, chapter 8

    Examples
    --------
    >>> round(friction_factor(1e5, 1e-4), 6)
    0.018514
    """
    number, rough = _REYNOLDS.one(reynolds), _ROUGHNESS.one(roughness_factor)
    if number < _table()["hose"]["laminar_below"]:
        return 64.0 / number
    root = 8.0  # 1 / sqrt(f)
    for _ in range(20):
        root = -2.0 * math.log10(rough / 3.7 + 2.51 * root / number)
    return 1.0 / root**2


def crest_pressure(rise_mm: float, density_kg_l: float = 1.0, air_pressure_pa: float = 101_325.0) -> float:
    """Pressure at the top of a siphon that holds nothing back.

    Parameters
    ----------
    rise_mm : float
        The hose's highest place above its lower end. [mm] Valid 0..10000.
    density_kg_l : float
        Of what runs. [kg/L] Valid 0.5..2.
    air_pressure_pa : float
        At the lower end. [Pa] Valid 60000..110000.

    Returns
    -------
    float
        Absolute pressure; near 0 a siphon breaks off. [Pa]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range, or no water column of such a height can hang.

    Notes
    -----
    p = p_air - rho g z: speed is the same at the top and at the lower end. z = 0 gives the air's own.

    Source: cengel-cimbala, Example 5-7
    """
    rise, density = _RISE.one(rise_mm), _DENSITY.one(density_kg_l)
    found = _PRESSURE.one(air_pressure_pa) - density * _gravity() * rise
    if found <= 0.0:
        raise RefusedInput(_RISE.field, rise_mm, "a rise that air can lift, below 10 m of water")
    return found


def _held_back(ideal_m_s: float, bore_m: float, hose_m: float, temp_c: float) -> float:
    water, hose = _table()["water_viscosity"], _table()["hose"]
    viscosity = 1e-6 * float(np.interp(temp_c, water["temp_c"], water["mm2_s"]))
    slow, fast = 0.0, ideal_m_s
    for _ in range(40):  # halved: friction jumps where the flow turns from laminar
        speed = 0.5 * (slow + fast)
        friction = friction_factor(max(speed * bore_m / viscosity, 1.0))
        losses = 1.0 + hose["entrance"] + friction * hose_m / bore_m
        slow, fast = (speed, fast) if losses * speed**2 < ideal_m_s**2 else (slow, speed)
    return 0.5 * (slow + fast)


def _gravity() -> float:
    return float(_table()["gravity"]["m_s2"])


@lru_cache(maxsize=1)
def _table() -> dict[str, Any]:
    return read_data("flows.toml")
