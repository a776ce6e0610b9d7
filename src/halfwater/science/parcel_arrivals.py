"""What arrivals teach: how far forecasts and limits were off, what is lost anyway, what comes late."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting

Floats = NDArray[np.float64]

_SHIFTS = np.linspace(-12.0, 12.0, 97)  # of a limit
_LOSSES = np.concatenate([[0.001, 0.003], np.arange(0.005, 0.1, 0.005), np.arange(0.1, 0.41, 0.05)])
_LOSS_WEIGHT = 75.0  # plants that the usual loss is as good as
_LATE_WEIGHT = 10.0  # parcels that the usual share of late ones is as good as
_LATE_FROM_DAYS = 0.5
_NODES, _WEIGHTS = hermegauss(7)


@dataclass(frozen=True, slots=True)
class Arrived:
    """One parcel: what physics alone had said of its plants, and how it arrived."""

    plants: int
    spoilt: int  # dead or damaged
    late_days: float
    coldest_c: float
    coldest_sd_c: float
    hottest_c: float
    hottest_sd_c: float
    low_limit_c: float
    high_limit_c: float
    logger_low_c: float | None = None
    logger_high_c: float | None = None


@dataclass(frozen=True, slots=True)
class Normal:
    """A guess with its spread, in degrees."""

    mean_c: float
    sd_c: float


@dataclass(frozen=True, slots=True)
class ArrivalLessons:
    """What a number of arrivals teach, starting values included."""

    cold_bias: Normal  # to be added to the coldest that physics says
    hot_bias: Normal
    low_shift: Normal  # to be added to the lower limits
    high_shift: Normal
    loss_frac: float
    p_late: float
    late_days: float


def bias_after(errors_c: Sequence[float], sds_c: Sequence[float], prior: Normal) -> Normal:
    """Bias of a forecast after measured errors.

    Parameters
    ----------
    errors_c : sequence of float
        Measured less forecast. [C] Valid finite.
    sds_c : sequence of float
        Spread that forecast and logger have for each. [C] Valid above 0.
    prior : Normal
        What is thought of the bias before.

    Returns
    -------
    Normal
        Mean and spread. [C]

    Raises
    ------
    RefusedInput
        If an error is not finite, or a spread is not above 0.

    Notes
    -----
    Normal errors with known spread: precisions add, means weigh by them. No errors give the prior.

    Source: gelman-bda3, section 2.5

    Examples
    --------
    >>> bias_after([2.0], [1.0], Normal(0.0, 1.0)).mean_c
    1.0
    """
    errors, sds = np.asarray(errors_c, dtype=float), np.asarray(sds_c, dtype=float)
    if not np.isfinite(errors).all():
        raise RefusedInput("errors_c", errors_c, "finite differences of temperature")
    if not (np.isfinite(sds).all() and (sds > 0.0).all() and prior.sd_c > 0.0):
        raise RefusedInput("sds_c", sds_c, "spreads above 0")
    precision = prior.sd_c**-2 + float((sds**-2).sum())
    mean = (prior.mean_c * prior.sd_c**-2 + float((errors * sds**-2).sum())) / precision
    return Normal(mean, precision**-0.5)


def chance_of_harm(temps_c: Floats, limit_c: float, shift: Normal, is_low: bool = True) -> float:
    """Chance that plants are harmed, the limit of their taxon being known only so well.

    Parameters
    ----------
    temps_c : ndarray
        Drawn coldest or hottest temperatures, at least one. [C] Valid finite.
    limit_c : float
        The taxon's limit. [C] Valid finite.
    shift : Normal
        What arrivals taught of the limit.
    is_low : bool
        Whether it is the lower limit.

    Returns
    -------
    float
        Mean chance over the draws. [1]

    Raises
    ------
    RefusedInput
        If there is no draw, or a value is not finite.

    Notes
    -----
    Phi((limit + shift - T) / sqrt(sd of shift squared + plant spread squared)), turned round for the upper
    limit: one half where a plant comes just to its limit.

    Source: own definition

    Examples
    --------
    >>> chance_of_harm(np.array([10.0]), 10.0, Normal(0.0, 2.0))
    0.5
    """
    from scipy.special import ndtr

    temps = np.asarray(temps_c, dtype=float)
    if not temps.size or not np.isfinite(temps).all():
        raise RefusedInput("temps_c", temps.shape, "at least one draw, all finite")
    if not math.isfinite(limit_c):
        raise RefusedInput("limit_c", limit_c, "a temperature")
    wide = math.hypot(shift.sd_c, starting.PLANT_LIMIT_SD_C)
    below = (limit_c + shift.mean_c - temps) / wide
    return float(ndtr(below if is_low else -below).mean())


def lessons_of(arrived: Sequence[Arrived]) -> ArrivalLessons:
    """Corrections that a number of arrivals teach.

    A parcel teaches about the limit it came nearer to, and about what is lost anyway. Loggers teach how far
    physics is off; where a logger was in the box, its temperature is taken instead of the forecast.

    Parameters
    ----------
    arrived : sequence of Arrived
        Any number, in any order; none give the starting values.

    Returns
    -------
    ArrivalLessons
        Biases and shifts of limits [C], shares [1], days. [d]

    Raises
    ------
    RefusedInput
        If a parcel holds no plant, more are spoilt than it held, or a number is not finite.

    Notes
    -----
    A plant is spoilt with 1 - (1 - a)(1 - Phi((limit + s - T) / spread)), a lost anyway, s the shift common
    to all taxa; T by seven Gauss nodes. Plants of a parcel are alike: n count for n / (1 + (n - 1) r). Shifts
    and a on a grid. Late: a beta share, from 0.5 days. Harm that shows only after the claim is not in it.

    Source: own definition; gelman-bda3, section 2.4

    Examples
    --------
    >>> lessons_of([]).low_shift.mean_c
    0.0
    """
    for parcel in arrived:
        _check(parcel)
    cold, hot = (_bias(arrived, is_low) for is_low in (True, False))
    low, high = ([p for p in arrived if _is_nearer_low(p) is is_low] for is_low in (True, False))
    a = starting.PARCEL_LOSS_FRAC * _LOSS_WEIGHT
    losses = (a - 1.0) * np.log(_LOSSES) + (_LOSS_WEIGHT - a - 1.0) * np.log1p(-_LOSSES)
    losses = losses + np.log(np.gradient(_LOSSES))  # the grid is finer where shares are small
    tables = [_table(low, cold, True), _table(high, hot, False)]
    sums = [_log_sum(table) for table in tables]
    weights = _normed(losses + sums[0] + sums[1])
    low_shift, high_shift = (_moments(table, weights) for table in tables)
    late = [p.late_days for p in arrived if p.late_days >= _LATE_FROM_DAYS]
    p_late = (starting.LATE_FRAC * _LATE_WEIGHT + len(late)) / (_LATE_WEIGHT + len(arrived))
    late_days = (2.0 * starting.LATE_DAYS + sum(late)) / (2.0 + len(late))
    loss = float(weights @ _LOSSES)
    return ArrivalLessons(cold, hot, low_shift, high_shift, loss, p_late, late_days)


def _bias(arrived: Sequence[Arrived], is_low: bool) -> Normal:
    """What loggers say of physics."""
    rows = [
        (p.logger_low_c, p.coldest_c, p.coldest_sd_c)
        if is_low
        else (p.logger_high_c, p.hottest_c, p.hottest_sd_c)
        for p in arrived
    ]
    known = [(measured - said, sd) for measured, said, sd in rows if measured is not None]
    spread = [math.hypot(sd, starting.LOGGER_SD_C) for _, sd in known]
    return bias_after([error for error, _ in known], spread, Normal(0.0, starting.BIAS_SD_C))


def _is_nearer_low(parcel: Arrived) -> bool:
    return parcel.coldest_c - parcel.low_limit_c <= parcel.high_limit_c - parcel.hottest_c


def _table(parcels: Sequence[Arrived], bias: Normal, is_low: bool) -> Floats:
    """Log of prior and likelihood: a row a shift, a column a share lost anyway."""
    from scipy.special import log_ndtr, logsumexp

    prior = -0.5 * (_SHIFTS / starting.LIMIT_SD_C) ** 2
    table = np.repeat(prior[:, None], len(_LOSSES), axis=1)
    for parcel in parcels:
        mean, sd = _felt(parcel, bias, is_low)
        limit = parcel.low_limit_c if is_low else parcel.high_limit_c
        past = (limit + _SHIFTS[:, None] - mean - sd * _NODES) / starting.PLANT_LIMIT_SD_C
        sound = np.asarray(log_ndtr(-past if is_low else past))[:, :, None] + np.log1p(-_LOSSES)
        spoilt = np.log(np.maximum(-np.expm1(sound), 1e-300))
        alike = 1.0 + (parcel.plants - 1) * starting.PARCEL_LIKENESS
        seen = ((parcel.plants - parcel.spoilt) * sound + parcel.spoilt * spoilt) / alike
        weights = np.log(_WEIGHTS / _WEIGHTS.sum())[:, None]
        table = table + np.asarray(logsumexp(seen + weights, axis=1))
    return table


def _felt(parcel: Arrived, bias: Normal, is_low: bool) -> tuple[float, float]:
    """What the plants are thought to have felt: by the logger, else by physics put right."""
    logger = parcel.logger_low_c if is_low else parcel.logger_high_c
    if logger is not None:
        return logger, starting.LOGGER_SD_C
    said, sd = (parcel.coldest_c, parcel.coldest_sd_c) if is_low else (parcel.hottest_c, parcel.hottest_sd_c)
    return said + bias.mean_c, math.hypot(sd, bias.sd_c)


def _log_sum(table: Floats) -> Floats:
    top = table.max(axis=0)
    return np.asarray(top + np.log(np.exp(table - top).sum(axis=0)))


def _normed(logs: Floats) -> Floats:
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


def _moments(table: Floats, weights: Floats) -> Normal:
    """Mean and spread of a shift over all shares lost anyway."""
    each = np.exp(table - table.max(axis=0))
    over = (each / each.sum(axis=0)) @ weights
    mean = float(over @ _SHIFTS)
    return Normal(mean if abs(mean) > 1e-12 else 0.0, math.sqrt(float(over @ (_SHIFTS - mean) ** 2)))


def _check(parcel: Arrived) -> None:
    if parcel.plants < 1 or not 0 <= parcel.spoilt <= parcel.plants:
        raise RefusedInput(
            "spoilt", parcel.spoilt, f"0 to the {parcel.plants} plants of the parcel, at least one"
        )
    numbers = (
        parcel.coldest_c, parcel.coldest_sd_c, parcel.hottest_c, parcel.hottest_sd_c, parcel.low_limit_c,
        parcel.high_limit_c, *(x for x in (parcel.logger_low_c, parcel.logger_high_c) if x is not None),
    )  # fmt: skip
    if not all(math.isfinite(number) for number in numbers):
        raise RefusedInput("arrived", parcel, "finite temperatures")
    if not (parcel.coldest_sd_c >= 0.0 and parcel.hottest_sd_c >= 0.0 and 0.0 <= parcel.late_days < math.inf):
        raise RefusedInput("arrived", parcel, "spreads and days of 0 or more")
