"""How interest comes after an opening, as a rush and a slow tail, and how many plants an order takes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]

_SIZE_ORDERS = 10.0  # plants of the even law that steady the measured unevenness
_HALVINGS = 60  # of the span in which an instant is sought, on a scale of logarithms


@dataclass(frozen=True, slots=True)
class OrderSizes:
    """What is known of the plants in an order: after each plant the buyer adds one more with a chance.

    The chance has a beta law with shapes a (plants added) and b (times a buyer stopped).
    """

    a: float
    b: float

    @property
    def mean_chance(self) -> float:
        """Mean of that chance."""
        return self.a / (self.a + self.b)


def come_frac(after_h: ArrayLike, rush_h: ArrayLike, rush_frac: ArrayLike, tail_h: ArrayLike) -> Floats:
    """Share of all interest that has come some hours after the opening.

    Parameters
    ----------
    after_h : array_like
        Hours since the opening. [h] Valid 0 upward.
    rush_h : array_like
        Time constant of the rush. [h] Valid above 0.
    rush_frac : array_like
        Share of all that comes with the rush. [1] Valid 0..1.
    tail_h : array_like
        Time constant of the tail. [h] Valid above 0.

    Returns
    -------
    ndarray
        Shares, shaped as the inputs together. [1]

    Raises
    ------
    RefusedInput
        If an input is nan or outside its range.

    Notes
    -----
    G(t) = 1 - w exp(-t / rush) - (1 - w) exp(-t / tail); 0 at the opening, 1 in the end.

    Source: own definition, a mixture of two exponential laws

    Examples
    --------
    >>> round(float(come_frac(1.0, 1.0, 1.0, 24.0)), 6)
    0.632121
    """
    after, rush, part, tail = (np.asarray(x, dtype=float) for x in (after_h, rush_h, rush_frac, tail_h))
    if not np.all(after >= 0.0):
        raise RefusedInput("after_h", after_h, "hours of 0 or more")
    _refuse_law(rush, part, tail)
    frac: Floats = -part * np.expm1(-after / rush) - (1.0 - part) * np.expm1(-after / tail)
    return frac


def hours_until(share_frac: ArrayLike, rush_h: ArrayLike, rush_frac: ArrayLike, tail_h: ArrayLike) -> Floats:
    """Hours after the opening by which a share of all interest has come.

    Parameters
    ----------
    share_frac : array_like
        Share of all interest. [1] Valid 0..1.
    rush_h : array_like
        Time constant of the rush. [h] Valid above 0.
    rush_frac : array_like
        Share of all that comes with the rush. [1] Valid 0..1.
    tail_h : array_like
        Time constant of the tail. [h] Valid above 0.

    Returns
    -------
    ndarray
        Hours; inf for a share of 1. [h]

    Raises
    ------
    RefusedInput
        If an input is nan or outside its range.

    Notes
    -----
    The inverse of come_frac, by halving between the answers of the quicker and the slower law alone.

    Source: own definition

    Examples
    --------
    >>> round(float(hours_until(0.5, 1.0, 1.0, 24.0)), 6)
    0.693147
    """
    share, rush, part, tail = np.broadcast_arrays(
        *(np.asarray(x, dtype=float) for x in (share_frac, rush_h, rush_frac, tail_h))
    )
    if not np.all((share >= 0.0) & (share <= 1.0)):
        raise RefusedInput("share_frac", share_frac, "a share from 0 to 1")
    _refuse_law(rush, part, tail)
    with np.errstate(divide="ignore"):
        wait = -np.log1p(-share)  # in time constants, were there one law only
    is_between = np.isfinite(wait) & (wait > 0.0)
    wait = np.where(is_between, wait, 1.0)
    low, high = np.log(wait * np.minimum(rush, tail)), np.log(wait * np.maximum(rush, tail))
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        is_early = come_frac(np.exp(middle), rush, part, tail) < share
        low, high = np.where(is_early, middle, low), np.where(is_early, high, middle)
    found: Floats = np.where(is_between, np.exp((low + high) / 2.0), np.where(share > 0.0, np.inf, 0.0))
    return found


def sizes_after(
    plants: ArrayLike, is_cut_short: Sequence[bool], prior: OrderSizes, *, limits: ArrayLike | None = None
) -> OrderSizes:
    """Law of the plants in an order, after orders that a limit or the last pot may have cut short.

    Parameters
    ----------
    plants : array_like of int
        Plants of each order. [1] Valid 1 upward.
    is_cut_short : sequence of bool
        Whether the order took the last plants there were.
    prior : OrderSizes
        What was known before.
    limits : array_like of int, optional
        Most plants a buyer could take, 0 for no limit. [1] Valid 0 upward.

    Returns
    -------
    OrderSizes
        The law of the chance that a buyer adds one more. [1]

    Raises
    ------
    RefusedInput
        If an order has no plant, or more than its limit.

    Notes
    -----
    A buyer who took n plants added n - 1 and stopped once; one who was cut short added n - 1 and was not
    seen to stop. Beta(a, b) becomes Beta(a + added, b + stops). Where plants are spread over orders more
    unevenly (most buyers one, a shop eight), the chance is raised until the ratio of variance to mean,
    (1 + c) / (1 - c), is that of the orders nothing held down (sum of squares over sum, ten plants of the
    law's own added): that ratio is what totals hang on. No orders: the prior comes back.

    Source: gelman-bda3, section 2.4; own definition of the cut

    Examples
    --------
    >>> sizes_after([1, 2, 1], [False, False, True], OrderSizes(1.0, 2.0))
    OrderSizes(a=2.0, b=4.0)
    """
    taken = np.asarray(plants, dtype=float)
    cut = np.asarray(is_cut_short, dtype=bool)
    most = np.zeros_like(taken) if limits is None else np.asarray(limits, dtype=float)
    if not np.all(taken >= 1.0):
        raise RefusedInput("plants", plants, "orders of one plant or more")
    if not np.all((most == 0.0) | (taken <= most)):
        raise RefusedInput("plants", plants, "no more plants in an order than its limit")
    stops = ~(cut | ((most > 0.0) & (taken >= most)))
    told = OrderSizes(prior.a + float((taken - 1.0).sum()), prior.b + float(stops.sum()))
    free = taken[~cut & (most == 0.0)]
    usual = float(order_moments(told.mean_chance, 0.0)[1])
    uneven = (_SIZE_ORDERS * usual + float((free**2).sum())) / (_SIZE_ORDERS + float(free.sum()))
    chance = max(told.mean_chance, (uneven - 1.0) / (uneven + 1.0))
    return OrderSizes(chance * (told.a + told.b), (1.0 - chance) * (told.a + told.b))


def order_moments(chance: ArrayLike, limits: ArrayLike) -> tuple[Floats, Floats]:
    """Mean plants of an order, and of an order that a plant chosen at random belongs to.

    Parameters
    ----------
    chance : array_like
        Chance that a buyer adds one more. [1] Valid 0 to below 1.
    limits : array_like of int
        Most plants a buyer can take, 0 for no limit. [1] Valid 0 upward.

    Returns
    -------
    tuple of ndarray
        E B and E B2 / E B. [1]

    Raises
    ------
    RefusedInput
        If the chance is nan or outside its range, or a limit is below 0.

    Notes
    -----
    P(B >= j) = c^(j-1) up to the limit L. E B = (1 - c^L) / (1 - c); E B2 = sum of (2 j - 1) c^(j-1) up to
    L. The second is the ratio of variance to mean of the plants wanted in a time (compound Poisson). At
    c = 0 both are 1.

    Source: own definition

    Examples
    --------
    >>> [round(float(x), 6) for x in order_moments(0.5, 0)]
    [2.0, 3.0]
    """
    c, most = np.broadcast_arrays(np.asarray(chance, dtype=float), np.asarray(limits, dtype=float))
    if not np.all((c >= 0.0) & (c < 1.0)):
        raise RefusedInput("chance", chance, "a chance from 0 to below 1")
    if not np.all(most >= 0.0):
        raise RefusedInput("limits", limits, "limits of 0 (none) or more")
    L = np.where(most > 0.0, most, np.inf)
    tail = np.where(np.isinf(L), 0.0, c ** np.where(np.isinf(L), 1.0, L))
    mean = (1.0 - tail) / (1.0 - c)
    late = np.where(np.isinf(L), 0.0, np.where(np.isinf(L), 0.0, L) * tail)
    square = 2.0 * (mean - late) / (1.0 - c) - mean  # sum of 2 j c^(j-1) less sum of c^(j-1)
    return mean, square / mean


def _refuse_law(rush: Floats, part: Floats, tail: Floats) -> None:
    if not np.all(rush > 0.0):
        raise RefusedInput("rush_h", rush.tolist(), "hours above 0")
    if not np.all((part >= 0.0) & (part <= 1.0)):
        raise RefusedInput("rush_frac", part.tolist(), "a share from 0 to 1")
    if not np.all(tail > 0.0):
        raise RefusedInput("tail_h", tail.tolist(), "hours above 0")
