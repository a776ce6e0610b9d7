"""Scores of forecasts: against numerical integrals, limits, and one another."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ndtr

from halfwater.errors import RefusedInput
from halfwater.science.scores import crps_of_draws, crps_of_quantiles, record_of, verdict_on

P90 = 1.2815515655446004
numbers = st.floats(-50.0, 50.0)


@settings(max_examples=25, deadline=None)
@given(numbers, st.floats(0.2, 20.0), st.floats(0.2, 20.0), numbers)
def test_score_of_quantiles_is_its_integral(mid, below, above, outcome):
    """The closed form equals the integral of the squared distance between law and outcome."""

    def law(x):
        return float(ndtr((x - mid) / (below if x < mid else above)))

    def distance(x):
        return (law(x) - (x >= outcome)) ** 2

    ends = sorted({mid - 9 * below, min(mid, outcome), max(mid, outcome), mid + 9 * above, outcome})
    whole = sum(quad(distance, a, b)[0] for a, b in pairwise(ends))
    found = float(crps_of_quantiles(mid - P90 * below, mid, mid + P90 * above, outcome))
    assert found == pytest.approx(whole, rel=1e-5, abs=1e-6)


@settings(max_examples=25, deadline=None)
@given(st.lists(numbers, min_size=1, max_size=12), numbers)
def test_score_of_draws_is_its_definition(draws, outcome):
    """The sorted form equals the double sum over pairs of draws."""
    x = np.array(draws)
    plain = np.abs(x - outcome).mean() - np.abs(x[:, None] - x[None, :]).mean() / 2.0
    assert float(crps_of_draws(x, outcome)) == pytest.approx(plain, abs=1e-9)


def test_draws_and_quantiles_agree_on_a_normal():
    """Even draws of a normal score as its quantiles do."""
    even = np.sort(np.random.default_rng(5).normal(10.0, 3.0, 40_000))
    of_draws = float(crps_of_draws(even, 12.0))
    of_quantiles = float(crps_of_quantiles(10 - 3 * P90, 10.0, 10 + 3 * P90, 12.0))
    assert of_draws == pytest.approx(of_quantiles, rel=0.02)


@settings(max_examples=20, deadline=None)
@given(numbers, numbers, st.sampled_from([0.0, 1e-12, 1e-3, 0.7, 9.0]))
def test_a_forecast_without_width_scores_its_error(said, outcome, above):
    """Without width the score is how far off the number was; a side without width is its limit."""
    assert float(crps_of_quantiles(said, said, said, outcome)) == pytest.approx(abs(said - outcome))
    thin = float(crps_of_quantiles(said - 1e-9, said, said + above, outcome))
    none = float(crps_of_quantiles(said, said, said + above, outcome))
    assert thin == pytest.approx(none, abs=1e-6)


def test_honest_doubt_scores_best():
    """Over many outcomes the law they come from beats narrower, wider and shifted ones."""
    y = np.random.default_rng(6).normal(0.0, 1.0, 20_000)
    own = crps_of_quantiles(-P90, 0.0, P90, y).mean()
    for factor, shift in ((0.5, 0.0), (2.0, 0.0), (1.0, 0.5)):
        assert own < crps_of_quantiles(shift - factor * P90, shift, shift + factor * P90, y).mean()


def test_the_record_counts_what_was_inside():
    """Ends count as inside; the rival is compared only where it had something to say."""
    record = record_of([1, 1, 1, 1], [2, 2, 2, 2], [3, 3, 3, 3], [1, 3, 3.1, 2], [2, math.nan, 0.1, 2])
    assert (record.scored, record.inside, record.compared) == (4, 3, 3)
    assert record.inside_low_frac < 0.75 < record.inside_high_frac
    assert record.width == 2.0
    assert record.naive_crps == pytest.approx((1.0 + 3.0 + 0.0) / 3.0)
    own = crps_of_quantiles([1, 1, 1], [2, 2, 2], [3, 3, 3], [1, 3.1, 2])
    assert record.crps_of_compared == pytest.approx(own.mean())


@pytest.mark.parametrize(
    ("inside", "words"),
    [(50, "too narrow"), (100, "wider than"), (80, "about what they promise")],
)
def test_the_verdict_says_what_the_record_shows(inside, words):
    """Too many outside, too few outside, or about right: each in its own words."""
    y = np.where(np.arange(100) < inside, 2.0, 9.0)
    record = record_of(np.full(100, 1.0), np.full(100, 2.0), np.full(100, 3.0), y)
    assert words in verdict_on(record)
    few = record_of([1.0], [2.0], [3.0], [2.5], [4.0])
    assert "Too few" in verdict_on(few)
    assert "nearer than" in verdict_on(few)
    assert "no worse" in verdict_on(record_of([1.0], [2.0], [3.0], [2.5], [2.5]))


@pytest.mark.parametrize(
    "call",
    [
        lambda: crps_of_draws([], 1.0),
        lambda: crps_of_draws([1.0, math.nan], 1.0),
        lambda: crps_of_draws([1.0], math.inf),
        lambda: crps_of_quantiles(2.0, 1.0, 3.0, 1.0),
        lambda: crps_of_quantiles(0.0, math.nan, 3.0, 1.0),
        lambda: record_of([], [], [], []),
        lambda: record_of([1.0], [2.0], [3.0], [2.0], [1.0, 2.0]),
    ],
)
def test_what_cannot_be_scored_is_refused(call):
    """Nan, quantiles out of order, shapes that do not fit: refused."""
    with pytest.raises(RefusedInput):
        call()
