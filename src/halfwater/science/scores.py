"""How good forecasts were: how often the range held, how narrow it was, and how far off it all was."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput
from halfwater.science.small_samples import wilson_range

Floats = NDArray[np.float64]

COVER_FRAC = 0.8  # what the range from p10 to p90 promises
_P90_SD = 1.2815515655446004  # the normal quantile of 0.9
_THIN = 1e-12  # a side this thin against the error is taken as none
_ROOT_PI = math.sqrt(math.pi)
_HALF_SQUARE = 2.0 * 0.5 / math.sqrt(2.0 * math.pi) - 0.5 / _ROOT_PI  # integral of Phi squared up to 0


@dataclass(frozen=True, slots=True)
class Record:
    """The record of many forecasts of one kind; `width` and the scores are in the unit of the outcome."""

    scored: int
    inside: int
    inside_frac: float
    inside_low_frac: float  # 95 % range of that share, by Wilson, as if each forecast stood alone
    inside_high_frac: float
    width: float  # mean of p90 - p10
    crps: float  # mean, lower is better
    compared: int  # forecasts that have a naive rival
    crps_of_compared: float | None
    naive_crps: float | None


def crps_of_draws(draws: ArrayLike, outcome: ArrayLike) -> Floats:
    """Score of forecasts given as draws: how far off, with credit for owning up to doubt.

    Parameters
    ----------
    draws : array_like
        Draws, the last axis running over them. [1] Valid finite, at least one draw.
    outcome : array_like
        What came, of the shape of `draws` without its last axis. [1] Valid finite.

    Returns
    -------
    numpy.ndarray
        One score a forecast, in the unit of the outcome, 0 at best. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or infinite, there are no draws, or the shapes do not fit.

    Notes
    -----
    CRPS = E|X - y| - E|X - X'| / 2 over the draws as they are; one draw gives |x - y|.

    Source: gneiting-raftery-2007, equation 21

    Examples
    --------
    >>> float(crps_of_draws([1.0, 3.0], 2.0))
    0.5
    """
    x, y = np.atleast_1d(np.asarray(draws, dtype=float)), np.asarray(outcome, dtype=float)
    if x.shape[-1] == 0 or x.shape[:-1] != y.shape:
        raise RefusedInput("draws", x.shape, f"an array of shape {y.shape} with an axis of draws behind")
    _finite("draws", x)
    _finite("outcome", y)
    n = x.shape[-1]
    ordered = np.sort(x, axis=-1)
    apart = (ordered @ (2.0 * np.arange(1, n + 1) - n - 1.0)) / (n * n)
    return np.asarray(np.abs(x - y[..., None]).mean(axis=-1) - apart)


def crps_of_quantiles(p10: ArrayLike, p50: ArrayLike, p90: ArrayLike, outcome: ArrayLike) -> Floats:
    """Score of forecasts given as a median with its 80 % range.

    Parameters
    ----------
    p10, p50, p90 : array_like
        The quantiles that were shown. [1] Valid finite, rising.
    outcome : array_like
        What came, in the same unit. [1] Valid finite.

    Returns
    -------
    numpy.ndarray
        One score a forecast, in the unit of the outcome, 0 at best. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or infinite, or the quantiles do not rise.

    Notes
    -----
    The law is taken as half a normal on either side of the median, each as wide as its own quantile says;
    then CRPS is a sum of G(z) = integral of Phi squared up to z = z Phi2 + 2 phi Phi - Phi(z sqrt 2)/sqrt pi.
    With equal sides it is the closed form of the normal; with no width it is |p50 - outcome|.

    Source: gneiting-raftery-2007, equation 5; own definition

    Examples
    --------
    >>> round(float(crps_of_quantiles(-1.2815515655, 0.0, 1.2815515655, 0.0)), 4)
    0.2337
    """
    low, mid, high, y = np.broadcast_arrays(*(np.asarray(a, dtype=float) for a in (p10, p50, p90, outcome)))
    _quantiles(low, mid, high)
    _finite("outcome", y)
    below, above = (mid - low) / _P90_SD, (high - mid) / _P90_SD
    side, other = np.where(y >= mid, above, below), np.where(y >= mid, below, above)
    off = np.abs(y - mid)
    has_width = side > off * _THIN
    z = np.divide(off, side, out=np.zeros_like(off), where=has_width)
    spread = side * (_square(z) - _HALF_SQUARE + _square(-z)) + other * _HALF_SQUARE
    return np.asarray(np.where(has_width, spread, off + other * _HALF_SQUARE))


def record_of(
    p10: ArrayLike, p50: ArrayLike, p90: ArrayLike, outcome: ArrayLike, naive: ArrayLike | None = None
) -> Record:
    """Record of forecasts that came due: how often the range held, its width, its score and the rival's.

    The rival is one number a forecast, "the same as last time"; its score is how far off it was. The two
    scores are set side by side over the forecasts that have a rival.

    Parameters
    ----------
    p10, p50, p90 : array_like
        The quantiles that were shown, one a forecast. [1] Valid finite, rising.
    outcome : array_like
        What came, in the same unit. [1] Valid finite.
    naive : array_like or None
        What the naive rule said; nan where it had nothing to say. [1] Valid any.

    Returns
    -------
    Record
        Counts, shares, mean width and mean scores. [1]

    Raises
    ------
    RefusedInput
        If there is no forecast, or a value cannot be used.

    Notes
    -----
    A range holds an outcome at its ends. The range of the share is Wilson's; forecasts about the same stock
    hang together, so that the true doubt is wider.

    Source: brown-cai-dasgupta-2001, equation 4; gneiting-raftery-2007, equation 21

    Examples
    --------
    >>> record_of([1.0], [2.0], [3.0], [2.5], [4.0]).naive_crps
    1.5
    """
    low, mid, high, y = (np.atleast_1d(np.asarray(a, dtype=float)) for a in (p10, p50, p90, outcome))
    if not (y.size and low.shape == mid.shape == high.shape == y.shape):
        raise RefusedInput("outcome", y.shape, "one outcome for each forecast, and at least one forecast")
    score = crps_of_quantiles(low, mid, high, y)
    inside = int(((low <= y) & (y <= high)).sum())
    share = wilson_range(inside, y.size)
    rival = np.full(y.shape, np.nan) if naive is None else np.atleast_1d(np.asarray(naive, dtype=float))
    if rival.shape != y.shape:
        raise RefusedInput("naive", rival.shape, "one value for each forecast, nan where there is none")
    has_rival = np.isfinite(rival)
    return Record(
        y.size,
        inside,
        inside / y.size,
        share.low,
        share.high,
        float((high - low).mean()),
        float(score.mean()),
        int(has_rival.sum()),
        float(score[has_rival].mean()) if has_rival.any() else None,
        float(np.abs(rival - y)[has_rival].mean()) if has_rival.any() else None,
    )


def verdict_on(record: Record) -> str:
    """Sentence on a record, in plain words: do the ranges hold what they promise, and is it worth having.

    Parameters
    ----------
    record : Record
        What record_of gave.

    Returns
    -------
    str
        One or two sentences.

    Notes
    -----
    The ranges hold their promise where 80 % lies in the range of the share that was seen.

    Source: own definition
    """
    if record.inside_high_frac < COVER_FRAC:
        words = "The ranges are too narrow: more fell outside than one in five."
    elif record.inside_low_frac > COVER_FRAC:
        words = "The ranges are wider than they need to be."
    elif record.scored < 10:
        words = "Too few have come due to say more than that nothing is amiss."
    else:
        words = "The ranges hold about what they promise, four out of five."
    if record.naive_crps is None or record.crps_of_compared is None:
        return words
    if record.crps_of_compared < record.naive_crps:
        part = 1.0 - record.crps_of_compared / record.naive_crps
        return f"{words} They are {part:.0%} nearer than “the same as last time”."
    return f"{words} “The same as last time” was no worse."


def _square(z: Floats) -> Floats:
    """Integral of the squared normal law up to z."""
    from scipy.special import ndtr

    law = ndtr(z)
    density = np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    return np.asarray(z * law**2 + 2.0 * density * law - ndtr(z * math.sqrt(2.0)) / _ROOT_PI)


def _quantiles(low: Floats, mid: Floats, high: Floats) -> None:
    for name, values in (("p10", low), ("p50", mid), ("p90", high)):
        _finite(name, values)
    if not ((low <= mid) & (mid <= high)).all():
        raise RefusedInput("p50", "quantiles out of order", "p10 at most p50, p50 at most p90")


def _finite(name: str, values: Floats) -> None:
    if not np.isfinite(values).all():
        raise RefusedInput(name, "nan or infinite", "finite numbers")
