"""How many at once: plants set aside for one opening, and sections cut in one go."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from halfwater.errors import RefusedInput


@dataclass(frozen=True, slots=True)
class OneOffer:
    """How many to have for one opening of sales, and what comes of it on the mean."""

    amount: float
    sold_out_frac: float  # chance that buyers want no more than that; the ratio aimed at
    missed: float  # buyers who find nothing
    left_over: float
    profit: float  # in the unit of the two costs


@dataclass(frozen=True, slots=True)
class EconomicLot:
    """How many to make in one go, where each go has a cost of its own and what stands waits."""

    amount: float
    goes: float  # a year
    every_days: float
    setup_cost: float  # a year
    waiting_cost: float  # a year

    @property
    def cost(self) -> float:
        """Both together, a year."""
        return self.setup_cost + self.waiting_cost


def offer_for_normal(mean: float, spread: float, short_cost: float, over_cost: float) -> OneOffer:
    """Offer for one opening where demand is about normal.

    Parameters
    ----------
    mean : float
        Plants wanted, mean. [1] Valid above 0.
    spread : float
        Its standard deviation. [1] Valid 0 upward.
    short_cost : float
        What one buyer without a plant costs: the margin not earned. [1] Valid above 0.
    over_cost : float
        What one plant left over costs. [1] Valid above 0.

    Returns
    -------
    OneOffer
        Amount not rounded, means of missed, left over and profit. [1]

    Raises
    ------
    RefusedInput
        If a number is nan, or not in its range.

    Notes
    -----
    Ratio Cu / (Cu + Co); Q = mean + z sd, z below 0 for a ratio below a half. Missed sd (phi(z) - z (1 -
    Phi(z))); left over Q - mean + missed; profit Cu (mean - missed) - Co left over. At spread 0 Q = mean.

    Source: cachon-terwiesch, Q12.1

    Examples
    --------
    >>> round(offer_for_normal(200.0, 80.0, 8.0, 4.0).amount, 2)
    234.46
    """
    from scipy.special import ndtri

    ratio = _ratio(short_cost, over_cost)
    if not (math.isfinite(mean) and mean > 0.0):
        raise RefusedInput("mean", mean, "plants above 0")
    if not (math.isfinite(spread) and spread >= 0.0):
        raise RefusedInput("spread", spread, "0 or more")
    z = float(ndtri(ratio))
    missed = spread * (math.exp(-z * z / 2.0) / math.sqrt(2.0 * math.pi) - z * (1.0 - ratio))
    amount = mean + z * spread
    left = amount - mean + missed
    return OneOffer(amount, ratio, missed, left, short_cost * (mean - missed) - over_cost * left)


def offer_for_poisson(mean: float, short_cost: float, over_cost: float) -> OneOffer:
    """Offer for one opening where buyers come one by one, each on his own.

    Parameters
    ----------
    mean : float
        Plants wanted, mean. [1] Valid above 0..1e7.
    short_cost : float
        What one buyer without a plant costs. [1] Valid above 0.
    over_cost : float
        What one plant left over costs. [1] Valid above 0.

    Returns
    -------
    OneOffer
        Whole plants; means of missed, left over and profit. [1]

    Raises
    ------
    RefusedInput
        If a number is nan, or not in its range.

    Notes
    -----
    The least Q with P(D <= Q) of the ratio or more: rounding up, also below a half. Missed = m P(D >= Q) -
    Q P(D > Q).

    Source: cachon-terwiesch, chapter 12

    Examples
    --------
    >>> offer_for_poisson(5.0, 3.0, 1.0).amount
    6.0
    """
    from scipy.special import pdtr, pdtrc
    from scipy.stats import poisson

    ratio = _ratio(short_cost, over_cost)
    if not 0.0 < mean <= 1e7:
        raise RefusedInput("mean", mean, "plants above 0, at most ten million")
    amount = float(poisson.ppf(ratio, mean))
    at_least = 1.0 if amount == 0.0 else float(pdtrc(amount - 1.0, mean))
    missed = mean * at_least - amount * float(pdtrc(amount, mean))
    left = amount - mean + missed
    profit = short_cost * (mean - missed) - over_cost * left
    return OneOffer(amount, float(pdtr(amount, mean)), missed, left, profit)


def offer_for_draws(wanted: ArrayLike, short_cost: float, over_cost: float) -> OneOffer:
    """Offer for one opening where demand is given as draws, as a forecast gives it.

    Parameters
    ----------
    wanted : array_like
        Drawn demands. [1] Valid 0 or more, at least one.
    short_cost : float
        What one buyer without a plant costs. [1] Valid above 0.
    over_cost : float
        What one plant left over costs. [1] Valid above 0.

    Returns
    -------
    OneOffer
        One of the draws; means of missed, left over and profit over all of them. [1]

    Raises
    ------
    RefusedInput
        If a draw or a cost cannot be used.

    Notes
    -----
    The least draw that the ratio of the draws does not exceed; no other amount earns more on these draws.

    Source: own definition

    Examples
    --------
    >>> offer_for_draws([1.0, 2.0, 3.0, 4.0], 1.0, 1.0).amount
    2.0
    """
    ratio = _ratio(short_cost, over_cost)
    draws = np.sort(np.asarray(wanted, dtype=float).ravel())
    if not draws.size or not (np.isfinite(draws).all() and (draws >= 0.0).all()):
        raise RefusedInput("wanted", draws.shape, "at least one draw, each 0 or more")
    amount = float(draws[math.ceil(ratio * len(draws) - 1e-9) - 1])
    missed = float(np.maximum(draws - amount, 0.0).mean())
    left = float(np.maximum(amount - draws, 0.0).mean())
    profit = short_cost * (float(draws.mean()) - missed) - over_cost * left
    return OneOffer(amount, float((draws <= amount).mean()), missed, left, profit)


def economic_lot(
    wanted_a_year: float, setup_cost: float, waiting_cost: float, year_days: float = 365.0
) -> EconomicLot:
    """Sections to cut in one go, where setting up takes its minutes and cut plants take up spots.

    Parameters
    ----------
    wanted_a_year : float
        Plants wanted in a year. [1] Valid above 0.
    setup_cost : float
        What one go costs, however many are cut. [1] Valid above 0.
    waiting_cost : float
        What one plant costs that waits for a year. [1] Valid above 0.
    year_days : float
        Days worked in a year. [d] Valid above 0.

    Returns
    -------
    EconomicLot
        Amount not rounded, goes and costs a year [1], days between goes. [d]

    Raises
    ------
    RefusedInput
        If a number is nan or not above 0.

    Notes
    -----
    Q = sqrt(2 D S / H); both costs are then alike. Flat around its best: half or double costs a quarter more.

    Source: heizer-render

    Examples
    --------
    >>> economic_lot(1000.0, 10.0, 0.5, 250.0).every_days
    50.0
    """
    asked = {
        "wanted_a_year": wanted_a_year,
        "setup_cost": setup_cost,
        "waiting_cost": waiting_cost,
        "year_days": year_days,
    }
    for name, value in asked.items():
        if not 0.0 < value < math.inf:
            raise RefusedInput(name, value, "a number above 0")
    amount = math.sqrt(2.0 * wanted_a_year * setup_cost / waiting_cost)
    goes = wanted_a_year / amount
    return EconomicLot(amount, goes, year_days / goes, goes * setup_cost, amount / 2.0 * waiting_cost)


def _ratio(short_cost: float, over_cost: float) -> float:
    for name, value in (("short_cost", short_cost), ("over_cost", over_cost)):
        if not 0.0 < value < math.inf:
            raise RefusedInput(name, value, "a cost above 0")
    return short_cost / (short_cost + over_cost)
