"""Growth curves, leaf stages and count regression against certified and printed numbers."""

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.science.count_regression import count_regression
from halfwater.science.growth_curve import logistic_curve
from halfwater.science.leaf_stage import doubling_days, plastochron_index, relative_growth_per_30d

# nist-strd, Rat42: yield of pasture against time.
PASTURE_DAY = [9.0, 14.0, 21.0, 28.0, 42.0, 57.0, 63.0, 70.0, 79.0]
# The yields of nist-strd, Rat42.
PASTURE = [8.93, 10.80, 18.59, 22.33, 39.35, 56.11, 61.73, 64.62, 67.08]
# dobson-1990, page 93: counts by outcome and treatment.
COUNTS = [18, 17, 15, 20, 10, 20, 25, 13, 12]


def test_certified_logistic_growth():
    """The certified numbers, spreads and sum of squares, to relative 1e-6 (nist-strd, Rat42)."""
    curve = logistic_curve(PASTURE_DAY, PASTURE)
    assert curve.last_size == pytest.approx(72.462237576, rel=1e-6)
    assert curve.start == pytest.approx(2.6180768402, rel=1e-6)
    assert curve.rate_per_30d / 30.0 == pytest.approx(0.067359200066, rel=1e-6)
    assert curve.last_size_spread == pytest.approx(1.7340283401, rel=1e-6)
    assert curve.start_spread == pytest.approx(0.088295217536, rel=1e-6)
    assert curve.rate_spread_per_30d / 30.0 == pytest.approx(0.0034465663377, rel=1e-6)
    assert curve.left_over == pytest.approx(8.0565229338, rel=1e-6)


def test_fastest_growth():
    """Growth is fastest at half the last size, on day 38.867 (nist-strd, Rat42)."""
    curve = logistic_curve(PASTURE_DAY, PASTURE)
    assert curve.fastest_day == pytest.approx(38.867, abs=5e-4)
    assert float(curve.size_on(curve.fastest_day)) == pytest.approx(curve.last_size / 2.0)


def test_leaf_stage():
    """Halfway between two leaves on the scale of logarithms (erickson-michelini-1957)."""
    assert plastochron_index(9, 20.0, 5.0, 10.0) == pytest.approx(9.5, abs=1e-12)


def test_relative_growth():
    """From 2 to 8 in 14 days: the rate a day, and a week to double (hunt-1982)."""
    rate = relative_growth_per_30d(2.0, 8.0, 14.0)
    assert rate / 30.0 == pytest.approx(0.0990210, abs=5e-8)
    assert doubling_days(rate) == pytest.approx(7.0, abs=1e-12)


def test_counts_by_outcome_and_treatment():
    """Effects with their spread, deviances and AIC of the textbook's counts (dobson-1990, page 93)."""
    outcome, treatment = np.tile([0, 1, 2], 3), np.repeat([0, 1, 2], 3)
    groups = [outcome == 1, outcome == 2, treatment == 1, treatment == 2]
    columns = np.column_stack([np.ones(9), *groups]).astype(float)
    fit = count_regression(COUNTS, columns)
    assert fit.effect_log[:3] == pytest.approx([3.04452, -0.45426, -0.29299], abs=5e-6)
    assert fit.effect_log[3:] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert fit.spread_log[:3] == pytest.approx([0.1709, 0.2022, 0.1927], abs=5e-5)
    assert fit.deviance == pytest.approx(5.1291, abs=5e-5)
    assert fit.free == 4
    assert fit.null_deviance == pytest.approx(10.5814, abs=5e-5)
    assert fit.aic == pytest.approx(56.761, abs=1e-3)  # half a last digit and the digits of the logs


def test_a_confounded_effect_is_refused():
    """A column made of the others has no effect that could be told apart (dobson-1990, page 93)."""
    columns = np.column_stack([np.ones(9), np.arange(9) < 4, np.arange(9) >= 4]).astype(float)
    with pytest.raises(RefusedInput):
        count_regression(COUNTS, columns)
