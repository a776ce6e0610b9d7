"""Shares, rates and scores from few counts, against printed figures."""

import math

import pytest

from halfwater.science import scores
from halfwater.science.small_samples import (
    BetaShare,
    GammaRate,
    exact_range,
    jeffreys_range,
    poisson_range,
    rate_after,
    share_after,
    wilson_range,
)

KNOWS_NOTHING = BetaShare(1.0, 1.0)


def test_437_of_980():
    """Mean, spread, median, range and tail of the share behind 437 of 980 (gelman-bda3, section 2.4)."""
    share = share_after(437, 980, KNOWS_NOTHING)
    assert (share.a, share.b) == (438.0, 544.0)
    assert share.mean_frac == pytest.approx(0.446029, abs=5e-7)
    assert share.spread_frac == pytest.approx(0.015854, abs=5e-7)
    assert share.quantile_frac(0.5) == pytest.approx(0.445992, abs=5e-7)
    assert share.quantile_frac(0.025) == pytest.approx(0.415065, abs=5e-7)
    assert share.quantile_frac(0.975) == pytest.approx(0.477200, abs=5e-7)
    assert share.p_below(0.485) == pytest.approx(0.992826, abs=5e-7)


def test_rate_with_exposure():
    """A rate after 3 events over 2, and after 30 over 20; inputs from memory (gelman-bda3, section 2.6)."""
    prior = GammaRate(3.0, 5.0)
    assert prior.p_below(1.44) == pytest.approx(0.974526, abs=5e-7)
    few, many = rate_after(3, 2.0, prior), rate_after(30, 20.0, prior)
    assert (few.shape, few.exposure) == (6.0, 7.0)
    assert few.mean == pytest.approx(0.857143, abs=5e-7)
    assert 1.0 - few.p_below(1.0) == pytest.approx(0.300708, abs=5e-7)
    assert (many.shape, many.exposure) == (33.0, 25.0)
    assert many.mean == pytest.approx(1.32, abs=1e-12)
    assert 1.0 - many.p_below(1.0) == pytest.approx(0.928544, abs=5e-7)


# brown-cai-dasgupta-2001: eight of ten, 95 %.
@pytest.mark.parametrize(
    ("range_of", "low", "high"),
    [
        (wilson_range, 0.490162, 0.943318),
        (exact_range, 0.443905, 0.974789),
        (jeffreys_range, 0.497226, 0.955941),
    ],
)
def test_eight_of_ten(range_of, low, high):
    """Three ranges of the share behind eight of ten (brown-cai-dasgupta-2001)."""
    found = range_of(8, 10)
    assert found.low == pytest.approx(low, abs=5e-7)
    assert found.high == pytest.approx(high, abs=5e-7)


def test_none_of_twenty():
    """Upper ends where nothing was seen in twenty; the lower ends are 0 (brown-cai-dasgupta-2001)."""
    assert exact_range(0, 20).high == pytest.approx(0.168433, abs=5e-7)
    assert wilson_range(0, 20).high == pytest.approx(0.161125, abs=5e-7)
    assert exact_range(0, 20).low == wilson_range(0, 20).low == 0.0


def test_five_events():
    """Exact range of the mean behind a count of five (garwood-1936)."""
    found = poisson_range(5)
    assert found.low == pytest.approx(1.62349, abs=5e-6)
    assert found.high == pytest.approx(11.66833, abs=5e-6)


def test_score_of_a_normal_at_its_middle():
    """A standard normal scores (sqrt 2 - 1)/sqrt pi at its mean (gneiting-raftery-2007, 5)."""
    p90 = 1.2815515655446004
    score = float(scores.crps_of_quantiles(-p90, 0.0, p90, 0.0))
    assert score == pytest.approx((math.sqrt(2.0) - 1.0) / math.sqrt(math.pi), abs=1e-12)
