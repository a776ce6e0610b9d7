"""Readings of an EC meter: brought to 25 °C, off a "ppm" scale, and put right by a check in a standard."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.science.ions import read_data
from halfwater.science.limits import Limits, Numbers
from halfwater.science.starting import (
    EC_SLOPE_FRAC_PER_C,
    EC_SLOPE_HIGH_FRAC_PER_C,
    EC_SLOPE_LOW_FRAC_PER_C,
    METER_MOST_OFF_FRAC,
    METER_SPREAD_FRAC,
)

_SCALES = read_data("water.toml")["scales"]
# What a meter shows for 1 mS/cm.
SCALES: dict[int, float] = {int(name): shown for name, shown in _SCALES.items() if name.isdecimal()}
METER_RANGE = Limits("EC reading", 0, 20, "mS/cm (1413 µS/cm is 1.413 mS/cm)")
_STANDARD = Limits("standard", 0.05, 20, "mS/cm (the 1413 standard is 1.413 mS/cm)")
_TEMPERATURE = Limits("temperature", 0, 40, "C")
_FIGURE = Limits("meter figure", 0, 14_000, "ppm")
_SLOPE = Limits("slope", 0.01, 0.03, "a degree, as a fraction (1.9 % is 0.019)")
_FACTOR = Limits("correction", 0.5, 2.0)


@dataclass(frozen=True, slots=True)
class EcAt25:
    """A conductivity brought to 25 °C, and how far the slope may have put it out."""

    ec_ms_cm: float
    ec_low_ms_cm: float
    ec_high_ms_cm: float


@dataclass(frozen=True, slots=True)
class StandardCheck:
    """What a meter's reading in a standard says of it."""

    correction_factor: float  # readings are multiplied by it
    spread_frac: float  # what stays uncertain
    is_usable: bool  # False: too far off to be put right by a factor
    off_frac: float  # positive: the meter shows too much


def ec_at_25(reading_ms_cm: float, temp_c: float, slope_factor: float = EC_SLOPE_FRAC_PER_C) -> EcAt25:
    """Conductivity at 25 C from a reading that the meter has not compensated.

    Weak salt solutions conduct about 1.9 % more for each degree, of their value at 25 C. Meters with ATC
    do this themselves: their readings are not put through it again.

    Parameters
    ----------
    reading_ms_cm : float
        What the meter shows at the solution's own temperature. [mS/cm] Valid 0..20.
    temp_c : float
        Temperature of the solution. [C] Valid 0..40.
    slope_factor : float
        How much more for each degree, as a share. [1] Valid 0.01..0.03.

    Returns
    -------
    EcAt25
        Value, and the values at the least and greatest usual slope. [mS/cm]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    kappa_25 = kappa_t / (1 + a (t - 25)). At 25 C the reading itself, without spread; for KCl within
    0.8 % from 10 to 35 C.

    Source: pratt-2001; standard-methods-2510

    Examples
    --------
    >>> round(ec_at_25(1.27303, 20).ec_ms_cm, 3)
    1.407
    """
    reading, over = METER_RANGE.one(reading_ms_cm), _TEMPERATURE.one(temp_c) - 25
    slope = _SLOPE.one(slope_factor)
    ends = [
        reading / (1 + end * over)
        for end in (min(slope, EC_SLOPE_LOW_FRAC_PER_C), max(slope, EC_SLOPE_HIGH_FRAC_PER_C))
    ]
    return EcAt25(reading / (1 + slope * over), min(ends), max(ends))


def temperature_slope(ec_ms_cm: float, reading_ms_cm: float, temp_c: float) -> float:
    """Slope of a solution, from its conductivity at 25 C and at another temperature.

    A grower's own slope, from one jar read cold and warm.

    Parameters
    ----------
    ec_ms_cm : float
        Conductivity at 25 C. [mS/cm] Valid 0..20, above 0.
    reading_ms_cm : float
        The same solution's at the other temperature. [mS/cm] Valid 0..20.
    temp_c : float
        The other temperature. [C] Valid 0..40, not 25.

    Returns
    -------
    float
        Share of the value at 25 C for each degree. [1]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range, the conductivity is 0, or the temperature is 25 C.

    Notes
    -----
    a = (kappa_t / kappa_25 - 1) / (t - 25).

    Source: pratt-2001

    Examples
    --------
    >>> round(temperature_slope(1.40823, 1.27303, 20), 5)
    0.0192
    """
    at_25, reading, temp = METER_RANGE.one(ec_ms_cm), METER_RANGE.one(reading_ms_cm), _TEMPERATURE.one(temp_c)
    if at_25 == 0:
        raise RefusedInput("EC at 25 C", ec_ms_cm, "one above 0")
    if abs(temp - 25) < 0.5:
        raise RefusedInput("temperature", temp_c, "one at least half a degree from 25 C")
    return (reading / at_25 - 1) / (temp - 25)


def ec_from_meter(figure: float, scale: int) -> float:
    """Conductivity behind a meter's "ppm".

    Meters that show ppm measure conductivity and multiply by 500, 640 or 700; only the conductivity is kept.

    Parameters
    ----------
    figure : float
        What the meter shows. [1] Valid 0..14000.
    scale : int
        500, 640 or 700.

    Returns
    -------
    float
        Conductivity at 25 C. [mS/cm]

    Raises
    ------
    RefusedInput
        If there is no such scale, or the figure is nan or out of range.

    Notes
    -----
    kappa = figure / scale. No scale tells the milligrams of salt: true KCl of 1.413 mS/cm is 745 mg/L.

    Source: meter-scales; usda-handbook-60

    Examples
    --------
    >>> ec_from_meter(1200, 500)
    2.4
    """
    return METER_RANGE.one(_FIGURE.one(figure) / _scale(scale))


def meter_figure(ec_ms_cm: float, scale: int) -> float:
    """What a "ppm" meter shows for a conductivity.

    For growers whose meter has no other scale.

    Parameters
    ----------
    ec_ms_cm : float
        Conductivity at 25 C. [mS/cm] Valid 0..20.
    scale : int
        500, 640 or 700.

    Returns
    -------
    float
        The meter's figure. [1]

    Raises
    ------
    RefusedInput
        If there is no such scale, or the conductivity is nan or out of range.

    Notes
    -----
    figure = kappa scale. 0 gives 0.

    Source: meter-scales; usda-handbook-60

    Examples
    --------
    >>> meter_figure(2.4, 700)
    1680.0
    """
    return METER_RANGE.one(ec_ms_cm) * _scale(scale)


def check_meter(
    standard_ms_cm: float, read_ms_cm: float, temp_c: float | None = None, *, has_compensation: bool = True
) -> StandardCheck:
    """What a meter's reading in a standard says of its other readings.

    The cell of a meter ages by a factor: what it shows is put right by the same factor everywhere.

    Parameters
    ----------
    standard_ms_cm : float
        The standard's conductivity at 25 C. [mS/cm] Valid 0.05..20.
    read_ms_cm : float
        What the meter showed in it. [mS/cm] Valid 0..20.
    temp_c : float, optional
        Temperature of the standard; needed for a meter without compensation. [C] Valid 0..40.
    has_compensation : bool
        Whether the meter brings its readings to 25 C itself.

    Returns
    -------
    StandardCheck
        Factor, what stays uncertain, and whether a factor will do.

    Raises
    ------
    RefusedInput
        If a number is nan or out of range, or a meter without compensation comes without a temperature.

    Notes
    -----
    f = standard / reading. Over 20 % off the cell is dirty or the standard spoiled: not usable, factor 1.

    Source: own definition

    Examples
    --------
    >>> round(check_meter(1.413, 1.346).correction_factor, 3)
    1.05
    """
    standard, reading = _STANDARD.one(standard_ms_cm), METER_RANGE.one(read_ms_cm)
    spread = METER_SPREAD_FRAC
    if not has_compensation:
        if temp_c is None:
            raise RefusedInput("temperature", "", "the temperature of the standard, such as 21 C")
        at_25 = ec_at_25(reading, temp_c)
        reading = at_25.ec_ms_cm
        if reading:
            spread += (at_25.ec_high_ms_cm - at_25.ec_low_ms_cm) / (2 * reading)
    elif temp_c is not None:
        _TEMPERATURE.one(temp_c)
    off = reading / standard - 1
    if abs(off) > METER_MOST_OFF_FRAC:
        return StandardCheck(1.0, max(spread, abs(off)), False, off)
    return StandardCheck(standard / reading, spread, True, off)


def corrected_ec(reading_ms_cm: Any, reading_day: Any, check_day: Any, correction_factor: Any) -> Numbers:
    """Readings put right by the meter's last check before each.

    A check counts for the readings that come after it, until the next; readings before the first check
    stay as they were noted.

    Parameters
    ----------
    reading_ms_cm : array_like
        Readings at 25 C. [mS/cm] Valid 0..20.
    reading_day : array_like
        When each was taken; broadcasts. [d] Valid any finite.
    check_day : array_like
        When the meter was checked, in any order; may be empty. [d] Valid any finite.
    correction_factor : array_like
        Factor of each check. [1] Valid 0.5..2.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of the readings. [mS/cm]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range, or there is not one factor to a check.

    Notes
    -----
    A check at the very moment of a reading counts for it: the meter was checked, then used.

    Source: own definition

    Examples
    --------
    >>> float(corrected_ec(1.0, 5.0, [2.0], [1.05]))
    1.05
    """
    always = Limits("day", -1e7, 1e7)
    readings, days = np.broadcast_arrays(METER_RANGE.many(reading_ms_cm), always.many(reading_day))
    checks, factors = np.atleast_1d(always.many(check_day)), np.atleast_1d(_FACTOR.many(correction_factor))
    if checks.shape != factors.shape:
        raise RefusedInput("correction", len(factors), "one factor to each check")
    order = np.argsort(checks, kind="stable")
    steps = np.concatenate(([1.0], factors[order]))
    return readings * steps[np.searchsorted(checks[order], days, side="right")]


def _scale(scale: int) -> float:
    """The factor of a scale that exists."""
    if scale not in SCALES:
        raise RefusedInput("meter scale", scale, f"one of {', '.join(str(one) for one in SCALES)}")
    return SCALES[scale]
