"""Times to an event and small samples: limits, brute force, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, weibull_min

from halfwater.errors import RefusedInput
from halfwater.science.lifetimes import (
    compare_survival,
    hazard_ratio,
    steady_life_days,
    survival_by,
    weibull_of,
)
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

days = st.lists(st.integers(1, 12), min_size=2, max_size=15)


@settings(max_examples=30, deadline=None)
@given(days)
def test_without_running_ages_it_is_the_share_that_lasts(ages):
    """Where every event was seen, the share is a plain count, its spread the binomial one."""
    found = survival_by(ages, [True] * len(ages))
    plain = np.array([np.mean(np.array(ages) > day) for day in found.day])
    assert found.lasting_frac == pytest.approx(plain)
    assert found.spread_frac == pytest.approx(np.sqrt(plain * (1.0 - plain) / len(ages)))


def test_without_events_there_is_no_curve():
    """Where nothing has ended yet there are no days, no median, and no warning."""
    found = survival_by([3.0, 4.0], [False, False])
    assert found.day.size == 0
    assert found.median_days is None


def test_weibull_finds_its_own_law():
    """Many lifetimes, cut off at day 40, give back scale, shape and likelihood."""
    rng = np.random.default_rng(8)
    life = 30.0 * rng.weibull(1.7, 20_000)
    seen = life < 40.0
    fit = weibull_of(np.minimum(life, 40.0), seen)
    assert fit.scale_days == pytest.approx(30.0, rel=0.02)
    assert fit.shape == pytest.approx(1.7, rel=0.02)
    law = weibull_min(fit.shape, scale=fit.scale_days)
    whole = law.logpdf(life[seen]).sum() + (~seen).sum() * law.logsf(40.0)
    assert fit.log_likelihood == pytest.approx(whole)


def test_weibull_in_other_units():
    """Hours in place of days change the scale, not the shape."""
    ages, seen = np.array([3.0, 5.0, 5.0, 9.0, 14.0]), [True, True, False, True, True]
    in_days, in_hours = weibull_of(ages, seen), weibull_of(ages * 24.0, seen)
    assert in_hours.shape == pytest.approx(in_days.shape)
    assert in_hours.scale_days == pytest.approx(24.0 * in_days.scale_days)


@settings(max_examples=20, deadline=None)
@given(st.integers(1, 40), st.floats(0.02, 0.98))
def test_the_exact_range_never_holds_less(trials, share):
    """Over all outcomes, the exact range holds the share at least as often as it says."""
    hits = np.arange(trials + 1)
    ranges = [exact_range(int(x), trials) for x in hits]
    holds = np.array([r.low <= share <= r.high for r in ranges])
    assert binom.pmf(hits, trials, share)[holds].sum() >= 0.95 - 1e-9


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 200), st.data())
def test_ranges_hold_what_was_seen_and_mirror(trials, data):
    """Each range holds the share that was seen; misses in place of hits turn it over."""
    hits = data.draw(st.integers(0, trials))
    for range_of in (wilson_range, exact_range, jeffreys_range):
        found, mirrored = range_of(hits, trials), range_of(trials - hits, trials)
        assert 0.0 <= found.low <= hits / trials <= found.high <= 1.0
        assert mirrored.low == pytest.approx(1.0 - found.high, abs=1e-9)


def test_counting_nothing_teaches_nothing():
    """No trials and no exposure leave what was known before."""
    assert share_after(0, 0, BetaShare(2.0, 5.0)) == BetaShare(2.0, 5.0)
    assert rate_after(0, 0.0, GammaRate(2.0, 5.0)) == GammaRate(2.0, 5.0)
    assert poisson_range(0).low == 0.0
    assert poisson_range(0).high == pytest.approx(-math.log(0.025))


def test_quantile_and_chance_are_inverse():
    """The share and the rate at a quantile have its chance below them."""
    share, rate = BetaShare(3.0, 9.0), GammaRate(2.5, 4.0)
    assert share.p_below(share.quantile_frac(0.3)) == pytest.approx(0.3)
    assert rate.p_below(rate.quantile(0.3)) == pytest.approx(0.3)


@pytest.mark.parametrize(
    "call",
    [
        lambda: survival_by([], []),
        lambda: survival_by([0.0], [True]),
        lambda: survival_by([math.nan], [True]),
        lambda: survival_by([1.0, 2.0], [True]),
        lambda: compare_survival([1.0, 2.0], [True, True], ["a", "a"]),
        lambda: compare_survival([1.0, 2.0], [False, False], ["a", "b"]),
        lambda: steady_life_days([1.0], [False]),
        lambda: weibull_of([4.0, 4.0], [True, True]),
        lambda: hazard_ratio([1.0, 2.0], [True, False], [False, True], "efron"),
        lambda: hazard_ratio([1.0, 2.0], [True, True], [False, True], "none"),
        lambda: share_after(3, 2, BetaShare(1.0, 1.0)),
        lambda: share_after(1, 2, BetaShare(0.0, 1.0)),
        lambda: rate_after(1, 0.0, GammaRate(1.0, 1.0)),
        lambda: rate_after(-1, 1.0, GammaRate(1.0, 1.0)),
        lambda: rate_after(1, 1.0, GammaRate(1.0, 0.0)),
        lambda: wilson_range(0, 0),
        lambda: exact_range(1, 2, 1.0),
        lambda: poisson_range(-1),
        lambda: GammaRate(1.0, 1.0).p_below(-1.0),
    ],
)
def test_what_is_no_lifetime_is_refused(call):
    """No ages, no events, wrong counts, chances outside 0 to 1: refused."""
    with pytest.raises(RefusedInput):
        call()
