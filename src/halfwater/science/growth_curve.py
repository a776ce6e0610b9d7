"""A plant that grows along an S to a last size: the logistic curve through its measurements."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LogisticCurve:
    """size = last size / (1 + exp(start - rate x day)); sizes in the unit they were measured in."""

    last_size: float
    start: float
    rate_per_30d: float
    last_size_spread: float  # standard deviations of the three
    start_spread: float
    rate_spread_per_30d: float
    left_over: float  # sum of squares

    @property
    def fastest_day(self) -> float:
        """The day of the fastest growth, at half the last size."""
        return 30.0 * self.start / self.rate_per_30d

    def size_on(self, at_day: ArrayLike) -> Floats:
        """Size on a day."""
        days = np.asarray(at_day, dtype=float)
        return np.asarray(self.last_size / (1.0 + np.exp(self.start - self.rate_per_30d / 30.0 * days)))


def logistic_curve(on_day: ArrayLike, size: ArrayLike) -> LogisticCurve:
    """Logistic curve of least squares through measurements of one plant.

    Parameters
    ----------
    on_day : array_like
        When each was taken, from any start. [d] Valid finite, at least four different days.
    size : array_like
        Length, weight or leaves. [1] Valid above 0.

    Returns
    -------
    LogisticCurve
        The three numbers with their spread, and what is left over. [1]

    Raises
    ------
    RefusedInput
        If there are fewer than four days, a size is not above 0, or no S runs through what was measured.

    Notes
    -----
    y = b1 / (1 + exp(b2 - b3 x)). Starts from a straight line through ln(y / (K - y)) for several K above
    the largest size, then Levenberg and Marquardt's steps with exact slopes. Spread from s2 (J'J)^-1.

    Source: nist-strd, Rat42

    Examples
    --------
    >>> round(logistic_curve([0.0, 10.0, 20.0, 30.0, 40.0], [1.0, 2.7, 5.0, 7.3, 9.0]).last_size, 0)
    10.0
    """
    x, y = np.asarray(on_day, dtype=float), np.asarray(size, dtype=float)
    if x.ndim != 1 or x.shape != y.shape or not np.isfinite(x).all() or len(np.unique(x)) < 4:
        raise RefusedInput("on_day", x.shape, "measurements on at least four different days")
    if not (np.isfinite(y).all() and (y > 0.0).all()):
        raise RefusedInput("size", "a size that is not above 0", "sizes above 0")
    middle, reach = float(x.mean()), float(np.ptp(x))
    scale = float(y.max())
    fits = [fit for k in (1.02, 1.2, 2.0) if (fit := _fit((x - middle) / reach, y / scale, k)) is not None]
    if not fits:
        raise RefusedInput("size", "no S in it", "sizes that rise, and rise less at last")
    (b1, b2, b3), slopes, rest = min(fits, key=lambda fit: float(fit[2] @ fit[2]))
    free = max(len(x) - 3, 1)
    cov = np.linalg.inv(slopes.T @ slopes) * float(rest @ rest) / free
    # back from the middle of the days and the largest size: start = b2 + b3 middle / reach
    per = middle / reach
    start_var = cov[1, 1] + 2.0 * per * cov[1, 2] + per**2 * cov[2, 2]
    return LogisticCurve(
        b1 * scale,
        b2 + b3 * per,
        30.0 * b3 / reach,
        math.sqrt(cov[0, 0]) * scale,
        math.sqrt(max(start_var, 0.0)),
        30.0 * math.sqrt(cov[2, 2]) / reach,
        float(rest @ rest) * scale**2,
    )


def _fit(x: Floats, y: Floats, room: float) -> tuple[tuple[float, float, float], Floats, Floats] | None:
    """Least squares from one guess of the last size; None where no rising curve is found."""
    from scipy.optimize import least_squares

    odds = np.log(y / (room - y))
    rate, start = np.polyfit(x, odds, 1)

    def rest(b: Floats) -> Floats:
        return np.asarray(b[0] / (1.0 + np.exp(np.minimum(b[1] - b[2] * x, 500.0))) - y)

    def slopes(b: Floats) -> Floats:
        power = np.exp(np.minimum(b[1] - b[2] * x, 500.0))
        pull = b[0] * power / (1.0 + power) ** 2
        return np.column_stack((1.0 / (1.0 + power), -pull, pull * x))

    found = least_squares(
        rest, (room, -start, rate), jac=slopes, method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15
    )
    b1, b2, b3 = (float(b) for b in found.x)
    matrix = slopes(found.x)
    is_sound = found.success and b1 > 0.0 and b3 > 0.0 and np.linalg.cond(matrix) < 1e8
    return ((b1, b2, b3), matrix, rest(found.x)) if is_sound else None
