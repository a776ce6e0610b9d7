"""A price that moves while a release is open: with pots left and time to go, where that is wanted."""

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.pricing import PriceTable
from halfwater.plain.working import Working

Floats = NDArray[np.float64]
MOST_POTS = 2000
_STEP = 0.2  # buyers to come in one step of the reckoning, at the cheapest price


@dataclass(frozen=True, slots=True)
class Season:
    """What n pots still bring for n = 0, 1 .. and the price to ask while n are left (n = 1, 2 ..)."""

    earned_minor: Floats
    price_minor: Floats


def exponential_season(
    pots: int, interest: float, steepness_per_minor: float, cost_minor: float = 0.0
) -> Season:
    """Best moving price where each coin more loses the same share of the buyers.

    Parameters
    ----------
    pots : int
        Pots left. [1] Valid 1..2000.
    interest : float
        Buyers still to come if pots were free; it may come at any pace. [1] Valid above 0.
    steepness_per_minor : float
        Share of the buyers that one coin more loses. [1/minor] Valid above 0.
    cost_minor : float
        What a sold plant costs, its reserve value included. [minor] Valid 0 upward.

    Returns
    -------
    Season
        Earned after costs (pots + 1 values) and price (pots values), not rounded. [minor]

    Raises
    ------
    RefusedInput
        If a number is nan or not in its range.

    Notes
    -----
    Poisson buyers at a exp(-alpha p): J(n) = ln(sum_{i <= n} (A/e)^i / i!) / alpha with A the interest to
    come, p = J(n) - J(n-1) + 1/alpha. Only A counts, not the clock: so it holds for a rush too. A cost c
    lifts prices by c and scales A by exp(-alpha c).

    Source: gallego-van-ryzin-1994, section 2

    Examples
    --------
    >>> round(float(exponential_season(1, 2.718281828459045, 1.0).price_minor[0]), 6)
    1.693147
    """
    _check_pots(pots)
    _above_nought("interest", interest)
    _above_nought("steepness_per_minor", steepness_per_minor)
    if not 0.0 <= cost_minor < math.inf:
        raise RefusedInput("cost_minor", cost_minor, "0 or more")
    n = np.arange(pots + 1, dtype=float)
    factorials = np.concatenate([[0.0], np.cumsum(np.log(n[1:]))])
    terms = n * (math.log(interest) - 1.0 - steepness_per_minor * cost_minor) - factorials
    earned_minor = np.logaddexp.accumulate(terms) / steepness_per_minor
    price_minor = np.diff(earned_minor) + 1.0 / steepness_per_minor + cost_minor
    return Season(earned_minor, price_minor)


def elastic_season(pots: int, interest: float, asked_minor: float, elasticity: float) -> Season:
    """Best moving price where each per cent more loses the same per cent of the buyers.

    Parameters
    ----------
    pots : int
        Pots left. [1] Valid 1..2000.
    interest : float
        Buyers still to come at the price asked so far. [1] Valid above 0.
    asked_minor : float
        That price. [minor] Valid above 0.
    elasticity : float
        Per cent of the buyers that one per cent more loses. [1] Valid above 1.

    Returns
    -------
    Season
        Earned (pots + 1 values) and price (pots values), without costs, not rounded. [minor]

    Raises
    ------
    RefusedInput
        If a number is nan or not in its range; an elasticity of 1 or less has no best price.

    Notes
    -----
    J(n) = k(n) A^(1/e), k(0) = 0 and k(n) = e c (k(n) - k(n-1))^(1-e), c = (e-1)^(e-1) / e^e; the root of
    each is unique. p = e / (e-1) (J(n) - J(n-1)).

    Source: mcafee-te-velde-2008
    """
    _check_pots(pots)
    _above_nought("interest", interest)
    _above_nought("asked_minor", asked_minor)
    if not 1.0 < elasticity < math.inf:
        raise RefusedInput(
            "elasticity", elasticity, "above 1: at 1 or less every higher price earns more, without end"
        )
    factor = math.exp((elasticity - 1.0) * math.log((elasticity - 1.0) / elasticity))
    worths = [0.0]
    for _ in range(pots):
        worths.append(worths[-1] + _gain_of_one(worths[-1], factor, elasticity))
    earned_minor = asked_minor * interest ** (1.0 / elasticity) * np.array(worths)
    return Season(earned_minor, np.diff(earned_minor) * elasticity / (elasticity - 1.0))


def price_table(
    pots: int,
    hours_left_h: ArrayLike,
    interest_left: ArrayLike,
    price_minor: ArrayLike,
    response_weight: ArrayLike,
    cost_minor: float = 0.0,
    fee_frac: float = 0.0,
) -> PriceTable:
    """Price to ask with so many pots left and so many hours to go, out of the prices the grower uses.

    Parameters
    ----------
    pots : int
        Pots at the opening. [1] Valid 1..2000.
    hours_left_h : array_like
        Hours left for which to answer. [h] Valid 0 upward, any order.
    interest_left : array_like
        Plants still to be wanted from then on, at the price of weight 1. [1] Valid 0..1e5, falling with time.
    price_minor : array_like
        Prices that may be asked. [minor] Valid above 0, at least one.
    response_weight : array_like
        Demand at each of them, relative to that price. [1] Valid 0..100, not rising with the price.
    cost_minor : float
        What a sold plant costs, its reserve value included. [minor] Valid 0 upward.
    fee_frac : float
        Share of the price that does not reach the grower. [1] Valid 0 up to below 1.

    Returns
    -------
    PriceTable
        Best prices, what they still earn, and the best price that never moves. [minor]

    Raises
    ------
    RefusedInput
        If lengths differ or a number is nan or not in its range.

    Notes
    -----
    dJ(n)/dA = max over prices of w (m - J(n) + J(n-1)), m the margin, A the interest to come; solved in
    steps of a fifth of a buyer (Runge and Kutta, fourth order). Takes the interest as known. Where no price
    has a margin the dearest is asked. At 0 hours: the price for a buyer who comes at the last moment.

    Source: gallego-van-ryzin-1994, sections 2 and 5
    """
    _check_pots(pots)
    hours, interest = _falling(hours_left_h, interest_left)
    prices, weights = _responses(price_minor, response_weight)
    if not 0.0 <= cost_minor < math.inf:
        raise RefusedInput("cost_minor", cost_minor, "0 or more")
    if not 0.0 <= fee_frac < 1.0:
        raise RefusedInput("fee_frac", fee_frac, "0 up to below 1")
    margin = prices * (1.0 - fee_frac) - cost_minor
    earned = _earned(pots, interest, weights, margin)
    gains = weights * (margin - np.diff(earned, axis=1)[:, :, None])
    best = np.where((margin > 0.0).any(), gains.argmax(axis=2), len(prices) - 1)
    fixed = _fixed(pots, float(interest[0]), weights, margin)
    return PriceTable(
        hours_left_h=tuple(float(one) for one in hours),
        pots_left=tuple(range(pots, 0, -1)),
        price_minor=tuple(tuple(int(prices[j]) for j in best[:, n - 1]) for n in range(pots, 0, -1)),
        earned_minor=tuple(tuple(float(one) for one in earned[:, n]) for n in range(pots, 0, -1)),
        fixed_price_minor=int(prices[int(np.argmax(fixed))]),
        fixed_earned_minor=float(fixed.max()),
        workings=(_working(pots, float(interest[0]), float(earned[0, pots]), float(fixed.max())),),
        cautions=(
            "A price that falls while buyers watch teaches them to wait; move it rarely, and say beforehand"
            " that it may move.",
        ),
    )


def _earned(pots: int, interest: Floats, weights: Floats, margin: Floats) -> Floats:
    """J for each column of the table and each number of pots, from no interest left upward."""
    worth = np.zeros(pots + 1)
    found = [worth]
    busiest = max(float(weights.max()), 1e-9)
    for less, more in pairwise(interest[::-1]):
        steps = math.ceil((more - less) * busiest / _STEP)
        for _ in range(steps):
            worth = _step(worth, (more - less) / steps, weights, margin)
        found.append(worth)
    return np.array(found[:0:-1])


def _step(worth: Floats, width: float, weights: Floats, margin: Floats) -> Floats:
    first = _pace(worth, weights, margin)
    second = _pace(worth + width / 2.0 * first, weights, margin)
    third = _pace(worth + width / 2.0 * second, weights, margin)
    fourth = _pace(worth + width * third, weights, margin)
    return worth + width / 6.0 * (first + 2.0 * second + 2.0 * third + fourth)


def _pace(worth: Floats, weights: Floats, margin: Floats) -> Floats:
    """What one buyer more to come is worth, for each number of pots; nobody has to sell at a loss."""
    gains = weights * (margin - np.diff(worth)[:, None])
    return np.concatenate([[0.0], np.maximum(gains.max(axis=1), 0.0)])


def _fixed(pots: int, interest: float, weights: Floats, margin: Floats) -> Floats:
    """What each price earns that is never moved."""
    from scipy.special import pdtr

    wanted = interest * weights
    sold = pdtr(np.arange(pots)[:, None], wanted)
    earned: Floats = margin * (1.0 - sold).sum(axis=0)
    return earned


def _gain_of_one(before: float, factor: float, elasticity: float) -> float:
    """The root d of before + d = factor d^(1-e), by Newton on the log scale, from above."""
    gain = math.log(factor) / elasticity  # the root for before = 0, above every other root
    for _ in range(200):
        d = math.exp(gain)
        miss = math.log(before + d) - math.log(factor) + (elasticity - 1.0) * gain
        step = miss / (d / (before + d) + elasticity - 1.0)
        gain -= step
        if abs(step) < 1e-14:
            break
    return math.exp(gain)


def _falling(hours_left_h: ArrayLike, interest_left: ArrayLike) -> tuple[Floats, Floats]:
    """Hours and interest, the most hours first; a last column without interest closes the reckoning."""
    hours = np.atleast_1d(np.asarray(hours_left_h, dtype=float))
    interest = np.atleast_1d(np.asarray(interest_left, dtype=float))
    if hours.ndim != 1 or not hours.size or hours.shape != interest.shape:
        raise RefusedInput("interest_left", interest.shape, "one number for each of hours_left_h")
    if not (np.isfinite(hours).all() and (hours >= 0.0).all()):
        raise RefusedInput("hours_left_h", hours.tolist(), "hours from 0")
    if not (np.isfinite(interest).all() and (interest >= 0.0).all() and (interest <= 1e5).all()):
        raise RefusedInput("interest_left", interest.tolist(), "plants from 0 to 100000")
    order = np.argsort(-hours, kind="stable")
    if (np.diff(interest[order]) > 0.0).any():
        raise RefusedInput("interest_left", interest.tolist(), "less with fewer hours to go")
    return hours[order], np.concatenate([interest[order], [0.0]])


def _responses(price_minor: ArrayLike, response_weight: ArrayLike) -> tuple[Floats, Floats]:
    prices = np.atleast_1d(np.asarray(price_minor, dtype=float))
    weights = np.atleast_1d(np.asarray(response_weight, dtype=float))
    if prices.ndim != 1 or not prices.size or prices.shape != weights.shape:
        raise RefusedInput("response_weight", weights.shape, "one number for each price")
    if not (np.isfinite(prices).all() and (prices > 0.0).all() and (prices == np.rint(prices)).all()):
        raise RefusedInput("price_minor", prices.tolist(), "whole coins above 0")
    order = np.argsort(prices, kind="stable")
    if not (np.isfinite(weights).all() and (weights >= 0.0).all() and (weights <= 100.0).all()):
        raise RefusedInput("response_weight", weights.tolist(), "numbers from 0 to 100")
    if (np.diff(weights[order]) > 0.0).any():
        raise RefusedInput("response_weight", weights.tolist(), "not more at a higher price")
    return prices[order], weights[order]


def _check_pots(pots: int) -> None:
    if isinstance(pots, bool) or not isinstance(pots, int) or not 1 <= pots <= MOST_POTS:
        raise RefusedInput("pots", pots, f"a whole number from 1 to {MOST_POTS}")


def _above_nought(name: str, value: float) -> None:
    if not 0.0 < value < math.inf:
        raise RefusedInput(name, value, "a number above 0")


def _working(pots: int, interest: float, moving: float, fixed: float) -> Working:
    return Working(
        title="A price that moves",
        equation="dJ(n)/dA = max over prices of w(p) × (margin(p) − J(n) + J(n−1))",
        inputs=(("pots", str(pots)), ("plants still to be wanted", f"{interest:.0f}")),
        value=f"moving {moving:.0f}, never moving {fixed:.0f} (smallest coins, over keeping them)",
        source="gallego-van-ryzin-1994",
        valid="buyers one by one, none of whom waits for a lower price; interest taken as known",
    )
