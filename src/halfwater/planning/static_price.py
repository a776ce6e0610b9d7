"""The one best price of a plant, where how demand answers to a price is known: three textbook shapes."""

import math
from dataclasses import dataclass

from halfwater.errors import RefusedInput


@dataclass(frozen=True, slots=True)
class OnePrice:
    """The best price, what is wanted at it, and what it earns after costs."""

    price_minor: float
    wanted: float
    earned_minor: float


def best_price_exponential(wanted: float, steepness_per_minor: float, cost_minor: float) -> OnePrice:
    """Best price where each coin more loses the same share of the buyers.

    Parameters
    ----------
    wanted : float
        Plants wanted if they were free. [1] Valid above 0.
    steepness_per_minor : float
        Share of the buyers that one coin more loses. [1/minor] Valid above 0.
    cost_minor : float
        What a sold plant costs, its reserve value included. [minor] Valid 0 upward.

    Returns
    -------
    OnePrice
        Not rounded. [minor]

    Raises
    ------
    RefusedInput
        If a number is nan or not in its range.

    Notes
    -----
    Demand a exp(-b p); p = c + 1/b, whatever a is. At cost 0 the price is 1/b, where elasticity is 1.

    Source: talluri-van-ryzin-2004, chapter 7

    Examples
    --------
    >>> round(best_price_exponential(100.0, 0.1, 5.0).earned_minor, 3)
    223.13
    """
    _above_nought("wanted", wanted)
    _above_nought("steepness_per_minor", steepness_per_minor)
    _nought_or_more("cost_minor", cost_minor)
    price_minor = cost_minor + 1.0 / steepness_per_minor
    sold = wanted * math.exp(-steepness_per_minor * price_minor)
    return OnePrice(price_minor, sold, (price_minor - cost_minor) * sold)


def best_price_elastic(wanted: float, asked_minor: float, elasticity: float, cost_minor: float) -> OnePrice:
    """Best price where each per cent more loses the same per cent of the buyers.

    Parameters
    ----------
    wanted : float
        Plants wanted at the price asked so far. [1] Valid above 0.
    asked_minor : float
        That price. [minor] Valid above 0.
    elasticity : float
        Per cent of the buyers that one per cent more loses. [1] Valid above 1.
    cost_minor : float
        What a sold plant costs, its reserve value included. [minor] Valid above 0.

    Returns
    -------
    OnePrice
        Not rounded. [minor]

    Raises
    ------
    RefusedInput
        If a number is nan or not in its range; an elasticity of 1 or less has no best price.

    Notes
    -----
    Demand N (p / p0)^-e; p = c e / (e - 1). For e <= 1 every higher price earns more, without end: buyers are
    not known well enough, or the shape does not hold so far up. At cost 0 every lower price earns more.

    Source: talluri-van-ryzin-2004, chapter 7

    Examples
    --------
    >>> best_price_elastic(100.0, 8.0, 2.5, 6.0).price_minor
    10.0
    """
    _above_nought("wanted", wanted)
    _above_nought("asked_minor", asked_minor)
    _above_nought("cost_minor", cost_minor)
    if not 1.0 < elasticity < math.inf:
        raise RefusedInput(
            "elasticity", elasticity, "above 1: at 1 or less every higher price earns more, without end"
        )
    price_minor = cost_minor * elasticity / (elasticity - 1.0)
    sold = wanted * (price_minor / asked_minor) ** -elasticity
    return OnePrice(price_minor, sold, (price_minor - cost_minor) * sold)


def best_price_linear(wanted: float, slope_per_minor: float, cost_minor: float) -> OnePrice:
    """Best price where each coin more loses the same number of buyers.

    Parameters
    ----------
    wanted : float
        Plants wanted if they were free. [1] Valid above 0.
    slope_per_minor : float
        Buyers lost by one coin more. [1/minor] Valid above 0.
    cost_minor : float
        What a sold plant costs, its reserve value included. [minor] Valid 0..the price nobody pays.

    Returns
    -------
    OnePrice
        Not rounded. [minor]

    Raises
    ------
    RefusedInput
        If a number is nan or not in its range, or nobody pays the cost.

    Notes
    -----
    Demand a - b p; p = (a / b + c) / 2, half way between the cost and the price that nobody pays.

    Source: talluri-van-ryzin-2004, chapter 7

    Examples
    --------
    >>> best_price_linear(100.0, 2.0, 10.0).earned_minor
    800.0
    """
    _above_nought("wanted", wanted)
    _above_nought("slope_per_minor", slope_per_minor)
    _nought_or_more("cost_minor", cost_minor)
    dearest_minor = wanted / slope_per_minor
    if cost_minor >= dearest_minor:
        raise RefusedInput("cost_minor", cost_minor, f"below {dearest_minor:g}, which nobody pays")
    price_minor = (dearest_minor + cost_minor) / 2.0
    sold = wanted - slope_per_minor * price_minor
    return OnePrice(price_minor, sold, (price_minor - cost_minor) * sold)


def _above_nought(name: str, value: float) -> None:
    if not 0.0 < value < math.inf:
        raise RefusedInput(name, value, "a number above 0")


def _nought_or_more(name: str, value: float) -> None:
    if not 0.0 <= value < math.inf:
        raise RefusedInput(name, value, "0 or more")
