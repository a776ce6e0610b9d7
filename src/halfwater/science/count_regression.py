"""Counts explained by what was done to them: a Poisson regression."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]
_STEPS = 100
_CLOSE = 1e-12
_FURTHEST_LOG = 14.0  # from the mean of all: beyond, a group counted nothing and its effect has no end


@dataclass(frozen=True, slots=True)
class CountRegression:
    """Effects on the logarithm of the mean count, in the order of the columns."""

    effect_log: Floats
    spread_log: Floats
    deviance: float  # of what is left over
    free: int  # its degrees of freedom
    null_deviance: float  # of one mean for all
    aic: float


def count_regression(
    events: ArrayLike, columns: ArrayLike, exposure: ArrayLike | None = None
) -> CountRegression:
    """Effects of columns on counts, such as leaves gained in two tanks, of greatest likelihood.

    Parameters
    ----------
    events : array_like
        Counts. [1] Valid whole, 0 or more, not all 0.
    columns : array_like
        Shape (counts, effects); the first usually all 1. [1] Valid finite, none made of the others.
    exposure : array_like or None
        What each was counted over, such as pot-months; None: alike for all. [1] Valid above 0.

    Returns
    -------
    CountRegression
        Effects with their spread, deviances, AIC. [1]

    Raises
    ------
    RefusedInput
        If a count is no count, a column is made of the others (its effect cannot be told), an exposure is
        not above 0, or an effect runs away because one group counted nothing.

    Notes
    -----
    ln mean = ln exposure + X b; Newton's steps until the deviance stands still. Deviance 2 sum y ln(y/m) -
    (y - m); the null has the exposure too. AIC = 2 effects - 2 ln likelihood.

    Source: dobson-1990

    Examples
    --------
    >>> round(float(count_regression([2, 4, 6], [[1.0], [1.0], [1.0]]).effect_log[0]), 6)
    1.386294
    """
    from scipy.special import gammaln, xlogy

    y, x = np.asarray(events, dtype=float), np.asarray(columns, dtype=float)
    over = np.ones_like(y) if exposure is None else np.asarray(exposure, dtype=float)
    _checked(y, x, over)
    effect, mean = _greatest(y, x, over)
    cov = np.linalg.inv(x.T @ (mean[:, None] * x))
    flat = over * y.sum() / over.sum()
    likelihood = float((xlogy(y, mean) - mean - gammaln(y + 1.0)).sum())
    return CountRegression(
        effect,
        np.sqrt(np.diag(cov)),
        _deviance(y, mean),
        len(y) - x.shape[1],
        _deviance(y, flat),
        2.0 * x.shape[1] - 2.0 * likelihood,
    )


def _greatest(y: Floats, x: Floats, over: Floats) -> tuple[Floats, Floats]:
    """Newton's steps for the effects, from counts drawn a little towards their mean."""
    mean = (y + y.mean()) / 2.0
    before, usual = math.inf, math.log(y.sum() / over.sum())
    for _ in range(_STEPS):
        aim = np.log(mean / over) + (y - mean) / mean
        root = np.sqrt(mean)
        effect = np.linalg.lstsq(root[:, None] * x, root * aim, rcond=None)[0]
        line = x @ effect - usual
        if not (np.abs(line) < _FURTHEST_LOG).all():
            break
        mean = over * np.exp(line + usual)
        deviance = _deviance(y, mean)
        if abs(before - deviance) < _CLOSE * (1.0 + deviance):
            return effect, mean
        before = deviance
    raise RefusedInput("columns", "an effect without end", "groups that each counted something")


def _deviance(y: Floats, mean: Floats) -> float:
    from scipy.special import xlogy

    return float(2.0 * (xlogy(y, y / mean) - (y - mean)).sum())


def _checked(y: Floats, x: Floats, over: Floats) -> None:
    if (
        y.ndim != 1
        or not y.size
        or not (np.isfinite(y).all() and (y >= 0).all() and (y == np.round(y)).all())
    ):
        raise RefusedInput("events", "no counts", "whole numbers of 0 or more")
    if not y.any():
        raise RefusedInput("events", "nothing but 0", "at least one event")
    if x.ndim != 2 or len(x) != len(y) or not np.isfinite(x).all():
        raise RefusedInput("columns", x.shape, f"{len(y)} rows of finite numbers")
    if np.linalg.matrix_rank(x) < x.shape[1]:
        raise RefusedInput("columns", "one made of the others", "columns that each say something new")
    if over.shape != y.shape or not (np.isfinite(over).all() and (over > 0.0).all()):
        raise RefusedInput("exposure", over.shape, "an exposure above 0 for each count")
