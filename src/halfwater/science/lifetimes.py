"""Times to an event, some of them not seen to their end: pots still standing, plants not yet sold."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]
TIES = ("efron", "breslow")
_CLOSE = 1e-12


@dataclass(frozen=True, slots=True)
class Survival:
    """Share that lasts beyond each day on which something ended, by Kaplan and Meier."""

    day: Floats
    lasting_frac: Floats
    spread_frac: Floats  # standard deviation, by Greenwood
    median_days: float | None  # None where more than half still last


@dataclass(frozen=True, slots=True)
class Compared:
    """Two or more groups set against each other by the log-rank test."""

    chi_square: float
    p_alike: float  # chance of such a difference were all groups alike
    seen: tuple[int, ...]  # events in each group, in the order of their names
    expected: Floats


@dataclass(frozen=True, slots=True)
class Weibull:
    """A law of lifetimes: at shape 1 the hazard is steady, above 1 it rises with age."""

    scale_days: float
    shape: float
    log_likelihood: float


@dataclass(frozen=True, slots=True)
class HazardRatio:
    """How many times as often the event comes to the second group, by Cox."""

    ratio_log: float
    spread_log: float

    @property
    def ratio_factor(self) -> float:
        """The ratio itself."""
        return math.exp(self.ratio_log)


def survival_by(days: ArrayLike, is_ended: ArrayLike) -> Survival:
    """Share that lasts, day by day, from ages of which some are still running.

    Parameters
    ----------
    days : array_like
        Age at the event, or at the last look where it has not come. [d] Valid above 0.
    is_ended : sequence of bool
        Whether the event came; False: still standing.

    Returns
    -------
    Survival
        Days of events, shares that last beyond them with their spread, the median. [d]

    Raises
    ------
    RefusedInput
        If there are no ages, an age is not above 0, or the shapes differ.

    Notes
    -----
    S = product of 1 - d/n over the days of events; Greenwood's variance S2 sum d / (n (n - d)). The median
    is the first day with S of a half or less. Without events nothing is returned but empty arrays.

    Source: gehan-1965

    Examples
    --------
    >>> survival_by([1.0, 2.0, 3.0], [True, False, True]).lasting_frac.round(4).tolist()
    [0.6667, 0.0]
    """
    from statsmodels.duration.survfunc import SurvfuncRight

    time, ended = _ages(days, is_ended)
    if not ended.any():
        none = np.zeros(0)
        return Survival(none, none, none, None)
    with np.errstate(divide="ignore", invalid="ignore"):  # the spread where nothing lasts is set below
        curve = SurvfuncRight(time, ended.astype(float))
    day, lasting = np.asarray(curve.surv_times, dtype=float), np.asarray(curve.surv_prob, dtype=float)
    spread = np.where(lasting > 0.0, np.nan_to_num(np.asarray(curve.surv_prob_se, dtype=float)), 0.0)
    below = np.flatnonzero(lasting <= 0.5 + _CLOSE)
    return Survival(day, lasting, spread, float(day[below[0]]) if below.size else None)


def compare_survival(days: ArrayLike, is_ended: ArrayLike, group: ArrayLike) -> Compared:
    """Log-rank test of whether groups last alike, such as sections of two parents.

    Parameters
    ----------
    days : array_like
        Age at the event, or at the last look. [d] Valid above 0.
    is_ended : sequence of bool
        Whether the event came.
    group : sequence of str
        Which group each belongs to.

    Returns
    -------
    Compared
        Chi-square, its chance, events seen and expected by group, in the order of their names. [1]

    Raises
    ------
    RefusedInput
        If an age cannot be used, there are fewer than two groups, or no event came.

    Notes
    -----
    Events of each day are shared out by who was at risk; the variance is the hypergeometric one.

    Source: gehan-1965

    Examples
    --------
    >>> compare_survival([1.0, 2.0], [True, True], ["a", "b"]).seen
    (1, 1)
    """
    from statsmodels.duration.survfunc import survdiff

    time, ended = _ages(days, is_ended)
    names = np.asarray(group)
    if names.shape != time.shape or len(np.unique(names)) < 2:
        raise RefusedInput("group", names.shape, "a group for each age, at least two groups")
    if not ended.any():
        raise RefusedInput("is_ended", "no event", "at least one event")
    chi_square, chance = survdiff(time, ended.astype(float), names)
    known = np.unique(names)
    expected = np.zeros(len(known))
    for day in np.unique(time[ended]):
        at_risk = time >= day
        came = float((ended & (time == day)).sum())
        expected += came * np.array([(names[at_risk] == name).mean() for name in known])
    seen = tuple(int(ended[names == name].sum()) for name in known)
    return Compared(float(chi_square), float(chance), seen, expected)


def steady_life_days(days: ArrayLike, is_ended: ArrayLike) -> float:
    """Mean life where the hazard is steady: all days lived for each event.

    Parameters
    ----------
    days : array_like
        Age at the event, or at the last look. [d] Valid above 0.
    is_ended : sequence of bool
        Whether the event came.

    Returns
    -------
    float
        Mean life. [d]

    Raises
    ------
    RefusedInput
        If an age cannot be used, or no event came: then only a least value could be told.

    Notes
    -----
    Sum of days / events, the estimate of greatest likelihood of the exponential law.

    Source: gehan-1965

    Examples
    --------
    >>> steady_life_days([10.0, 30.0], [True, False])
    40.0
    """
    time, ended = _ages(days, is_ended)
    if not ended.any():
        raise RefusedInput("is_ended", "no event", "at least one event")
    return float(time.sum() / ended.sum())


def weibull_of(days: ArrayLike, is_ended: ArrayLike) -> Weibull:
    """Weibull law of lifetimes, of greatest likelihood.

    Parameters
    ----------
    days : array_like
        Age at the event, or at the last look. [d] Valid above 0.
    is_ended : sequence of bool
        Whether the event came.

    Returns
    -------
    Weibull
        Scale [d], shape [1], log-likelihood.

    Raises
    ------
    RefusedInput
        If an age cannot be used, or the events do not fall on at least two different days, which leaves
        the shape open.

    Notes
    -----
    S(t) = exp(-(t/s)^k). k solves sum t^k ln t / sum t^k - 1/k = mean ln t of the events, which rises in k
    so that there is one root, found between brackets; s^k = sum t^k / events.

    Source: gehan-1965

    Examples
    --------
    >>> weibull_of([1.0, 2.0, 3.0], [True, True, True]).shape > 1.0
    True
    """
    from scipy.optimize import brentq

    time, ended = _ages(days, is_ended)
    if len(np.unique(time[ended])) < 2:
        raise RefusedInput("days", "events of one day only", "events on at least two different days")
    top = float(time.max())
    x = np.log(time / top)  # of the longest, so that no power overflows
    mean_log = float(x[ended].mean())

    def slope(shape: float) -> float:
        power = np.exp(shape * x)
        return float(power @ x / power.sum()) - 1.0 / shape - mean_log

    high = 1.0
    while slope(high) < 0.0:
        high *= 2.0
    shape = float(brentq(slope, 1e-6, high, xtol=1e-13, rtol=1e-13))
    scale = float((np.exp(shape * x).sum() / ended.sum()) ** (1.0 / shape)) * top
    events = int(ended.sum())
    likelihood = events * math.log(shape / scale) + (shape - 1.0) * float(np.log(time[ended] / scale).sum())
    return Weibull(scale, shape, likelihood - events)


def hazard_ratio(days: ArrayLike, is_ended: ArrayLike, is_second: ArrayLike, ties: str) -> HazardRatio:
    """Hazard of one group against another without a law for the lifetimes, by Cox.

    Parameters
    ----------
    days : array_like
        Age at the event, or at the last look. [d] Valid above 0.
    is_ended : sequence of bool
        Whether the event came.
    is_second : sequence of bool
        Whether it belongs to the second group.
    ties : str
        How events of one day are taken: "efron" (nearer) or "breslow".

    Returns
    -------
    HazardRatio
        Logarithm of the ratio, second to first, and its standard deviation. [1]

    Raises
    ------
    RefusedInput
        If an age or a tie rule cannot be used, or a group has no event: then the ratio is 0 or without end.

    Notes
    -----
    Greatest partial likelihood by Newton's steps.

    Source: cox-1972

    Examples
    --------
    >>> hazard_ratio([1.0, 2.0, 3.0, 4.0], [True] * 4, [True, False, True, False], "efron").ratio_log > 0
    True
    """
    from statsmodels.duration.hazard_regression import PHReg

    time, ended = _ages(days, is_ended)
    second = np.asarray(is_second, dtype=bool)
    if ties not in TIES:
        raise RefusedInput("ties", ties, " or ".join(TIES))
    if second.shape != time.shape or not (ended[second].any() and ended[~second].any()):
        raise RefusedInput("is_second", second.shape, "a group for each age, and an event in both groups")
    fit = PHReg(time, second.astype(float)[:, None], status=ended.astype(float), ties=ties).fit()
    return HazardRatio(float(fit.params[0]), float(fit.bse[0]))


def _ages(days: ArrayLike, is_ended: ArrayLike) -> tuple[Floats, NDArray[np.bool_]]:
    time, ended = np.asarray(days, dtype=float), np.asarray(is_ended, dtype=bool)
    if time.ndim != 1 or not time.size or time.shape != ended.shape:
        raise RefusedInput("days", time.shape, "one row of ages, each with whether the event came")
    if not (np.isfinite(time).all() and (time > 0.0).all()):
        raise RefusedInput("days", "an age that is not above 0", "ages above 0 days")
    return time, ended
