"""Growth curves, leaf stages and count regression: known truths, other units, refusals."""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import CubicSpline

from halfwater.errors import RefusedInput
from halfwater.science import growth_counts
from halfwater.science.count_regression import count_regression
from halfwater.science.growth_curve import logistic_curve
from halfwater.science.leaf_stage import doubling_days, plastochron_index, relative_growth_per_30d


@settings(max_examples=25, deadline=None)
@given(st.floats(1.0, 500.0), st.floats(20.0, 60.0), st.floats(4.0, 20.0), st.floats(0.0, 5000.0))
def test_a_curve_is_found_again(last, middle, width, begin):
    """Points on a logistic curve give it back, whatever the size and the start of counting."""
    day = np.linspace(0.0, 90.0, 10)
    size = last / (1.0 + np.exp((middle - day) / width))
    found = logistic_curve(day + begin, size)
    assert found.last_size == pytest.approx(last, rel=1e-5)
    assert found.fastest_day == pytest.approx(middle + begin, rel=1e-5)
    assert found.rate_per_30d == pytest.approx(30.0 / width, rel=1e-5)
    assert found.left_over < 1e-6 * last**2


def test_a_curve_in_other_units():
    """Other units of size change sizes alone; another start of counting changes the start alone."""
    day = np.array([0.0, 8.0, 15.0, 25.0, 33.0, 50.0])
    size = np.array([1.1, 2.0, 3.9, 6.4, 8.3, 9.4])
    plain, grams = logistic_curve(day, size), logistic_curve(day, size * 7.0)
    later = logistic_curve(day + 40.0, size)
    assert grams.last_size == pytest.approx(7.0 * plain.last_size)
    assert grams.last_size_spread == pytest.approx(7.0 * plain.last_size_spread, rel=1e-5)
    assert later.rate_spread_per_30d == pytest.approx(plain.rate_spread_per_30d, rel=1e-5)
    assert later.fastest_day == pytest.approx(plain.fastest_day + 40.0)


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000))
def test_effects_as_another_library_finds_them(seed):
    """Effects, spreads and deviances with exposures equal those of a general library."""
    rng = np.random.default_rng(seed)
    columns = np.column_stack([np.ones(20), rng.normal(size=(20, 2))])
    exposure = rng.uniform(0.5, 3.0, 20)
    events = rng.poisson(exposure * np.exp(1.5 + columns[:, 1:] @ [0.4, -0.3]))
    ours = count_regression(events, columns, exposure)
    other = sm.GLM(events, columns, family=sm.families.Poisson(), exposure=exposure).fit(tol=1e-12)
    assert ours.effect_log == pytest.approx(other.params, abs=1e-6)
    assert ours.spread_log == pytest.approx(other.bse, rel=1e-5)
    assert ours.deviance == pytest.approx(other.deviance, rel=1e-8)
    assert ours.null_deviance == pytest.approx(other.null_deviance, rel=1e-6)
    assert ours.aic == pytest.approx(other.aic, rel=1e-8)


def test_leaf_stage_at_its_ends():
    """A leaf just at the reference counts whole; the index rises to one more as the next leaf grows."""
    assert plastochron_index(4, 10.0, 3.0, 10.0) == 4.0
    assert plastochron_index(4, 20.0, 9.999999, 10.0) == pytest.approx(5.0, abs=1e-6)


def test_what_does_not_grow_never_doubles():
    """A plant that shrinks has a rate below 0 and no doubling time."""
    rate = relative_growth_per_30d(8.0, 2.0, 14.0)
    assert rate < 0.0
    assert doubling_days(rate) is None
    assert doubling_days(0.0) is None


@pytest.mark.parametrize(
    "call",
    [
        lambda: logistic_curve([1.0, 2.0, 3.0], [1.0, 2.0, 3.0]),
        lambda: logistic_curve([1.0, 2.0, 3.0, 4.0], [1.0, 2.0, 3.0, math.nan]),
        lambda: logistic_curve([1.0, 2.0, 3.0, 4.0], [0.0, 2.0, 3.0, 4.0]),
        lambda: logistic_curve([1.0, 2.0, 3.0, 4.0], [4.0, 3.0, 2.0, 1.0]),
        lambda: plastochron_index(0, 20.0, 5.0, 10.0),
        lambda: plastochron_index(3, 9.0, 5.0, 10.0),
        lambda: plastochron_index(3, math.nan, 5.0, 10.0),
        lambda: relative_growth_per_30d(0.0, 1.0, 5.0),
        lambda: relative_growth_per_30d(1.0, 1.0, math.inf),
        lambda: doubling_days(math.nan),
        lambda: count_regression([], np.ones((0, 1))),
        lambda: count_regression([1.5], [[1.0]]),
        lambda: count_regression([math.nan], [[1.0]]),
        lambda: count_regression([0, 0], [[1.0], [1.0]]),
        lambda: count_regression([1, 2], [[1.0, 2.0], [1.0, 2.0]]),
        lambda: count_regression([1, 2], [[1.0], [1.0]], [1.0, 0.0]),
        lambda: count_regression([0, 0, 4, 5], [[1.0, 1.0], [1.0, 1.0], [1.0, 0.0], [1.0, 0.0]]),
    ],
)
def test_what_cannot_be_fitted_is_refused(call):
    """Too few days, no counts, groups without events, falling curves: refused."""
    with pytest.raises(RefusedInput):
        call()


def test_the_shifts_are_read_off_by_the_spline_that_scipy_draws() -> None:
    """Mean and spread between the nodes are those of the not-a-knot cubic spline of another program."""
    nodes, fine = growth_counts.SHIFT_NODES, np.linspace(-1.8, 1.8, 361)
    evidence = np.random.default_rng(4).normal(size=(5, len(nodes))).cumsum(axis=1)
    log = CubicSpline(nodes, evidence, axis=1)(fine) - 0.5 * fine**2 / growth_counts.SHARED_LAG_FRAC
    chance = np.exp(log - log.max(axis=1, keepdims=True))
    chance /= chance.sum(axis=1, keepdims=True)
    mean, sd = growth_counts._shifts(evidence)
    np.testing.assert_allclose(mean, chance @ fine, atol=1e-9)
    np.testing.assert_allclose(sd**2, chance @ fine**2 - (chance @ fine) ** 2, atol=1e-9)
