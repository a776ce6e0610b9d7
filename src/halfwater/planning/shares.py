"""Sharing out money to the last coin, and what a place costs that is used only in part."""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput
from halfwater.science.limits import Limits

Coins = NDArray[np.int64]
_COST = Limits("cost_minor", -1e15, 1e15, "in the smallest coin")
_FLOOR = Limits("floor_m2", 1e-9, 1e9, "m2")
_USED = Limits("used_frac", 1e-9, 1.0)
_SPAN = Limits("span_days", 1e-9, 1e6, "days")


def deal_coins(amount_minor: int, weights: ArrayLike) -> Coins:
    """Coins of an amount dealt by weights, none lost and none made.

    Postage over the plants of a parcel, a fee over the prices it was taken of.

    Parameters
    ----------
    amount_minor : int
        What is dealt; below 0 where money comes back. [minor]
    weights : array_like
        One for each who gets a share. [1] Valid 0 upward, at least one above 0 unless the amount is 0.

    Returns
    -------
    ndarray
        Whole coins, one each, that add up to the amount. [minor]

    Raises
    ------
    RefusedInput
        If a weight is nan, infinite or below 0, or there is an amount and nobody to carry it.

    Notes
    -----
    Exact share a w / sum(w), its floor first; coins left go to the largest remainders, the first of equal
    ones first. An amount of 0 gives noughts; who has weight 0 gets none.

    Source: own definition

    Examples
    --------
    >>> deal_coins(100, [1, 1, 1]).tolist()
    [34, 33, 33]
    """
    given = np.asarray(weights, dtype=float).ravel()
    if not (np.isfinite(given).all() and (given >= 0.0).all()):
        raise RefusedInput("weights", given.tolist(), "numbers from 0")
    if amount_minor == 0:
        return np.zeros(given.shape, dtype=np.int64)
    whole = float(given.sum())
    if not 0.0 < whole < math.inf:
        raise RefusedInput("weights", given.tolist(), "at least one above 0, to carry the amount")
    dealt = np.zeros(given.shape, dtype=np.int64)
    sharing = given > 0.0
    dealt[sharing] = to_coins(amount_minor * (given[sharing] / whole), amount_minor)
    return dealt


def to_coins(exact_minor: ArrayLike, amount_minor: int) -> Coins:
    """Whole coins for shares worked out in real numbers, adding up to a known amount.

    Each share is off by less than one coin, and no coin is lost: so a column of plants adds up to what
    was paid, whichever way its plants are grouped.

    Parameters
    ----------
    exact_minor : array_like
        Exact shares, of either sign. [minor] Valid finite, adding up to the amount within a quarter coin.
    amount_minor : int
        What they must add up to. [minor]

    Returns
    -------
    ndarray
        Whole coins, one for each share. [minor]

    Raises
    ------
    RefusedInput
        If a share is nan or infinite, or they do not add up to the amount.

    Notes
    -----
    Largest remainder, the first of equal ones first. A share that is a whole number stays as it is. Without
    shares only an amount of 0 can be dealt.

    Source: own definition

    Examples
    --------
    >>> to_coins([0.5, 1.5, -1.0], 1).tolist()
    [1, 1, -1]
    """
    exact = np.asarray(exact_minor, dtype=float).ravel()
    if not np.isfinite(exact).all():
        raise RefusedInput("exact_minor", exact.tolist(), "finite amounts")
    if abs(math.fsum(exact) - amount_minor) > 0.25:
        raise RefusedInput("amount_minor", amount_minor, f"what the shares add up to, {math.fsum(exact):g}")
    near = np.rint(exact)  # what floating point left a hair below a whole coin is that coin
    exact = np.where(np.abs(exact - near) < 1e-6, near, exact)
    floors = np.floor(exact)
    coins: Coins = floors.astype(np.int64)
    left = amount_minor - int(coins.sum())
    order = np.argsort(-np.round(exact - floors, 9), kind="stable")
    if left > 0:
        coins[order[:left]] += 1
    elif left < 0:  # hairs that were taken for whole coins
        coins[order[left:]] -= 1
    return coins


def used_space_cost(cost_minor: float, floor_m2: float, used_frac: float, span_days: float) -> float:
    """Cost of a square metre for a day, charged on the space that is used.

    Space that stands empty pays nothing, so what is used pays for all of it: whoever believes the floor
    fuller than it is asks too little for a plant.

    Parameters
    ----------
    cost_minor : float
        What the whole floor costs in the span. [minor] Valid -1e15..1e15.
    floor_m2 : float
        The whole floor. [m2] Valid 1e-9..1e9.
    used_frac : float
        Share of it that plants stand on, on the mean. [1] Valid 1e-9..1.
    span_days : float
        The span. [d] Valid 1e-9..1e6.

    Returns
    -------
    float
        For a square metre and a day. [minor]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range: a floor that nobody uses has nobody to pay for it.

    Notes
    -----
    c = C / (A u T). A plant pays c times its own area and its days.

    Source: fisher-costing; vallejo-2018

    Examples
    --------
    >>> used_space_cost(1000.0, 10.0, 0.5, 100.0)
    2.0
    """
    cost, floor = _COST.one(cost_minor), _FLOOR.one(floor_m2)
    return cost / (floor * _USED.one(used_frac) * _SPAN.one(span_days))
