"""A price table for one line of a release, from the forecast of its demand."""

import numpy as np
from numpy.typing import ArrayLike

from halfwater.errors import RefusedInput
from halfwater.plain.demand import DemandDraws
from halfwater.plain.pricing import LineToPrice, PriceTable, PricingRules
from halfwater.planning.dynamic_price import Floats, price_table


def moving_price(
    line: LineToPrice, draws: DemandDraws, rules: PricingRules, hours_left_h: ArrayLike, spread: float = 0.3
) -> PriceTable:
    """Prices to ask for a line by pots left and hours left.

    An option for growers who want it; most ask one price a release.

    Parameters
    ----------
    line : LineToPrice
        What is offered, and what a plant costs and is worth if kept.
    draws : DemandDraws
        Forecast of its demand at any one price.
    rules : PricingRules
        The grower's steps, least and most price.
    hours_left_h : array_like
        Hours left for which to answer. [h] Valid 0..the hours it stays open.
    spread : float
        How far the price may move from the one asked, each way, as a share. [1] Valid 0..0.9.

    Returns
    -------
    PriceTable
        Prices in the grower's steps. [minor]

    Raises
    ------
    RefusedInput
        If nothing is offered, a number is out of its range, or no step lies within the spread.

    Notes
    -----
    Interest still to come and the answer to a price are means over all draws, as if they were known; a sale
    or a lull does not correct them. At spread 0 the price asked is the only one.

    Source: gallego-van-ryzin-1994, sections 2 and 5
    """
    hours = np.atleast_1d(np.asarray(hours_left_h, dtype=float))
    open_h = draws.open_days * 24.0
    if not (np.isfinite(hours).all() and (hours >= 0.0).all() and (hours <= open_h).all()):
        raise RefusedInput("hours_left_h", hours.tolist(), f"hours from 0 to the {open_h:g} it stays open")
    prices = _steps(line.price_minor, rules, spread)
    mean, elasticity = np.array(draws.mean), np.array(draws.elasticity)
    here = mean * (line.price_minor / draws.price_minor) ** -elasticity
    weights = (here[:, None] * np.exp(-np.outer(elasticity, np.log(prices / line.price_minor)))).mean(axis=0)
    total = float(here.mean())
    if total <= 0.0:
        raise RefusedInput("draws", total, "a forecast with some plants wanted")
    come = _come(draws, np.array([open_h]))
    still = 1.0 - _come(draws, open_h - hours) / come
    return price_table(
        line.offered,
        hours,
        (here[:, None] * still).mean(axis=0),
        prices,
        weights / total,
        float(line.sale_cost_minor + line.reserve_minor),
        line.fee_frac,
    )


def _come(draws: DemandDraws, after_h: Floats) -> Floats:
    """Share of all interest that has come by so many hours after the opening, in each draw."""
    rush, part, tail = (np.array(one)[:, None] for one in (draws.rush_h, draws.rush_frac, draws.tail_h))
    share: Floats = 1.0 - part * np.exp(-after_h / rush) - (1.0 - part) * np.exp(-after_h / tail)
    return share


def _steps(price_minor: int, rules: PricingRules, spread: float) -> Floats:
    """Prices in the grower's steps within the spread and the grower's ends."""
    if not 0.0 <= spread <= 0.9:
        raise RefusedInput("spread", spread, "a share from 0 to 0.9")
    step = rules.price_step_minor
    low = max(price_minor * (1.0 - spread), rules.least_price_minor or 1)
    high = min(price_minor * (1.0 + spread), rules.most_price_minor or np.inf)
    steps = np.arange(np.ceil(low / step), np.floor(high / step) + 1.0) * step
    found = np.unique(np.append(steps, price_minor)) if low <= price_minor <= high else steps
    if not len(found):
        raise RefusedInput("price_step_minor", step, f"a step with a price between {low:g} and {high:g}")
    return found.astype(float)
