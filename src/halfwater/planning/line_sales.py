"""What a line sells and earns at each price, world by world of a forecast of demand."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.demand import DemandDraws
from halfwater.plain.pricing import LineToPrice, PriceChoice

Floats = NDArray[np.float64]
ENOUGH_FRAC = 0.95  # a plant more is offered while it may be wanted in one world of twenty


@dataclass(frozen=True, slots=True)
class Market:
    """A line with its demand: one row a world, one column a price."""

    line: LineToPrice
    price_minor: Floats  # columns
    margin_minor: Floats  # of one sold plant over a kept one, for each price
    mean_wanted: Floats  # worlds x prices
    wanted: Floats  # drawn around it
    plants_per_order: float

    def column(self, price_minor: int) -> int:
        """Where a price stands."""
        return int(np.flatnonzero(self.price_minor == price_minor)[0])

    def best_number(self, column: int) -> int:
        """How many to offer at a price: what is ready, but no more than may be wanted or pays its risk."""
        margin = float(self.margin_minor[column])
        if margin <= 0.0:
            return 0
        ratio = min(margin / (margin + self.line.left_cost_minor), ENOUGH_FRAC)
        enough = float(np.quantile(self.wanted[:, column], ratio, method="inverted_cdf"))
        if not self.line.left_cost_minor:
            enough = max(enough, self.line.offered)  # what was meant to be offered may stand
        return int(min(enough, self.line.ready))

    def expected_gain(self, column: int, offered: int) -> Floats:
        """What a price and number earn over keeping every plant: the mean in each world. [minor]"""
        sold = mean_sold(self.mean_wanted[:, column], float(offered), self.plants_per_order)
        return self._gain(column, sold, offered)

    def drawn_gain(self, column: int, offered: int) -> Floats:
        """The same as it may turn out, with the luck of one release. [minor]"""
        return self._gain(column, np.minimum(self.wanted[:, column], offered), offered)

    def _gain(self, column: int, sold: Floats, offered: int) -> Floats:
        gain: Floats = self.margin_minor[column] * sold - self.line.left_cost_minor * (offered - sold)
        return gain

    def choice(self, column: int, offered: int, now_gain: Floats) -> PriceChoice:
        """A price and a number in figures; `now_gain` is what today's earn in each world."""
        wanted, gain = self.wanted[:, column], self.drawn_gain(column, offered)
        expected = self.expected_gain(column, offered)
        low, middle, high = (round(float(one)) for one in np.quantile(wanted, (0.1, 0.5, 0.9)))
        return PriceChoice(
            price_minor=int(self.price_minor[column]),
            offered=offered,
            wanted_p10=low,
            wanted_p50=middle,
            wanted_p90=high,
            p_sold_out=float((wanted >= offered).mean()) if offered else 0.0,
            gain_minor=float(expected.mean()),
            gain_p10_minor=float(np.quantile(gain, 0.1)),
            gain_p90_minor=float(np.quantile(gain, 0.9)),
            p_better=float((expected > now_gain + 0.5).mean()),
        )


def market_of(line: LineToPrice, draws: DemandDraws, price_minor: ArrayLike, seed: int) -> Market:
    """Market of a line at the prices that are weighed against each other.

    Parameters
    ----------
    line : LineToPrice
        The line with its costs.
    draws : DemandDraws
        Forecast of its demand at any one price.
    price_minor : array_like
        Prices to weigh. [minor] Valid above 0.
    seed : int
        For the luck of a release. [1] Valid 0 upward.

    Returns
    -------
    Market
        Mean and drawn demand in each world at each price. [1]

    Raises
    ------
    RefusedInput
        If the draws are of another line, or empty, or a price is not above 0.

    Notes
    -----
    Mean m (p / p0)^-e in each world, with its own e. Around it the number is gamma-Poisson with the variance
    m b, b plants an order; at b = 1 Poisson. A world without buyers has none at any price.

    Source: own definition
    """
    prices = np.atleast_1d(np.asarray(price_minor, dtype=float))
    if (draws.taxon, draws.grade) != (line.taxon, line.grade):
        raise RefusedInput(
            "draws", f"{draws.taxon_name} {draws.grade}", "draws of the line's taxon and grade"
        )
    if not draws.mean or len(draws.mean) != len(draws.elasticity):
        raise RefusedInput("draws", len(draws.mean), "at least one world, each with its elasticity")
    if not (np.isfinite(prices).all() and (prices > 0.0).all()):
        raise RefusedInput("price_minor", prices.tolist(), "prices above 0")
    mean, elasticity = np.array(draws.mean), np.array(draws.elasticity)
    power = np.outer(-elasticity, np.log(prices / draws.price_minor))
    mean_wanted = mean[:, None] * np.exp(power)
    excess = max(draws.plants_per_order, 1.0) - 1.0
    wanted = np.empty_like(mean_wanted)
    for column in range(len(prices)):  # the same luck at every price
        rng = np.random.default_rng(seed)
        pace = mean_wanted[:, column]
        wanted[:, column] = rng.poisson(rng.gamma(pace / excess, excess) if excess > 0.0 else pace)
    margin = prices * (1.0 - line.fee_frac) - line.sale_cost_minor - line.reserve_minor
    return Market(line, prices, margin, mean_wanted, wanted, excess + 1.0)


def mean_sold(mean_wanted: ArrayLike, plants: float, plants_per_order: float = 1.0) -> Floats:
    """Plants sold on the mean where buyers come one by one and stock may run out.

    Parameters
    ----------
    mean_wanted : array_like
        Plants wanted, mean. [1] Valid 0 upward.
    plants : float
        Plants there. [1] Valid 0 upward.
    plants_per_order : float
        Plants a buyer takes. [1] Valid 1 upward.

    Returns
    -------
    numpy.ndarray
        Shape of `mean_wanted`; at most `plants`. [1]

    Raises
    ------
    RefusedInput
        If a number is nan or not in its range.

    Notes
    -----
    With l = mean / b orders and room for k = plants / b of them: b (l Q(k, l) + k P(k, l) - k l^k e^-l /
    Gamma(k + 1)), Q and P the regularised incomplete gamma functions; exact for b = 1 and whole numbers,
    smooth between. 0 at mean 0 or without plants.

    Source: own definition

    Examples
    --------
    >>> round(float(mean_sold(1.0, 1.0)), 6)
    0.632121
    """
    from scipy.special import gammaincc, gammaln, xlogy

    mean = np.asarray(mean_wanted, dtype=float)
    if not (np.isfinite(mean).all() and (mean >= 0.0).all()):
        raise RefusedInput("mean_wanted", mean_wanted, "plants from 0")
    if not 0.0 <= plants < np.inf:
        raise RefusedInput("plants", plants, "plants from 0")
    if not 1.0 <= plants_per_order < np.inf:
        raise RefusedInput("plants_per_order", plants_per_order, "1 or more")
    if plants == 0.0:
        return np.zeros_like(mean)
    orders, room = mean / plants_per_order, plants / plants_per_order
    above = gammaincc(room, orders)
    edge = np.exp(xlogy(room, orders) - orders - gammaln(room + 1.0))
    sold: Floats = plants_per_order * (orders * above + room * (1.0 - above - edge))
    return np.minimum(np.maximum(sold, 0.0), plants)  # the last digits of a float
