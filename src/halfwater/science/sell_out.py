"""What the time to a sell-out says of a steady rate of selling, before any model of rush and tail."""

import math
from dataclasses import dataclass

from halfwater.errors import RefusedInput


@dataclass(frozen=True, slots=True)
class SellingRate:
    """A steady rate of selling behind one sell-out."""

    likeliest_per_day: float
    low_per_day: float
    high_per_day: float
    unbiased_per_day: float
    half_days: float  # even chance to sell as many again by then, at the likeliest rate


def selling_rate(plants: int, sold_out_days: float, probability: float = 0.95) -> SellingRate:
    """Rate of selling behind a sell-out, where buyers come as often late as early.

    Right for plants on a shelf; a release with a rush needs demand_posterior.

    Parameters
    ----------
    plants : int
        Plants that were on offer and sold. [1] Valid 2 upward.
    sold_out_days : float
        Days until the last was sold. [d] Valid above 0.
    probability : float
        How often the range is to hold the rate. [1] Valid above 0, below 1.

    Returns
    -------
    SellingRate
        Likeliest, range, unbiased; median time to sell as many. [1/d]

    Raises
    ------
    RefusedInput
        If a value is outside its range.

    Notes
    -----
    The time to sell k at rate r is Gamma(k, r): likeliest k / T, range chi-square quantiles of 2 k degrees
    of freedom over 2 T, unbiased (k - 1) / T, median time the median of Gamma(k) over k / T.

    Source: epstein-sobel-1953

    Examples
    --------
    >>> round(selling_rate(6, 21.0).likeliest_per_day, 6)
    0.285714
    """
    from scipy.special import gammaincinv

    if plants < 2:
        raise RefusedInput("plants", plants, "two plants or more")
    if not (math.isfinite(sold_out_days) and sold_out_days > 0.0):
        raise RefusedInput("sold_out_days", sold_out_days, "days above 0")
    if not 0.0 < probability < 1.0:
        raise RefusedInput("probability", probability, "a number between 0 and 1")
    tail = (1.0 - probability) / 2.0
    likeliest = plants / sold_out_days
    return SellingRate(
        likeliest,
        float(gammaincinv(plants, tail)) / sold_out_days,
        float(gammaincinv(plants, 1.0 - tail)) / sold_out_days,
        (plants - 1) / sold_out_days,
        float(gammaincinv(plants, 0.5)) / likeliest,
    )
