"""What a few counts say: shares and rates with honest ranges, before there is much to count."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class BetaShare:
    """What is known of a share: a beta law. Shape a counts the hits, b the misses, the prior's in both."""

    a: float
    b: float

    @property
    def mean_frac(self) -> float:
        """Its mean."""
        return self.a / (self.a + self.b)

    @property
    def spread_frac(self) -> float:
        """Its standard deviation."""
        total = self.a + self.b
        return math.sqrt(self.a * self.b / (total + 1.0)) / total

    def quantile_frac(self, probability: float) -> float:
        """The share that is not exceeded with this probability."""
        from scipy.special import betaincinv

        return float(betaincinv(self.a, self.b, _chance(probability)))

    def p_below(self, share_frac: float) -> float:
        """Probability that the share lies below a value."""
        from scipy.special import betainc

        return float(betainc(self.a, self.b, _chance(share_frac)))


@dataclass(frozen=True, slots=True)
class GammaRate:
    """What is known of a rate: a gamma law. `shape` counts events, `exposure` what they were counted over."""

    shape: float
    exposure: float

    @property
    def mean(self) -> float:
        """Its mean, events for each unit of exposure."""
        return self.shape / self.exposure

    def quantile(self, probability: float) -> float:
        """The rate that is not exceeded with this probability."""
        from scipy.special import gammaincinv

        return float(gammaincinv(self.shape, _chance(probability))) / self.exposure

    def p_below(self, rate: float) -> float:
        """Probability that the rate lies below a value."""
        from scipy.special import gammainc

        if not (math.isfinite(rate) and rate >= 0.0):
            raise RefusedInput("rate", rate, "a rate of 0 or more")
        return float(gammainc(self.shape, rate * self.exposure))


@dataclass(frozen=True, slots=True)
class Between:
    """A range of a share or a rate."""

    low: float
    high: float


def share_after(hits: int, trials: int, prior: BetaShare) -> BetaShare:
    """Share as it is known after counting, such as the part of fresh sections that take.

    Parameters
    ----------
    hits : int
        How many it was true of. Valid 0..trials.
    trials : int
        How many were looked at. Valid 0 upward.
    prior : BetaShare
        What was known before; BetaShare(1, 1) knows nothing.

    Returns
    -------
    BetaShare
        The law of the share. [1]

    Raises
    ------
    RefusedInput
        If a count is negative, hits are more than trials, or the prior's shapes are not above 0.

    Notes
    -----
    Beta(a, b) becomes Beta(a + hits, b + trials - hits). With no trials the prior comes back.

    Source: gelman-bda3, section 2.4

    Examples
    --------
    >>> round(share_after(437, 980, BetaShare(1.0, 1.0)).mean_frac, 6)
    0.446029
    """
    _count(hits, trials)
    if not (prior.a > 0.0 and prior.b > 0.0 and math.isfinite(prior.a + prior.b)):
        raise RefusedInput("prior", (prior.a, prior.b), "two shapes above 0")
    return BetaShare(prior.a + hits, prior.b + trials - hits)


def rate_after(events: int, exposure: float, prior: GammaRate) -> GammaRate:
    """Rate as it is known after counting events over an exposure, such as losses in pot-months.

    Parameters
    ----------
    events : int
        How many were counted. Valid 0 upward.
    exposure : float
        What they were counted over, in any unit that the answer is to have. [1] Valid 0 upward.
    prior : GammaRate
        What was known before.

    Returns
    -------
    GammaRate
        The law of the rate, per unit of exposure. [1]

    Raises
    ------
    RefusedInput
        If events or exposure are negative or nan, or the prior is not above 0.

    Notes
    -----
    Gamma(shape, rate b) becomes Gamma(shape + events, b + exposure). At exposure 0 events must be 0.

    Source: gelman-bda3, section 2.6

    Examples
    --------
    >>> round(rate_after(3, 2.0, GammaRate(3.0, 5.0)).mean, 6)
    0.857143
    """
    if events < 0 or not (math.isfinite(exposure) and exposure >= 0.0):
        raise RefusedInput("exposure", (events, exposure), "events and exposure of 0 or more")
    if events and not exposure:
        raise RefusedInput("exposure", exposure, "above 0 where events were counted")
    if not (prior.shape > 0.0 and prior.exposure > 0.0 and math.isfinite(prior.shape + prior.exposure)):
        raise RefusedInput("prior", (prior.shape, prior.exposure), "a shape and an exposure above 0")
    return GammaRate(prior.shape + events, prior.exposure + exposure)


def wilson_range(hits: int, trials: int, probability: float = 0.95) -> Between:
    """Range of a share by Wilson's score, the one to show: right on average for few trials.

    Parameters
    ----------
    hits : int
        How many it was true of. Valid 0..trials.
    trials : int
        How many were looked at. Valid 1 upward.
    probability : float
        How often the range is to hold the share. [1] Valid above 0, below 1.

    Returns
    -------
    Between
        low and high. [1]

    Raises
    ------
    RefusedInput
        If there are no trials, a count is wrong, or the probability is not between 0 and 1.

    Notes
    -----
    (p + z2/2n +- z sqrt(p q / n + z2/4n2)) / (1 + z2/n); at 0 hits low is 0, at all hits high is 1.

    Source: brown-cai-dasgupta-2001, equation 4

    Examples
    --------
    >>> round(wilson_range(8, 10).low, 6)
    0.490162
    """
    from scipy.special import ndtri

    _count(hits, trials, fewest=1)
    z = float(ndtri(0.5 + _chance(probability) / 2.0))
    share, per = hits / trials, z * z / trials
    half = z * math.sqrt(share * (1.0 - share) / trials + per / (4.0 * trials))
    low = 0.0 if hits == 0 else (share + per / 2.0 - half) / (1.0 + per)
    high = 1.0 if hits == trials else (share + per / 2.0 + half) / (1.0 + per)
    return Between(low, high)


def exact_range(hits: int, trials: int, probability: float = 0.95) -> Between:
    """Range of a share by Clopper and Pearson: never too narrow, mostly too wide.

    Parameters
    ----------
    hits : int
        How many it was true of. Valid 0..trials.
    trials : int
        How many were looked at. Valid 1 upward.
    probability : float
        How often the range is to hold the share, at least. [1] Valid above 0, below 1.

    Returns
    -------
    Between
        low and high. [1]

    Raises
    ------
    RefusedInput
        If there are no trials, a count is wrong, or the probability is not between 0 and 1.

    Notes
    -----
    Quantiles of Beta(x, n - x + 1) and Beta(x + 1, n - x); 0 and 1 at the ends.

    Source: brown-cai-dasgupta-2001, section 4.2.1

    Examples
    --------
    >>> round(exact_range(0, 20).high, 6)
    0.168433
    """
    _count(hits, trials, fewest=1)
    tail = (1.0 - _chance(probability)) / 2.0
    low = BetaShare(hits, trials - hits + 1.0).quantile_frac(tail) if hits else 0.0
    high = BetaShare(hits + 1.0, trials - hits).quantile_frac(1.0 - tail) if hits < trials else 1.0
    return Between(low, high)


def jeffreys_range(hits: int, trials: int, probability: float = 0.95) -> Between:
    """Range of a share by Jeffreys' prior, a half of a hit and a half of a miss.

    Parameters
    ----------
    hits : int
        How many it was true of. Valid 0..trials.
    trials : int
        How many were looked at. Valid 1 upward.
    probability : float
        How much of the law the range is to hold. [1] Valid above 0, below 1.

    Returns
    -------
    Between
        low and high. [1]

    Raises
    ------
    RefusedInput
        If there are no trials, a count is wrong, or the probability is not between 0 and 1.

    Notes
    -----
    Quantiles of Beta(x + 1/2, n - x + 1/2); by convention 0 at no hits and 1 at all hits.

    Source: brown-cai-dasgupta-2001, section 3.1.3

    Examples
    --------
    >>> round(jeffreys_range(8, 10).high, 6)
    0.955941
    """
    _count(hits, trials, fewest=1)
    tail = (1.0 - _chance(probability)) / 2.0
    law = BetaShare(hits + 0.5, trials - hits + 0.5)
    low = law.quantile_frac(tail) if hits else 0.0
    high = law.quantile_frac(1.0 - tail) if hits < trials else 1.0
    return Between(low, high)


def poisson_range(events: int, probability: float = 0.95) -> Between:
    """Exact range of the mean behind one count of events, such as plants sold in a week.

    Parameters
    ----------
    events : int
        The count. Valid 0 upward.
    probability : float
        How often the range is to hold the mean, at least. [1] Valid above 0, below 1.

    Returns
    -------
    Between
        low and high. [1]

    Raises
    ------
    RefusedInput
        If the count is negative or the probability is not between 0 and 1.

    Notes
    -----
    Half the chi-square quantiles of 2 x and 2 x + 2 degrees of freedom; low is 0 at no events.

    Source: garwood-1936

    Examples
    --------
    >>> round(poisson_range(5).high, 5)
    11.66833
    """
    if events < 0:
        raise RefusedInput("events", events, "a count of 0 or more")
    tail = (1.0 - _chance(probability)) / 2.0
    low = GammaRate(events, 1.0).quantile(tail) if events else 0.0
    return Between(low, GammaRate(events + 1.0, 1.0).quantile(1.0 - tail))


def _count(hits: int, trials: int, fewest: int = 0) -> None:
    if trials < fewest:
        raise RefusedInput("trials", trials, f"at least {fewest}")
    if not 0 <= hits <= trials:
        raise RefusedInput("hits", hits, f"from 0 to {trials}, all that were looked at")


def _chance(value: float) -> float:
    if not 0.0 < value < 1.0:
        raise RefusedInput("probability", value, "a number between 0 and 1")
    return value
