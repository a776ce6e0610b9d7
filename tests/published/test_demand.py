"""Rates of selling against printed figures."""

import pytest

from halfwater.science.sell_out import selling_rate


def test_six_plants_in_twenty_one_days() -> None:
    """Likeliest, range, unbiased rate and median time of six sold in 21 days (epstein-sobel-1953)."""
    rate = selling_rate(6, 21.0)
    assert rate.likeliest_per_day == pytest.approx(0.285714, abs=1e-5)
    assert rate.low_per_day == pytest.approx(0.104852, abs=1e-5)
    assert rate.high_per_day == pytest.approx(0.555635, abs=1e-5)
    assert rate.unbiased_per_day == pytest.approx(0.238095, abs=1e-5)
    assert rate.half_days == pytest.approx(19.8456, abs=1e-4)
